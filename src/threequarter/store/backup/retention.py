"""Regular backups: one a day, some days and weeks of them kept, films where they fit, and when the last good one was."""

import datetime
import re
import shutil
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

from sqlalchemy import func, select

from threequarter.golf.errors import NotNowError, UserError
from threequarter.golf.message import Message
from threequarter.store.backup.backup import FILM, backup
from threequarter.store.database.schema import ClipRow, ErasedRow, PlayerRow
from threequarter.store.database.scratch import held
from threequarter.store.erasure.erase import BACKUP_DAYS
from threequarter.store.erasure.tombstones import Erasure, erasures, write_list
from threequarter.store.store import Store

NAME: Final = re.compile(r"threequarter-(\d{4}-\d\d-\d\d-\d{6})(-sealed)?\.zip")
BEFORE: Final = re.compile(r"(?:before-(?:upgrade-\w+|restore)-|damaged-)(\d{4}-\d\d-\d\d-\d{6})(?:\.zip)?")
STAMP: Final = "%Y-%m-%d-%H%M%S"
DUE_H: Final = 20
"""A coach does not open the laptop at the same minute every day."""
BEFORE_KEPT: Final = 3
AHEAD_H: Final = 1
"""A backup dated later than this from now was dated by a clock that was wrong; it says nothing about the last day."""
LATE_DAYS: Final = 8
"""From then on the doctor and the page say that a backup is late."""
FILMS_SHARE: Final = 0.1
"""Films are in the regular backups as long as all copies of them take no more of the free disk; a large backup by hand has them always."""


@dataclass(frozen=True, slots=True, kw_only=True)
class RetentionPolicy:
    """How many are kept: the newest of each of so many days, and of each of so many weeks, that have one."""

    days: int = 7
    weeks: int = 4


@dataclass(frozen=True, slots=True, kw_only=True)
class GoodBackup:
    """A backup of the rotation. It bears its name only since it was proved. `made_at` is UTC."""

    path: Path
    made_at: datetime.datetime
    sealed: bool
    size: int


@dataclass(frozen=True, slots=True, kw_only=True)
class MadeBackup:
    """A regular backup that was just made, and which older ones were removed after it."""

    path: Path
    manifest: dict[str, Any]
    removed: tuple[Path, ...]


def good_backups(folder: Path) -> list[GoodBackup]:
    """The backups of a folder, newest first."""
    found = []
    for path in folder.iterdir() if folder.is_dir() else ():
        if (named := NAME.fullmatch(path.name)) and path.is_file():
            made_at = _time(named[1])
            found.append(GoodBackup(path=path, made_at=made_at, sealed=bool(named[2]), size=path.stat().st_size))
    return sorted(found, key=lambda good: good.made_at, reverse=True)


def last_good_backup(folder: Path, now: datetime.datetime) -> GoodBackup | None:
    """The newest that was not dated by a clock that was ahead."""
    return next((good for good in good_backups(folder) if not _ahead(good.made_at, now)), None)


def dated_ahead(folder: Path, now: datetime.datetime) -> list[GoodBackup]:
    """Backups whose date still lies ahead: the clock was wrong then, or is wrong now."""
    return [good for good in good_backups(folder) if _ahead(good.made_at, now)]


def _ahead(made_at: datetime.datetime, now: datetime.datetime) -> bool:
    return made_at > now + datetime.timedelta(hours=AHEAD_H)


def backup_due(store: Store, folder: Path, now: datetime.datetime) -> bool:
    """Whether a regular backup is to be made: none for 20 hours, or somebody was erased since; never of an empty store.

    One that is dated ahead does not count: a clock that was wrong once would end the daily backups.
    """
    last = last_good_backup(folder, now)
    with store.reading() as session:
        if (
            session.scalars(select(PlayerRow.id).limit(1)).first() is None
            and session.scalars(select(ClipRow.id).limit(1)).first() is None
        ):
            return False
        erased_at = session.scalar(select(func.max(ErasedRow.erased_at)))
    if last is None or now - last.made_at >= datetime.timedelta(hours=DUE_H):
        return True
    return erased_at is not None and last.made_at < erased_at


