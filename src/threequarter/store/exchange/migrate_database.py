"""Moving everything from a laptop to an academy's database, or back: rows in one transaction, films beside them, all compared."""

import contextlib
import shutil
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from sqlalchemy import Connection

from threequarter.golf.errors import UserError
from threequarter.golf.message import Message
from threequarter.store.accounts import audit
from threequarter.store.accounts.tables import AuditRow
from threequarter.store.backup.restore import PASSING, in_use, make_way, swap_rows
from threequarter.store.database.engines import for_reading, for_writing
from threequarter.store.database.fsync import sync_folder
from threequarter.store.database.row_dump import counts_of, digests_of
from threequarter.store.media.media_deletion import around_rows, media_names
from threequarter.store.media.media_files import digest_of, sync_tree
from threequarter.store.store import Store
from threequarter.store.tasks.job_cleanup import forget_jobs

LEFT: Final = ("restored", *PASSING)
"""Tables that stay where they are: what happened to a place, sign-ins and tokens (everybody signs in anew, scripts get new ones)."""
RECORD: Final = AuditRow.__tablename__
HALF: Final = ".coming-"


@dataclass(frozen=True, slots=True, kw_only=True)
class Migrated:
    """What was moved: rows by table, how many files of clips, where the target's old state is kept (None where it was empty)."""

    counts: dict[str, int]
    sums: dict[str, str]
    films: int
    kept_before: Path | None


def migrate_database(source: Store, target: Store, *, replace: bool = False) -> Migrated:
    """Copies all rows and films of a store into another, on either database, and compares them, table by table and film by film.

    The source stays as it is. Raises UserError where the target holds something (unless `replace`, which backs it up first),
    where somebody uses either, or where anything did not arrive; then the target is as it was.
    """
    if source.place == target.place:
        raise UserError(Message("store.is_both_where_it_comes", place=source.place))
    if in_use(source):
        raise UserError(Message("store.somebody_uses_now_end_threequarter_serve", place=source.place))
    kept = make_way(target, replace=replace)
    with (
        _films(source, target, replace=replace) as films,
        for_reading(source.engine).connect() as rows,
        for_writing(target.engine).begin() as connection,
    ):
        wanted = _sums(rows)
        swap_rows(connection, rows)
        found = _sums(connection)
        _compare(wanted, found)
        counts = _counts(connection)
        audit.record_in(connection, "moved everything here", detail=audit.how_much(counts))
    forget_jobs(target, None)
    with target.engine.connect() as connection:  # once more, as it stands; the record has one line more by now
        _compare(wanted | {RECORD: ""}, _sums(connection) | {RECORD: ""})
    return Migrated(counts=counts, sums=found, films=films, kept_before=kept)


def _sums(connection: Connection) -> dict[str, str]:
    return {name: digest for name, digest in digests_of(connection).items() if name not in LEFT}


def _counts(connection: Connection) -> dict[str, int]:
    return {name: count for name, count in counts_of(connection).items() if name not in LEFT}


def _compare(wanted: dict[str, str], found: dict[str, str]) -> None:
    wrong = sorted(name for name in wanted.keys() | found.keys() if wanted.get(name) != found.get(name))
    if wrong:
        raise UserError(Message("store.the_rows_of_are_not", tables=", ".join(wrong)))


@contextlib.contextmanager
def _films(source: Store, target: Store, *, replace: bool) -> Iterator[int]:
    """Copies the films beside the target's, compared; they get their names when the rows are in, or go again."""
    with _into_vault(source, target) as put, _into_folder(source, target, replace=replace) as copied:
        yield put + copied


@contextlib.contextmanager
def _into_vault(source: Store, target: Store) -> Iterator[int]:
    """Puts the films into the target's store of films, where it has one; those that had a row there before go when the rows are in."""
    if target.s3_cache is None:
        yield 0
        return
    names = media_names(source.engine)
    count = 0
    with around_rows(target.s3_cache, media_names(target.engine), names):
        for clip_id, name in names.items():
            with _folder(source, clip_id, name) as folder:
                count += target.s3_cache.put(name, folder, check=True)
        yield count


@contextlib.contextmanager
def _folder(source: Store, clip_id: int, name: str | None) -> Iterator[Path]:
    """The folder of a clip's files, brought from the source's store of films where it has a name there."""
    if source.s3_cache is None or name is None:
        yield source.clips_dir / str(clip_id)
        return
    with source.s3_cache.lent(name) as folder:
        yield folder


@contextlib.contextmanager
def _into_folder(source: Store, target: Store, *, replace: bool) -> Iterator[int]:
    """Copies the folders of clips; into a store of films go those that have come whole, so only what still comes in is copied then."""
    if source.clips_dir.absolute() == target.clips_dir.absolute():
        yield sum(path.is_file() for path in source.clips_dir.rglob("*")) if source.clips_dir.is_dir() else 0
        return
    names = media_names(source.engine) if source.s3_cache or target.s3_cache else {}
    numbers = _numbers(source, names, whole=target.s3_cache is None)
    if not numbers and not source.clips_dir.is_dir():
        yield 0
        return
    target.clips_dir.mkdir(parents=True, exist_ok=True, mode=0o700)
    count = 0
    try:
        for number in numbers:
            with _folder(source, number, names.get(number)) as folder:
                count += _copied(folder, target.clips_dir / f"{HALF}{number}")
        yield count
        if replace:
            _clear(target.clips_dir)
        for number in numbers:
            (target.clips_dir / f"{HALF}{number}").replace(target.clips_dir / str(number))
        sync_folder(target.clips_dir)
    except OSError as error:
        raise UserError(
            Message(
                "store.cannot_be_written_nothing_was_moved", folder=target.clips_dir, reason=error.strerror or error
            )
        ) from error
    finally:
        for half in target.clips_dir.glob(f"{HALF}*"):
            shutil.rmtree(half, ignore_errors=True)


def _numbers(source: Store, names: dict[int, str], *, whole: bool) -> list[int]:
    """The numbers of the clips whose folders are copied: those that came whole only where `whole`."""
    here = {int(path.name) for path in source.clips_dir.glob("[0-9]*") if path.is_dir() and path.name.isdigit()}
    if source.s3_cache or not whole:
        here -= set(names)
    return sorted(here | (set(names) if source.s3_cache and whole else set()))


def _copied(folder: Path, half: Path) -> int:
    shutil.rmtree(half, ignore_errors=True)
    shutil.copytree(folder, half)
    sync_tree(half)
    files = [path for path in folder.rglob("*") if path.is_file()]
    for path in files:
        if digest_of(path) != digest_of(half / path.relative_to(folder)):
            raise UserError(Message("store.did_not_arrive_as_it", file=path))
    return len(files)


def _clear(clips_dir: Path) -> None:
    for path in clips_dir.iterdir():
        if path.is_dir() and path.name.isdigit():
            shutil.rmtree(path)
