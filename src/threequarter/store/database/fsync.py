"""Making sure that names are on the disk: a file that was synced is found after a power cut only if its folder was too."""

import os
import sys
from pathlib import Path
from typing import Final

MOVES_OPEN_FILES: Final = os.name != "nt"
"""Whether a file can get another name while it is open; where it cannot, it gets it without the lock of its handle."""


def sync_folder(folder: Path) -> None:
    """Puts the names in a folder on the disk. Does nothing where the system cannot (Windows does it by itself)."""
    if os.name == "nt":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def lock_file(handle: int, *, wait: bool) -> None:
    """Locks an open file against other handles for as long as it is open. Raises OSError where another has it (without `wait`)."""
    if sys.platform == "win32":
        import msvcrt

        if not wait:  # Windows locks keep the holder's own other handles out too, so only names are locked there
            msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)
    else:
        import fcntl

        fcntl.flock(handle, fcntl.LOCK_EX | (0 if wait else fcntl.LOCK_NB))