def make_regular_backup(
    store: Store, folder: Path, keep: RetentionPolicy, now: datetime.datetime, passphrase: str | None = None
) -> MadeBackup:
    """Makes a backup in a folder, and only after it is proved removes those that are not kept.

    Raises UserError where it cannot be made, or another one is being made there; then nothing is removed.
    """
    if keep.days < 1 or keep.weeks < 0:
        raise UserError(Message("store.keep_one_day_at_least"))
    try:
        folder.mkdir(parents=True, exist_ok=True, mode=0o700)
    except OSError as error:
        raise UserError(Message("store.cannot_be_made_no_backup", folder=folder, reason=error.strerror)) from error
    with held(folder) as mine:
        if not mine:
            raise NotNowError(Message("store.a_backup_into_is_being", folder=folder))
        path = folder / f"threequarter-{now.strftime(STAMP)}{'-sealed' if passphrase else ''}.zip"
        manifest = backup(store, path, passphrase=passphrase, films=films_fit(store, folder, keep))
        with store.reading() as session:
            told = erasures(session)
        write_list(folder, told)
        removed = surplus_backups([good.path for good in good_backups(folder)], keep, told, now)
        removed += surplus_safety_backups(folder.iterdir(), told, now)
        removed += surplus_safety_backups(store.data_dir.glob("damaged-*"), told, now)
        for old in removed:
            if old.is_dir():
                shutil.rmtree(old, ignore_errors=True)
            elif old != path:
                old.unlink(missing_ok=True)
    return MadeBackup(path=path, manifest=manifest, removed=tuple(removed))


def surplus_backups(
    paths: Iterable[Path], keep: RetentionPolicy, told: Sequence[Erasure], now: datetime.datetime
) -> list[Path]:
    """Those of a rotation that may go, oldest first; the newest never does.

    Those dated ahead are counted apart: they neither push out what was made since nor are pushed out by it.
    """
    found = list(paths)
    ahead = [path for path in found if _ahead(_made_at(path), now)]
    gone = {
        path
        for part in (ahead, [path for path in found if path not in set(ahead)])
        for path in _surplus(part, keep, told, now)
    }
    return sorted(gone, key=lambda path: path.name)


def _surplus(
    paths: Iterable[Path], keep: RetentionPolicy, told: Sequence[Erasure], now: datetime.datetime
) -> list[Path]:
    newest_first = sorted(paths, key=lambda path: path.name, reverse=True)
    kept: set[Path] = set(newest_first[:1])
    for most, part in ((keep.days, "%Y-%j"), (keep.weeks, "%G-%V")):
        firsts: dict[str, Path] = {}
        for path in newest_first:
            firsts.setdefault(_made_at(path).strftime(part), path)
        kept.update(list(firsts.values())[:most])
    gone = {path for path in newest_first[1:] if _holds_erased(_made_at(path), told, now)}
    return [path for path in newest_first if path not in kept or path in gone]


def surplus_safety_backups(paths: Iterable[Path], told: Sequence[Erasure], now: datetime.datetime) -> list[Path]:
    """Backups made before an upgrade or a restore, and damaged files set aside, that may go: all but the last three, and what still holds somebody erased."""
    found = sorted((_time(named[1]), path) for path in paths if (named := BEFORE.fullmatch(path.name)))
    old = {path for _time_of, path in found[:-BEFORE_KEPT]}
    return [path for made_at, path in found if path in old or _holds_erased(made_at, told, now)]


def _holds_erased(made_at: datetime.datetime, told: Sequence[Erasure], now: datetime.datetime) -> bool:
    """Whether somebody was erased after a backup was made, and longer ago than it may be kept."""
    erased = (datetime.datetime.fromisoformat(one.erased_at) for one in told)
    return any(made_at <= at <= now - datetime.timedelta(days=BACKUP_DAYS) for at in erased)


def films_fit(store: Store, folder: Path, keep: RetentionPolicy) -> bool:
    """Whether films go into the regular backups: all copies within a tenth of the free disk; on another disk half of what is free."""
    free = shutil.disk_usage(folder).free
    if store.s3_cache:
        with store.reading() as session:
            films = session.scalar(select(func.sum(ClipRow.received))) or 0
        same_disk = False
    else:
        films = sum(path.stat().st_size for path in store.clips_dir.glob(f"*/{FILM}.*") if path.is_file())
        same_disk = not store.clips_dir.exists() or folder.stat().st_dev == store.clips_dir.stat().st_dev
    return films * (keep.days + keep.weeks) <= free * (FILMS_SHARE if same_disk else 0.5)


def _made_at(path: Path) -> datetime.datetime:
    named = NAME.fullmatch(path.name)
    assert named is not None
    return _time(named[1])


def _time(stamp: str) -> datetime.datetime:
    return datetime.datetime.strptime(stamp, STAMP)
