"""Once a day: is the database file sound, does each film lie where its row says, is the record as it was written. What was found is kept
in the data folder."""

import contextlib
import datetime
import json
import os
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Final

from sqlalchemy import select

from threequarter.golf.errors import UserError
from threequarter.store.accounts.audit import KEPT
from threequarter.store.accounts.record_chain import UNSEEN, Noted, look_through
from threequarter.store.backup.backup import FILM
from threequarter.store.clips.clips import Clips
from threequarter.store.clips.live import NO_FILM
from threequarter.store.database.fsync import sync_folder
from threequarter.store.database.schema import ClipRow
from threequarter.store.database.soundness import damage_message, damage_of
from threequarter.store.imports.save_import import now_utc
from threequarter.store.media.s3_cache import name_of
from threequarter.store.messages import message_to_text
from threequarter.store.store import Store

FILE: Final = "integrity.json"


@dataclass(frozen=True, slots=True, kw_only=True)
class Integrity:
    """What a check found. `damage` is a stored message, "" where the database is sound; `films` are clip numbers whose film is gone or
    shorter than it was; `line` is the first of the record that was changed or is gone, 0 where there is none; `record` how far that goes."""

    checked_at: str
    damage: str = ""
    films: tuple[int, ...] = ()
    line: int = 0
    record: Noted = UNSEEN

    @property
    def well(self) -> bool:
        return not self.damage and not self.films and not self.line


def check_integrity(store: Store) -> Integrity:
    """Looks at all of it and keeps what was found. Nothing is changed."""
    damage, films, line = "", tuple[int, ...](), 0
    before = last_integrity(store.data_dir)
    record = before.record if before else UNSEEN
    try:
        with store.engine.connect() as connection:
            state = damage_of(connection)
        damage = message_to_text(damage_message(state)) if state is not None else ""
        films = _films_gone(store)
        line, record = _record(store, before)
    except UserError as error:
        damage = damage or message_to_text(error.args[0])
    found = Integrity(
        checked_at=now_utc().isoformat(timespec="seconds"), damage=damage, films=films, line=line, record=record
    )
    _keep(store.data_dir, found)
    return found


def last_integrity(data_dir: Path) -> Integrity | None:
    """What the last check found; None where there was none, or its file cannot be read."""
    with contextlib.suppress(OSError, ValueError, TypeError, KeyError):
        told = json.loads((data_dir / FILE).read_text(encoding="utf-8"))
        checked_at = datetime.datetime.fromisoformat(told["checked_at"]).isoformat(timespec="seconds")
        return Integrity(
            checked_at=checked_at,
            damage=str(told["damage"]),
            films=tuple(map(int, told["films"])),
            line=int(told.get("line", 0)),
            record=Noted(**told.get("record", {})),
        )
    return None


def _record(store: Store, before: Integrity | None) -> tuple[int, Noted]:
    """The first line that does not fit, and how far the record goes. What was once found stays found until a backup is restored."""
    noted = before.record if before else UNSEEN
    with store.reading() as session:
        line, now = look_through(session, noted, now_utc() - KEPT)
    if line is None and before is not None and before.line and now.start == noted.start:
        line = before.line
    return line or 0, now


def _films_gone(store: Store) -> tuple[int, ...]:
    with store.reading() as session:
        rows = session.execute(
            select(ClipRow.id, ClipRow.suffix, ClipRow.made_at, ClipRow.size).where(
                ClipRow.state != "coming",
                ClipRow.suffix != NO_FILM,  # a swing seen live never had one
            )
        ).all()
    clips = Clips(store)
    if store.s3_cache is None:
        return tuple(row.id for row in rows if _bytes(clips.folder(row.id) / f"{FILM}{row.suffix}") < row.size)
    kept = store.s3_cache.files
    return tuple(row.id for row in rows if kept(name_of(row.id, row.made_at)).get(f"{FILM}{row.suffix}", 0) < 1)


def _bytes(film: Path) -> int:
    return film.stat().st_size if film.is_file() else 0


def _keep(folder: Path, found: Integrity) -> None:
    partial = folder / f".{FILE}.{os.getpid()}.part"
    with contextlib.suppress(OSError):
        partial.write_text(json.dumps(asdict(found)), encoding="utf-8")
        partial.replace(folder / FILE)
        sync_folder(folder)
