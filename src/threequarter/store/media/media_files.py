"""The bytes of films and what is made from them: written beside their place, synced, then renamed."""

import hashlib
import os
import shutil
import threading
from contextlib import AbstractContextManager, nullcontext
from pathlib import Path
from typing import Final

from threequarter.store.database.fsync import MOVES_OPEN_FILES, lock_file, sync_folder
from threequarter.swing.tags import strip_tags

_ONE_AT_A_TIME: Final = threading.Lock()


def part_of(film: Path) -> Path:
    """Where a film is written while it comes in."""
    return film.with_name(film.name + ".part")


def _alone() -> AbstractContextManager[object]:
    """Where nobody else may have a part open when it gets its name: one sender of this process at a time."""
    return nullcontext() if MOVES_OPEN_FILES else _ONE_AT_A_TIME


def write_part(film: Path, at: int, fresh: bytes) -> None:
    """Writes bytes that come next at their place; they are on the disk when it returns. Does nothing to a film that has its name."""
    part = part_of(film)
    if at and not part.exists() and film.exists() and film.stat().st_size == at:
        film.replace(part)  # begun by an earlier version, which had no parts
    elif film.exists():
        return
    # never cut and never appended to: a second sender of an early part comes late, and what follows it stands there already
    flags = os.O_RDWR | (0 if at else os.O_CREAT) | getattr(os, "O_BINARY", 0)
    with _alone(), os.fdopen(os.open(part, flags, 0o600), "r+b") as file:
        lock_file(file.fileno(), wait=True)
        late = film.exists()
        if not late:
            file.seek(at)
            file.write(fresh)
            file.flush()
            os.fsync(file.fileno())
    if late:
        part.unlink(missing_ok=True)
    elif at == 0:
        sync_folder(film.parent)


def put_in_place(part: Path, film: Path) -> str:
    """Gives a whole film its name, once, date and place taken out; returns its SHA-256."""
    with _alone():
        if not film.exists():
            _name_once(part, film)
            sync_folder(film.parent)
    return digest_of(film)


def _name_once(part: Path, film: Path) -> None:
    with part.open("r+b") as file:  # Windows syncs only what may be written
        lock_file(file.fileno(), wait=True)
        if film.exists():
            return
        strip_tags(part)
        os.fsync(file.fileno())
        if MOVES_OPEN_FILES:
            part.replace(film)
            return
    part.replace(film)


def digest_of(path: Path) -> str:
    """The SHA-256 of a file."""
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


def sync_tree(folder: Path) -> None:
    """Puts everything in a folder on the disk."""
    for path in sorted(folder.rglob("*")):
        if path.is_file():
            with path.open("r+b") as file:
                os.fsync(file.fileno())
        elif path.is_dir():
            sync_folder(path)
    sync_folder(folder)


def move_over(source: Path, target: Path) -> None:
    """Moves a file or folder into the place of an older one; does nothing where there is none to move."""
    if source.exists():
        if target.is_dir():
            shutil.rmtree(target)
        source.replace(target)
        sync_folder(target.parent)


def pictures_of(folder: Path) -> list[str]:
    """The names of the pictures of a clip, sheets first."""
    found = [path.name for path in (folder / "pictures").glob("*.svg")]
    return sorted(found, key=lambda name: ("curves" in name, len(name), name))
