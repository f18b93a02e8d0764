"""How long films are kept: a time that can be set, a notice of two weeks, then they go with everything made from them.

Nothing goes without notice: a film is first marked as ending, and shown as such; only two weeks after that it is deleted. So a
laptop that was shut for a year says so first. Whoever wants to keep a film says so, and its time begins anew.
"""

import calendar
import datetime
from dataclasses import dataclass
from typing import Final

from sqlalchemy import func, select

from threequarter.store.accounts.settings import CLIP_MONTHS, setting
from threequarter.store.clips.clips import Clips
from threequarter.store.database.schema import ClipRow, PlayerRow, SessionRow
from threequarter.store.imports.save_import import now_utc
from threequarter.store.store import Store

NOTICE: Final = datetime.timedelta(days=14)
EMPTY: Final = datetime.timedelta(days=1)


@dataclass(frozen=True, slots=True, kw_only=True)
class Ending:
    """A film that will be deleted, and when."""

    id: int
    name: str
    player: str
    session_id: int | None
    ends_on: datetime.date


def months_before(now: datetime.datetime, months: int) -> datetime.datetime:
    """The same day so many months earlier, the last of the month where there is no such day."""
    year, month = divmod(now.year * 12 + now.month - 1 - months, 12)
    return now.replace(year=year, month=month + 1, day=min(now.day, calendar.monthrange(year, month + 1)[1]))


def sweep(store: Store, now: datetime.datetime | None = None) -> tuple[int, int]:
    """Marks the films whose time is up, and deletes those marked two weeks ago; returns how many of each."""
    now = now or now_utc()
    months = int(setting(store, CLIP_MONTHS))
    with store.writing() as session:
        since = func.coalesce(ClipRow.kept_from, ClipRow.made_at)
        if months == 0:
            for row in session.scalars(select(ClipRow).where(ClipRow.told_at.is_not(None))):
                row.told_at = None
            return 0, 0
        limit = months_before(now + NOTICE, months)
        for row in session.scalars(select(ClipRow).where(ClipRow.told_at.is_not(None), since > limit)):
            row.told_at = None  # a longer time was set
        fresh = session.scalars(select(ClipRow).where(ClipRow.told_at.is_(None), since <= limit)).all()
        for row in fresh:
            row.told_at = now
        over = list(
            session.scalars(
                select(ClipRow.id).where(ClipRow.told_at <= now - NOTICE, since <= months_before(now, months))
            )
        )
    clips = Clips(store)
    for clip_id in over:
        clips.delete(clip_id)
    return len(fresh), len(over)


def sweep_empty(store: Store, now: datetime.datetime | None = None) -> int:
    """Deletes clips that were announced a day ago and of which no byte came: their sender never heard the answer and began anew."""
    before = (now or now_utc()) - EMPTY
    with store.reading() as session:
        mine = select(ClipRow.id).where(ClipRow.state == "coming", ClipRow.received == 0, ClipRow.made_at < before)
        empty = list(session.scalars(mine))
    for clip_id in empty:
        Clips(store).delete(clip_id)
    return len(empty)


def ending(store: Store) -> list[Ending]:
    """The films that will be deleted, of those that whoever asks may see, the first to go first."""
    months = int(setting(store, CLIP_MONTHS))
    with store.reading() as session:
        rows = session.execute(
            select(ClipRow, PlayerRow.name)
            .outerjoin(SessionRow, SessionRow.id == ClipRow.session_id)
            .outerjoin(PlayerRow, PlayerRow.id == SessionRow.player_id)
            .where(ClipRow.told_at.is_not(None))
            .order_by(ClipRow.told_at, ClipRow.id)
        ).all()
        return [
            Ending(id=row.id, name=row.name, player=name or "", session_id=row.session_id, ends_on=_end(row, months))
            for row, name in rows
        ]


def _end(row: ClipRow, months: int) -> datetime.date:
    assert row.told_at is not None
    return max(row.told_at + NOTICE, months_before(row.kept_from or row.made_at, -months)).date()


def keep(store: Store, clip_id: int) -> None:
    """Keeps a film: its time begins anew. Raises UserError where there is none."""
    Clips(store).clip(clip_id)
    with store.writing() as session:
        row = session.get_one(ClipRow, clip_id)
        row.kept_from, row.told_at = now_utc(), None
