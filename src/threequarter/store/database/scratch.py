"""Folders for half-made things. Each is held by a lock that dies with its process, so what a killed one left is swept away."""

import contextlib
import errno
import os
import secrets
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any, Final

from threequarter.store.database.fsync import MOVES_OPEN_FILES
from threequarter.store.database.sqlite import library

HELD: Final = ".held"
"""The lock: an empty SQLite file under an exclusive transaction. It works on every system and ends when its process ends."""
TRIES: Final = 100


@contextmanager
def held(folder: Path) -> Iterator[bool]:
    """Holds a folder for this process; False where another one has it."""
    lock = _hold(folder)
    try:
        yield lock is not None
    finally:
        if lock is not None:
            lock.close()


def _hold(folder: Path) -> Any:
    sqlite = library()

    try:
        lock = sqlite.connect(str(folder / HELD), timeout=0, isolation_level=None, check_same_thread=False)
    except sqlite.Error:
        return None
    try:
        lock.execute("BEGIN EXCLUSIVE")
    except sqlite.Error:
        lock.close()
        return None
    return lock


@contextmanager
def scratch(place: Path, kind: str = "scratch") -> Iterator[Path]:
    """A folder of one's own inside `place`, readable by nobody else, gone at the end; leftovers of killed ones go first."""
    sweep(place, kind)
    folder, lock = _of_ones_own(place, kind)
    try:
        yield folder
    finally:
        lock.close()
        shutil.rmtree(folder, ignore_errors=True)


def _of_ones_own(place: Path, kind: str) -> tuple[Path, Any]:
    """A new folder and its lock. A sweeper who comes between the two takes the folder for left over; then another is made."""
    for _attempt in range(TRIES):
        folder = place / _name(kind)
        folder.mkdir(parents=True, mode=0o700)
        lock = _hold(folder)
        if lock is not None and folder.is_dir():
            return folder, lock
        if lock is not None:
            lock.close()
    raise OSError(errno.EBUSY, os.strerror(errno.EBUSY), str(place))


def _name(kind: str) -> str:
    return f".{kind}-{secrets.token_hex(6)}"


def sweep(place: Path, kind: str = "scratch") -> int:
    """Removes what killed processes left in `place`; returns how many folders."""
    return sum(_swept(folder, kind) for folder in place.glob(f".{kind}-*")) if place.is_dir() else 0


def _swept(folder: Path, kind: str) -> bool:
    """Removes a folder that nobody holds. It is renamed while held: whoever still comes by its old name finds nothing."""
    doomed = folder.with_name(_name(kind))
    with held(folder) as free:
        renamed = free and _renamed(folder, doomed)
    if (
        free and not MOVES_OPEN_FILES
    ):  # Windows renames no folder with an open file in it, so there the lock must go first
        renamed = _renamed(folder, doomed)
    if renamed:
        shutil.rmtree(doomed, ignore_errors=True)
    return renamed


def _renamed(folder: Path, doomed: Path) -> bool:
    with contextlib.suppress(OSError):
        folder.rename(doomed)
        return True
    return False
