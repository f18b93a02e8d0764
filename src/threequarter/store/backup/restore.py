"""Restore: a backup into an empty place, or, when told, in place of what is there; on either database, all or nothing.

Rows go in by one transaction; it is the moment at which the restore has happened. The films lie ready beside the others
before it, under a token that the transaction keeps; after it they take their places, at once or, after a crash, when the
store is next opened.
"""

import contextlib
import datetime
import os
import secrets
import shutil
import time
from collections.abc import Iterator
from dataclasses import dataclass
from functools import partial
from itertools import count
from pathlib import Path
from typing import Any, Final

from sqlalchemy import Connection, Engine, Table, delete, insert, select

from threequarter.golf.errors import UserError
from threequarter.golf.message import Message
from threequarter.store.accounts import audit
from threequarter.store.accounts.credentials import end_what_came_back
from threequarter.store.backup.archive import Archive
from threequarter.store.backup.backup import FILM, PART, archive_of, backup
from threequarter.store.backup.damaged_file import damaged_file_set_aside
from threequarter.store.backup.verify import rebuilt_database
from threequarter.store.database.engines import for_writing, set_counters, upgrade
from threequarter.store.database.fsync import sync_folder
from threequarter.store.database.row_dump import counts_of, dump, load, tables_of
from threequarter.store.database.schema import RestoredRow
from threequarter.store.database.scratch import held, scratch
from threequarter.store.database.sqlite import library
from threequarter.store.erasure.erase import erase_marked
from threequarter.store.erasure.tombstones import erased_in, erasures, fingerprints_in, write_list
from threequarter.store.imports.save_import import now_utc
from threequarter.store.media.media_deletion import around_rows, media_names, trim
from threequarter.store.media.place_restored_media import READY, place_media
from threequarter.store.media.s3_cache import name_of
from threequarter.store.messages import message_to_text
from threequarter.store.store import Store
from threequarter.store.tasks.job_cleanup import forget_jobs

OWN: Final = ("erased", "restored")
"""Tables that say what happened to this place; a backup adds to the first and never brings the second."""
PASSING: Final = ("sign_in", "half_sign_in", "challenge", "tries", "token", "task")
"""Who is in now, person or script: after a restore everybody signs in anew and scripts get new tokens, so nothing that was ended comes back; and long work that was asked for there."""
LOOKS, PAUSE_S = 6, 0.3
SETTINGS: Final = ("setting", "shape", "audit")
"""Tables that do not make a place used."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Restored:
    """What a restore did: the backup's manifest, the rows that stand now, where the rows are, what was erased again, where the old state is kept."""

    manifest: dict[str, Any]
    counts: dict[str, int]
    place: str
    erased_again: dict[str, int]
    films_missing: int
    kept_before: Path | None


def restore(
    file: Path,
    data_dir: Path,
    *,
    url: str | None = None,
    passphrase: str | None = None,
    replace: bool = False,
    mine: Store | None = None,
) -> Restored:
    """Puts a backup into an empty place, or with `replace` in place of what is there, which is backed up first.

    The file is checked whole and its rows are put into a database of their own before anything is written; then all of it
    stands there or nothing; a damaged database file is kept beside it. `mine` is the open store of this process, whose idle connections are let go. Who was erased since is erased again: by the list in the backup, beside it, and in the place.
    Raises UserError where the place holds something, somebody uses it, or the backup is damaged, newer or sealed otherwise.
    """
    fresh = not data_dir.exists()
    try:
        with contextlib.ExitStack() as stack:
            data_dir.mkdir(parents=True, exist_ok=True, mode=0o700)
            archive = stack.enter_context(archive_of(file, passphrase, data_dir))
            _check_room(archive, data_dir)
            folder = stack.enter_context(scratch(data_dir))
            rows = stack.enter_context(rebuilt_database(archive, folder))
            upgrade(rows)
            aside = None if url else stack.enter_context(damaged_file_set_aside(data_dir, replace=replace))
            store = stack.enter_context(Store(data_dir, url))
            fresh = False  # what follows is all or nothing by itself
            kept = make_way(store, replace=replace, mine=mine) or aside
            return _move_in(store, archive, folder, rows, kept, file.parent)
    except OSError as error:
        raise UserError(
            Message("store.cannot_be_written_nothing_was", place=data_dir, reason=error.strerror or error)
        ) from error
    finally:
        if fresh and data_dir.is_dir():
            shutil.rmtree(data_dir, ignore_errors=True)


