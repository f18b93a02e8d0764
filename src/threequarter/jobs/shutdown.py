"""What all work of this process shares: its child processes, that it is to end, and patience while the database is away."""

import subprocess
import threading
import time
from collections.abc import Callable
from typing import Final, TypeVar

from threequarter.golf.errors import NotNowError

PATIENCE_S: Final = 300.0
"""How long work is tried again that was done already and cannot be kept, when the database is away."""
CHILDREN: Final[set["subprocess.Popen[str]"]] = set()
LEAVING: Final = threading.Event()
T = TypeVar("T")


class Shutdown(BaseException):
    """This worker ends: the job stays begun, for another to take over. No Exception, which would make it a failed one."""


def shut_down() -> None:
    """Ends what is being done in this process."""
    LEAVING.set()
    for child in list(CHILDREN):
        child.kill()


def patiently(act: Callable[[], T]) -> T:
    """Does an act, again and again while the database is away. Raises NotNowError where it stays so."""
    until = time.monotonic() + PATIENCE_S
    while True:
        try:
            return act()
        except NotNowError:
            if time.monotonic() > until:
                raise
            if LEAVING.wait(0.5):
                raise Shutdown from None
