"""Charts are fitted a few at a time: however many ask at once, the cores stay free for pages that fit nothing."""

import os
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Final

from threequarter.golf.errors import NotNowError
from threequarter.golf.message import Message

AT_ONCE: Final = max(1, (os.cpu_count() or 2) - 1)
"""One core is left for everything else."""
IN_LINE: Final = 16
"""Who waits holds a thread; a server has 40, and the others are for pages that fit nothing."""
PATIENCE_S: Final = 20.0
"""Nobody waits longer for a page."""


class FitTurns:
    """Turns to fit: so many at once, so many in line, and nobody waits too long."""

    def __init__(self, at_once: int = AT_ONCE, in_line: int = IN_LINE, patience_s: float = PATIENCE_S) -> None:
        self._turns, self._line = threading.BoundedSemaphore(at_once), threading.BoundedSemaphore(at_once + in_line)
        self.patience_s = patience_s

    @contextmanager
    def turn(self) -> Iterator[None]:
        """Waits for a turn. Raises NotNowError where the line is full or no turn comes up in time."""
        if not self._line.acquire(blocking=False):
            raise NotNowError(Message("app.too_many_charts"))
        try:
            if not self._turns.acquire(timeout=self.patience_s):
                raise NotNowError(Message("app.too_many_charts"))
            try:
                yield
            finally:
                self._turns.release()
        finally:
            self._line.release()


FIT_TURNS: Final = FitTurns()
"""Those of this process."""