def _check_room(archive: Archive, data_dir: Path) -> None:
    free, needed = shutil.disk_usage(data_dir).free, 3 * archive.size()
    films = sum(archive.pack.getinfo(name).file_size for name in archive.clips())
    needed -= 2 * films  # they are written once
    if free < needed + 50 * 2**20:
        raise UserError(
            Message(
                "store.needs_mb_there_are_mb", file=archive.path.name, needed=needed // 2**20 + 50, free=free // 2**20
            )
        )


def make_way(store: Store, *, replace: bool, mine: Store | None = None) -> Path | None:
    """Makes sure that the place may be written; what is there is backed up first. Returns where."""
    if _stays_in_use(store, mine):
        raise UserError(Message("store.somebody_uses_now_end_threequarter", place=store.place))
    with store.engine.connect() as connection:
        used = {
            name: count
            for name, count in counts_of(connection).items()
            if count and name not in (*OWN, *PASSING, *SETTINGS)
        }
    if not used:
        return None
    if not replace:
        raise UserError(
            Message(
                "store.holds_something_already_players_balls",
                place=store.place,
                players=used.get("player", 0),
                balls=used.get("ball", 0),
            )
        )
    store.backups_dir.mkdir(parents=True, exist_ok=True, mode=0o700)
    kept = _unused(store.backups_dir, f"before-restore-{datetime.datetime.now(datetime.UTC):%Y-%m-%d-%H%M%S}")
    backup(store, kept)
    return kept


def _unused(folder: Path, name: str) -> Path:
    """A file of that name, numbered where one is there: of two restores in one second each keeps what was before it."""
    names = (folder / f"{name}{f'-{n}' if n else ''}.zip" for n in count())
    return next(file for file in names if not file.exists())


def _stays_in_use(store: Store, mine: Store | None) -> bool:
    """Whether somebody has the database open for longer than a page is read, or the daily upkeep looks around."""
    for _look in range(LOOKS):
        if mine is not None:
            mine.engine.dispose()
        if not in_use(store):
            return False
        time.sleep(PAUSE_S)
    return True


def in_use(store: Store) -> bool:
    """Whether somebody else has the database open just now."""
    store.engine.dispose()
    if store.on_postgres:
        with store.engine.connect() as connection:
            others = "SELECT count(*) FROM pg_stat_activity WHERE datname = current_database() AND pid <> pg_backend_pid() AND backend_type = 'client backend'"
            return bool(connection.exec_driver_sql(others).scalar())
    sqlite = library()

    base = sqlite.connect(str(store.engine.url.database), timeout=0.5, isolation_level=None)
    try:
        base.execute("PRAGMA locking_mode = EXCLUSIVE")
        base.execute("BEGIN IMMEDIATE")
        base.execute("COMMIT")
    except sqlite.OperationalError:
        return True
    finally:
        base.close()
    return False


def _move_in(store: Store, archive: Archive, folder: Path, rows: Engine, kept: Path | None, beside: Path) -> Restored:
    token = secrets.token_hex(16)
    ready = store.clips_dir / f"{READY}{token}"
    ready.mkdir(parents=True, mode=0o700)
    committed = False
    try:
        with held(ready):
            _unpack_films(archive, ready)
            again = _erase_again(store, folder, ready, beside)
            missing = _films(store, archive, rows, ready)
            _sync(ready)
            with (
                _into_vault(store, rows, ready),
                for_writing(store.engine).begin() as connection,
                rows.connect() as source,
            ):
                swap_rows(connection, source)
                end_what_came_back(connection)
                holds = audit.how_much(archive.manifest["counts"])
                audit.record_in(
                    connection, "restored a backup", detail=f"{holds}, of {archive.manifest.get('made_at')}"
                )
                connection.execute(
                    insert(RestoredRow).values(
                        token=token, made_at=str(archive.manifest.get("made_at"))[:40], restored_at=now_utc()
                    )
                )
            committed = True
    finally:
        if not committed:
            shutil.rmtree(ready, ignore_errors=True)
    place_media(store.clips_dir, token)
    trim(store)
    forget_jobs(store, None)
    with store.reading() as session:
        told, counts = erasures(session), counts_of(session.connection())
    write_list(store.data_dir, told, _names(store, beside))
    store.compact()
    return Restored(
        manifest=archive.manifest,
        counts=counts,
        place=store.place,
        erased_again=again,
        films_missing=missing,
        kept_before=kept,
    )


