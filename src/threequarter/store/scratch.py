"""Folders for half-made things. Each is held by a lock that dies with its process, so what a killed one left is swept away."""

import contextlib
import secrets
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any, Final

HELD: Final = ".held"
"""The lock: an empty SQLite file under an exclusive transaction. It works on every system and ends when its process ends."""


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
    import pysqlite3.dbapi2 as sqlite

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
    folder = place / f".{kind}-{secrets.token_hex(6)}"
    folder.mkdir(parents=True, mode=0o700)
    try:
        with held(folder):
            yield folder
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def sweep(place: Path, kind: str = "scratch") -> int:
    """Removes what killed processes left in `place`; returns how many folders."""
    gone = 0
    for folder in place.glob(f".{kind}-*") if place.is_dir() else ():
        with held(folder) as mine:
            free = mine
        if free and folder.is_dir():
            with contextlib.suppress(OSError):
                shutil.rmtree(folder)
                gone += 1
    return gone
