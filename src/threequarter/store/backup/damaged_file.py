"""A damaged database file makes way for a restore: kept as it is under another name, and put back where the restore fails."""

import datetime
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Final

from sqlalchemy.exc import DatabaseError

from threequarter.store.database.engines import FILE_NAME, open_file
from threequarter.store.database.fsync import sync_folder
from threequarter.store.database.soundness import damage_of, damaged, reason_of

BESIDE: Final = ("", "-wal", "-shm", "-journal")
"""A SQLite database and what may lie beside it; apart from each other they are worth nothing."""


@contextmanager
def damaged_file_set_aside(data_dir: Path, *, replace: bool) -> Iterator[Path | None]:
    """Gives the folder that a damaged database was moved to, None where there is none or it is sound.

    Raises UserError where it is damaged and may not be replaced.
    """
    file = data_dir / FILE_NAME
    state = _damage_of_file(file)
    if state is None:
        yield None
        return
    if not replace:
        raise damaged(state)
    aside = data_dir / f"damaged-{datetime.datetime.now(datetime.UTC):%Y-%m-%d-%H%M%S}"
    aside.mkdir(mode=0o700)
    _move(file, aside)
    try:
        yield aside
    except BaseException:
        for name in BESIDE:
            file.with_name(file.name + name).unlink(missing_ok=True)
        _move(aside / FILE_NAME, data_dir)
        aside.rmdir()
        raise


def _damage_of_file(file: Path) -> str | None:
    if not file.is_file():
        return None
    engine = open_file(file)
    try:
        with engine.connect() as connection:
            return damage_of(connection, thorough=True)
    except DatabaseError as error:
        return reason_of(error)
    finally:
        engine.dispose()


def _move(file: Path, folder: Path) -> None:
    for name in BESIDE:
        part = file.with_name(file.name + name)
        if part.exists():
            part.rename(folder / part.name)
    sync_folder(folder)
    sync_folder(file.parent)
