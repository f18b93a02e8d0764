"""Whose balls, days or plans were changed since somebody looked, without looking through all."""

import datetime
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Final

from sqlalchemy import Select, func, or_, select
from sqlalchemy.orm import Session

from threequarter.store.database.schema import BallRow, EditRow, HistoryRow, ImportRow, PlayerRow, SessionRow

NEWEST: Final = 12
"""Players of the newest days count as changed for who never looked."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Look:
    """How far the rows went when somebody looked: numbers are only ever added, and what was taken back bears its time."""

    ball: int
    edit: int
    act: int
    at: datetime.datetime


def look(session: Session, now: datetime.datetime) -> Look:
    """How far the rows go now."""
    ball, edit, act = (session.scalar(select(func.max(row.id))) or 0 for row in (BallRow, EditRow, HistoryRow))
    return Look(ball=ball, edit=edit, act=act, at=now)


def touched(session: Session, since: Look | None, most: int) -> list[tuple[int, str]]:
    """Number and name of the players with something new since then, at most so many."""
    numbers: dict[int, None] = {}
    for query in _queries(since) if since else (_newest(),):
        numbers |= dict.fromkeys(number for number in session.scalars(query.limit(most)) if number is not None)
    wanted: Sequence[int] = list(numbers)[:most]
    rows = session.execute(select(PlayerRow.id, PlayerRow.name).where(PlayerRow.id.in_(wanted)))
    return [(row.id, row.name) for row in rows]


def _newest() -> Select[Any]:
    return (
        select(SessionRow.player_id).where(SessionRow.binned_at.is_(None)).order_by(SessionRow.id.desc()).limit(NEWEST)
    )


def _queries(since: Look) -> tuple[Select[Any], ...]:
    of_import = select(SessionRow.player_id).join(ImportRow, ImportRow.session_id == SessionRow.id)
    of_ball = of_import.join(BallRow, BallRow.import_id == ImportRow.id)
    act = or_(HistoryRow.id > since.act, HistoryRow.undone_at >= since.at)
    return (
        of_ball.where(BallRow.id > since.ball).distinct(),
        of_ball.join(EditRow, EditRow.ball_id == BallRow.id)
        .where(or_(EditRow.id > since.edit, EditRow.undone_at >= since.at))
        .distinct(),
        of_import.where(ImportRow.undone_at >= since.at).distinct(),
        select(HistoryRow.player_id).where(act).distinct(),
        select(SessionRow.player_id).join(HistoryRow, HistoryRow.session_id == SessionRow.id).where(act).distinct(),
    )
