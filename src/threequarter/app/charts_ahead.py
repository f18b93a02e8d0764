"""Standing charts computed beside a server: one after the other, in one process of their own, so that no page waits or is slowed.

While it runs, a page gets a chart that is kept already, or in a moment; else it is told that it is being computed (`ComputingError`) and
asks again. Where it does not run (commands, workers), whoever asks computes.
"""

import contextlib
import logging
import multiprocessing
import threading
import time
from collections.abc import Iterator
from concurrent.futures import CancelledError, Future, ProcessPoolExecutor, ThreadPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from contextvars import ContextVar
from pathlib import Path
from typing import Final

from threequarter.app import kept_charts
from threequarter.app.fit_turns import FIT_TURNS
from threequarter.app.kept_charts import Standing
from threequarter.app.standing_fit import DaysToFit, fit_standing
from threequarter.fence import end_with_parent, give_way
from threequarter.golf.errors import NotNowError
from threequarter.golf.message import Message

LOG: Final = logging.getLogger("threequarter.charts")
A_MOMENT_S: Final = 0.03
"""How long a page waits before it says that a chart is being computed: with the page itself within the 60 ms that a page may take. A chart
takes half a second (`benchmarks/pages.py`), so that waiting longer seldom helps."""
LONGEST_S: Final = 30.0
"""How long everybody else waits: who sent something, scripts, prints."""
MOST_WAITING: Final = 64
MOST_LATELY: Final = 20
IDLE_S: Final = 300.0
"""After so long without a chart to compute the process is given back."""
NICER: Final = 5
COMPUTING: Final = Message("app.chart_is_computed")
Key = tuple[int, str]
_PATIENCE_S: ContextVar[float] = ContextVar("patience_s", default=LONGEST_S)
_running: "dict[Path, ChartsAhead]" = {}


class ComputingError(NotNowError):
    """A chart is being computed; the same question in a second gets it."""


@contextlib.contextmanager
def a_moment_only() -> Iterator[None]:
    """Who asks within is not kept waiting for a chart."""
    token = _PATIENCE_S.set(A_MOMENT_S)
    try:
        yield
    finally:
        _PATIENCE_S.reset(token)


def looked_at(data_dir: Path, player: int, name: str) -> None:
    """Notes whose chart is looked at: what is written next is probably of the same player."""
    if (ahead := _running.get(data_dir)) is not None:
        ahead.lately.pop(player, None)
        ahead.lately[player] = name
        for old in list(ahead.lately)[:-MOST_LATELY]:
            ahead.lately.pop(old, None)


def fitted(data_dir: Path, key: Key, asked: DaysToFit) -> Standing:
    """The standing chart of some days, kept from now on under a player's number and mark (`key`). Raises ComputingError where it takes
    longer than who asks may wait."""
    ahead = _running.get(data_dir)
    if ahead is not None and not asked.quick:
        return ahead.fitted(key, asked)
    with FIT_TURNS.turn():  # whoever waited finds what another has made meanwhile
        return kept_charts.load(data_dir, *key) or _kept(data_dir, key, asked, fit_standing(asked))


def _kept(data_dir: Path, key: Key, asked: DaysToFit, standing: Standing) -> Standing:
    (kept_charts.save if asked.whole else kept_charts.remember)(data_dir, *key, standing)
    return standing


class ChartsAhead:
    """The one process of a server that computes standing charts, and the line before it."""

    def __init__(self, data_dir: Path) -> None:
        self.data_dir = data_dir
        self._line = ThreadPoolExecutor(1, "charts")  # its one thread lives as long as the process that it starts
        self._asked: dict[Key, Future[Standing]] = {}
        self._lock = threading.Lock()
        self._process: ProcessPoolExecutor | None = None
        self._used = 0.0
        self.lately: dict[int, str] = {}

    def start(self) -> None:
        """From here on the pages of this data folder are served so."""
        _running[self.data_dir] = self

    def stop(self) -> None:
        """Ends at once; what was being computed is computed when it is asked for again."""
        _running.pop(self.data_dir, None)
        self._line.shutdown(wait=False, cancel_futures=True)
        self._give_back(at_once=True)

    def fitted(self, key: Key, asked: DaysToFit) -> Standing:
        """Puts days in line and waits as long as whoever asks may. Raises ComputingError then, and where the line is full."""
        with self._lock:
            future = self._asked.get(key)
            if future is None:
                if len(self._asked) >= MOST_WAITING:
                    raise ComputingError(COMPUTING)
                future = self._asked[key] = self._line.submit(self._do, key, asked)
        try:
            return future.result(_PATIENCE_S.get())
        except (TimeoutError, CancelledError):
            raise ComputingError(COMPUTING) from None

    def rest(self) -> None:
        """Gives the process back where nothing was computed for a while."""
        if self._process is not None and not self._asked and time.monotonic() - self._used > IDLE_S:
            self._give_back()

    def _do(self, key: Key, asked: DaysToFit) -> Standing:
        try:
            return _kept(self.data_dir, key, asked, self._computed(asked))
        finally:
            self._used = time.monotonic()
            with self._lock:
                del self._asked[key]

    def _computed(self, asked: DaysToFit) -> Standing:
        """In the process; here where that was ended from outside."""
        try:
            if self._process is None:
                self._process = ProcessPoolExecutor(1, multiprocessing.get_context("spawn"), _begin)
            return self._process.submit(fit_standing, asked).result()
        except (BrokenProcessPool, CancelledError):
            if _running.get(self.data_dir) is not self:
                raise ComputingError(COMPUTING) from None
            LOG.warning("the process that computes charts ended; this one is computed here", exc_info=True)
            self._give_back()
            return fit_standing(asked)

    def _give_back(self, *, at_once: bool = False) -> None:
        process, self._process = self._process, None
        if process is None:
            return
        if at_once:
            for child in list((process._processes or {}).values()):
                child.kill()
        process.shutdown(wait=False, cancel_futures=True)


def _begin() -> None:
    """The process gives way to the server and ends with it."""
    end_with_parent()
    give_way(NICER)
