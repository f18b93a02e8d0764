"""The record as a chain: each line bears a mark of itself and of the mark before it, so that a line that was changed, taken out or put in
by hand does not fit.

Who can write to the database could make the whole chain anew. So the newest mark is noted outside of it once a day (`Noted`, in the data
folder), and has to be in the chain the next day. The oldest line there is rests on lines whose time was up; its own words are not checked.
"""

import datetime
import hashlib
import json
from dataclasses import dataclass, replace
from typing import Any, Final

from sqlalchemy import Connection, select
from sqlalchemy.orm import Session

from threequarter.store.accounts.tables import AuditRow
from threequarter.store.database.texts import clean

PARTS: Final = ("at", "account_id", "act", "kind", "number", "player_id", "detail", "address")
STARTS_ANEW: Final = ("restored a backup", "moved everything here")
"""The lines before one of these came from elsewhere; who did it stands in the record."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Noted:
    """How far the record goes: number and time of the oldest line, number, time and mark of the newest, mark of the newest that starts
    anew."""

    first: int = 0
    first_at: str = ""
    last: int = 0
    last_at: str = ""
    mark: str = ""
    start: str = ""


UNSEEN: Final = Noted()


def mark_of(before: str | None, line: dict[str, Any]) -> str:
    """The mark of a line that follows one with the mark `before` (None where there is none)."""
    told = [clean(line[name]) for name in PARTS]
    plain = [one.isoformat() if isinstance(one, datetime.datetime) else one for one in told]
    return hashlib.sha256(json.dumps([before or "", *plain]).encode()).hexdigest()


def newest_mark(connection: Connection) -> str | None:
    """The mark that the next line follows."""
    return connection.scalar(select(AuditRow.mark).order_by(AuditRow.id.desc()).limit(1))


def look_through(session: Session, noted: Noted, may_be_gone: datetime.datetime) -> tuple[int | None, Noted]:
    """The number of the first line that does not fit or is not there any more, None where all fit; and how far the record goes now.

    Lines of a time before `may_be_gone` may have gone. Lines from before release 0.2 have no mark; they may only stand first.
    """
    broken, now, before, seen = None, UNSEEN, None, noted.last == 0
    columns = (AuditRow.id, AuditRow.mark, *(getattr(AuditRow, name) for name in PARTS))
    for row in session.execute(select(*columns).order_by(AuditRow.id)).yield_per(1000):
        if now.first == 0:
            now = Noted(first=row.id, first_at=row.at.isoformat())
        elif broken is None and row.mark != (mark_of(before, row._asdict()) if row.mark or before else None):
            broken = row.id
        before, seen = row.mark, seen or (row.id == noted.last and (row.mark or "") == noted.mark)
        start = row.mark or "" if row.act in STARTS_ANEW else now.start
        now = replace(now, last=row.id, last_at=row.at.isoformat(), mark=row.mark or "", start=start)
    if broken is None and now.start == noted.start:
        broken = _missing(noted, now, may_be_gone.isoformat(), seen=seen)
    return broken, now


def _missing(noted: Noted, now: Noted, may_be_gone: str, *, seen: bool) -> int | None:
    """The first line of those that were noted which is gone before its time."""
    if noted.first < (now.first or noted.first + 1) and noted.first_at > may_be_gone:
        return noted.first
    return noted.last if not seen and noted.last_at > may_be_gone else None
