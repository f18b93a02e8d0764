"""Films and their rows leave together: from this disk, and from the store of films where there is one."""

import logging
import shutil
from collections.abc import Collection, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Final

from sqlalchemy import Engine, select
from sqlalchemy.orm import Session

from threequarter.golf.errors import UserError
from threequarter.store.accounts.current_user import as_user
from threequarter.store.database.engines import for_reading
from threequarter.store.database.row_dump import tables_of
from threequarter.store.database.schema import ClipRow
from threequarter.store.media.s3_cache import S3Cache, name_of
from threequarter.store.store import Store

LOG: Final = logging.getLogger("threequarter.films")


@dataclass(slots=True)
class DeletedMedia:
    """Of how many clips the films could not be removed; they are swept later."""

    count: int = 0


def names_of(session: Session, clips: Sequence[int]) -> dict[int, str]:
    """What clips are called in the store of films."""
    rows = session.execute(select(ClipRow.id, ClipRow.made_at).where(ClipRow.id.in_(clips)))
    return {clip_id: name_of(clip_id, made_at) for clip_id, made_at in rows}


def states_of(store: Store, names: Collection[str]) -> dict[str, str]:
    """The states of those of names that have a row, whoever acts."""
    ids = [int(name.partition("-")[0]) for name in names]
    with as_user(None), store.reading() as session:
        rows = session.execute(select(ClipRow.id, ClipRow.made_at, ClipRow.state).where(ClipRow.id.in_(ids))).all()
    found = {name_of(clip_id, made_at): state for clip_id, made_at, state in rows}
    return {name: found[name] for name in names if name in found}


@contextmanager
def deleting_media(store: Store, session: Session, clips: Sequence[int]) -> Iterator[DeletedMedia]:
    """Around the act that deletes the rows of clips: when it is done (not before) their films go too.

    Enter it while the rows are there, leave it when their transaction has ended. Raises NotNowError at its beginning where the
    store of films is away: then nothing goes. What cannot be removed afterwards is noted there, and swept.
    """
    left, vault = DeletedMedia(), store.s3_cache
    names = list(names_of(session, clips).values()) if vault else []
    noted = vault.note(names) if vault and names else ""
    yield left
    for clip_id in clips:
        shutil.rmtree(store.clips_dir / str(clip_id), ignore_errors=True)
    if vault and noted:
        left.count = _removed(vault, noted, names)


def media_names(engine: Engine) -> dict[int, str]:
    """What the clips of a database of any schema are called in the store of films, but those that still come in."""
    with for_reading(engine).connect() as connection:
        clip = next(table for table in tables_of(connection) if table.name == "clip")
        rows = connection.execute(select(clip.c.id, clip.c.made_at).where(clip.c.state != "coming")).all()
    return {clip_id: name_of(clip_id, made_at) for clip_id, made_at in rows}


@contextmanager
def around_rows(vault: S3Cache, before: dict[int, str], after: dict[int, str]) -> Iterator[None]:
    """Around an act that puts other rows in place of all: films whose rows were never kept go, or those that have none any more."""
    gone = set(before.values()) - set(after.values())
    noted = vault.note(gone | set(after.values()))
    try:
        yield
    except Exception:
        _removed(vault, noted, set(after.values()) - set(before.values()))
        raise
    _removed(vault, noted, gone)


def _removed(vault: S3Cache, noted: str, names: Collection[str]) -> int:
    """Removes films, and what was noted of it when all are gone; returns of how many they are not, which are swept later."""
    left = 0
    for name in names:
        try:
            vault.remove(name)
        except UserError as error:
            left += 1
            LOG.warning("a film could not be removed; it is tried again", extra={"clip": name}, exc_info=error)
    try:
        if not left:
            vault.done(noted)
    except UserError as error:
        LOG.warning("a note could not be removed; it is tried again", exc_info=error)
    return left


def tidy_media(store: Store, *, given_up: bool = False) -> int:
    """Removes films that killed processes left in the store of films, and copies that are too many here; returns how many.

    What others began within some hours may still be under way and stays, unless it is known to be `given_up`.
    """
    if store.s3_cache is None:
        return 0
    return store.s3_cache.sweep(lambda names: states_of(store, names), given_up=given_up) + trim(store)


def trim(store: Store) -> int:
    """Removes copies of films from this disk until they fit, and what is left of clips that are no more; returns how many."""
    if store.s3_cache is None:
        return 0
    old = {int(folder.name): folder for folder in store.s3_cache.never_put()}
    with as_user(None), store.reading() as session:
        known = set(session.scalars(select(ClipRow.id).where(ClipRow.id.in_(old))))
    for number in old.keys() - known:  # deleted on a machine with another data folder
        shutil.rmtree(old[number], ignore_errors=True)
    return len(old.keys() - known) + store.s3_cache.trim(lambda names: states_of(store, names))


def ask_for_films(store: Store) -> None:
    """Asks the store of films, where there is one, whether it answers: before a transaction for whose end others wait. Raises NotNowError."""
    if store.s3_cache is not None:
        store.s3_cache.ask()