@contextlib.contextmanager
def _into_vault(store: Store, rows: Engine, ready: Path) -> Iterator[None]:
    """Around the transaction: the films are in the store of films before, those of clips that are no more go after it."""
    if store.s3_cache is None:
        yield
        return
    before, names = media_names(store.engine), media_names(rows)
    with around_rows(store.s3_cache, before, names):
        for clip_id, name in names.items():
            if (ready / str(clip_id)).is_dir() and store.s3_cache.put(name, ready / str(clip_id), check=True):
                store.s3_cache.keep_note(name, ready / str(clip_id), made=True)
        yield


def _unpack_films(archive: Archive, ready: Path) -> None:
    for name in archive.clips():
        path = ready / name.removeprefix("clips/")
        path.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
        with path.open("xb") as out:
            archive.copy(name, out)
            out.flush()
            os.fsync(out.fileno())


def _erase_again(store: Store, folder: Path, ready: Path, beside: Path) -> dict[str, int]:
    """Erases in the rows and films that lie ready whoever was erased since the backup was made."""
    with store.reading() as session:
        told = [*erasures(session), *erased_in(store.data_dir), *erased_in(beside), *erased_in(store.backups_dir)]
    with Store(folder) as half:
        half.clips_dir, half.backups_dir, half.s3_cache = ready, folder / "none", None
        with half.reading() as session:
            told += erasures(session)
        return erase_marked(half, {one.mark: one for one in told}.values(), _names(store, beside))


def _names(store: Store, beside: Path) -> set[str]:
    return fingerprints_in(store.data_dir) | fingerprints_in(beside) | fingerprints_in(store.backups_dir)


def _films(store: Store, archive: Archive, rows: Engine, ready: Path) -> int:
    """Films that a small backup left out are taken from where they lie, if they are the same; returns how many are missing."""
    missing = 0
    with rows.begin() as connection:
        clip = next(table for table in tables_of(connection) if table.name == "clip")
        for row in connection.execute(select(clip)).all():
            film = f"{FILM}{row.suffix}"
            if row.received == 0 or any((ready / str(row.id) / name).exists() for name in (film, film + PART)):
                continue
            here = store.clips_dir / str(row.id) / film
            if store.s3_cache and archive.films_left_out and film in store.s3_cache.files(name_of(row.id, row.made_at)):
                continue  # it stays where it is
            if archive.films_left_out and _same_clip(store, row) and here.is_file():
                (ready / str(row.id)).mkdir(exist_ok=True, mode=0o700)
                _link(here, ready / str(row.id) / film)
                continue
            missing += archive.films_left_out
            if row.state in ("waiting", "running", "coming"):
                lost = {"state": "failed", "error": message_to_text(Message("store.the_film_was_not_in"))}
                connection.execute(clip.update().where(clip.c.id == row.id).values(**lost))
    return missing


def _same_clip(store: Store, row: Any) -> bool:
    with store.engine.connect() as connection:
        clip = next(table for table in tables_of(connection) if table.name == "clip")
        now = connection.execute(select(clip.c.made_at, clip.c.size).where(clip.c.id == row.id)).first()
    return now is not None and tuple(now) == (row.made_at, row.size)


def _link(source: Path, target: Path) -> None:
    try:
        os.link(source, target)
    except OSError:
        shutil.copyfile(source, target)


def _sync(folder: Path) -> None:
    for path in [folder, *(path for path in folder.rglob("*") if path.is_dir())]:
        sync_folder(path)
    sync_folder(folder.parent)


def _row_of(table: str, row: int) -> Message:
    return Message("store.row_of_table", table=table, row=row)


def swap_rows(connection: Connection, source: Connection) -> None:
    """Takes all rows out and puts those of the backup in, counted."""
    if connection.dialect.name == "sqlite":
        connection.exec_driver_sql("PRAGMA defer_foreign_keys = ON")
    tables, theirs = tables_of(connection), {table.name: table for table in tables_of(source)}
    brought = [table for table in tables if table.name not in ("restored", *PASSING)]
    for table in reversed(tables):
        connection.execute(delete(table))
    for table in brought:
        load(
            connection,
            table,
            dump(source, theirs[table.name]),
            partial(_row_of, table.name),
        )
    set_counters(connection, tables)
    _compare(connection, source, brought)


def _compare(connection: Connection, source: Connection, brought: list[Table]) -> None:
    wanted, found = counts_of(source), counts_of(connection)
    wrong = [table.name for table in brought if wanted[table.name] != found[table.name]]
    if wrong:
        raise UserError(Message("store.the_rows_of_did_not", tables=", ".join(wrong)))
