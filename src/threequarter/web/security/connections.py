"""A budget for every connection: how many at once, how long a request may take to arrive, how often a log may repeat itself.

Half-sent requests cost their sender nothing and the server a file each; without these bounds a thousand of them end it.
"""

import asyncio
import logging
import time
from collections import Counter
from typing import Any, ClassVar, Final

from uvicorn.protocols.http.h11_impl import H11Protocol

MOST_AT_ONCE: Final = 600
"""Connections in all; below the 1 024 files that a process may usually open."""
MOST_OF_AN_ADDRESS: Final = 120
"""Connections of one other machine. A browser opens six; a clinic behind one address has a dozen of them."""
HEADER_S: Final = 10.0
"""How long a request line and its headers may take to arrive."""
LOOK_EVERY_S: Final = 10.0
LEAST_BODY_BYTES: Final = 2_000
"""How much of a body must arrive between two looks; a film over the slowest phone network sends ten times as much."""
REPEATED_AFTER_S: Final = 60.0


class BudgetedProtocol(H11Protocol):
    """HTTP as uvicorn speaks it, within the budget. The bounds are class attributes, so that a test can lower them."""

    most_at_once = MOST_AT_ONCE
    most_of_an_address = MOST_OF_AN_ADDRESS
    header_s = HEADER_S
    look_every_s = LOOK_EVERY_S
    _open: ClassVar[Counter[str]] = Counter()
    _look: asyncio.TimerHandle | None = None
    _arrived = 0
    _waits_since: float | None = None
    _counted = ""

    def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]
        """Takes a connection, or closes it at once where there are too many."""
        super().connection_made(transport)
        self._counted = self.client[0] if self.client else "?"
        self._open[self._counted] += 1
        too_many = self._open.total() > self.most_at_once
        if too_many or (not _local(self._counted) and self._open[self._counted] > self.most_of_an_address):
            transport.close()
            return
        self._waits_since = self.loop.time()
        self._look_later()

    def connection_lost(self, exc: Exception | None) -> None:
        """Gives the place of a connection back."""
        if self._look is not None:
            self._look.cancel()
        if self._counted:
            self._open[self._counted] -= 1
            if not self._open[self._counted]:
                del self._open[self._counted]
            self._counted = ""
        super().connection_lost(exc)

    def data_received(self, data: bytes) -> None:
        """Takes what came, and notes that something did."""
        self._arrived += len(data)
        if self._waits_since is None and not self._answering():
            self._waits_since = self.loop.time()
        super().data_received(data)
        if self._answering():
            self._waits_since = None

    def _answering(self) -> bool:
        return self.cycle is not None and not self.cycle.response_complete

    def _look_later(self) -> None:
        pause = min(self.look_every_s, self.header_s)
        self._look = self.loop.call_later(pause, self._look_now)

    def _look_now(self) -> None:
        """Closes a connection whose request does not arrive. One that waits for an answer is left alone."""
        headers_late = self._waits_since is not None and self.loop.time() - self._waits_since >= self.header_s
        body_late = self._answering() and self.cycle.more_body and self._arrived < LEAST_BODY_BYTES
        self._arrived = 0
        if (headers_late and not self._answering()) or body_late:
            self.transport.close()
            return
        self._look_later()


def _local(address: str) -> bool:
    """This machine itself, which is also where a reverse proxy stands: only the ceiling in all holds for it."""
    return address in ("127.0.0.1", "::1", "?")


class OnceAMinute(logging.Filter):
    """Lets the same line of the same place through once a minute; says then how often it had been held back."""

    def __init__(self, pause_s: float = REPEATED_AFTER_S) -> None:
        super().__init__()
        self.pause_s = pause_s
        self._said: dict[tuple[str, int, str], tuple[float, int]] = {}

    def filter(self, record: logging.LogRecord) -> bool:
        """Whether a line is written."""
        key, now = (record.pathname, record.lineno, str(record.msg)), time.monotonic()
        last, held = self._said.get(key, (-self.pause_s, 0))
        if now - last < self.pause_s:
            self._said[key] = (last, held + 1)
            return False
        if len(self._said) > 1_000:
            self._said.clear()
        self._said[key] = (now, 0)
        if held:
            record.msg = f"{record.msg} (and {held} times more since it was last written)"
        return True


def quiet_repeats(*names: str) -> Any:
    """Hangs one filter on the loggers that a flood would fill; returns it."""
    held = OnceAMinute()
    for name in names or ("asyncio", "uvicorn.error"):
        logging.getLogger(name).addFilter(held)
    return held
