"""What stands in a session: its row, its balls after every import and edit, and how many there are."""

from collections import defaultdict
from collections.abc import Sequence

from sqlalchemy import distinct, func, select
from sqlalchemy.orm import Session

from threequarter.golf.errors import NotThereError
from threequarter.golf.message import Message
from threequarter.golf.units import DistanceUnit
from threequarter.store.database.schema import BallRow, EditRow, ImportRow, SessionRow
from threequarter.store.results import SessionInfo


def session_row(session: Session, session_id: int) -> SessionRow:
    """One session. Raises UserError where there is none."""
    row = session.get(SessionRow, session_id)
    if row is None:
        raise NotThereError(Message("store.there_is_no_session_see", session_id=session_id))
    return row


def current_balls(session: Session, session_id: int) -> list[tuple[BallRow, str]]:
    """The balls that stand, with their file's name: of each slot the newest import that was not undone, in the order hit."""
    return balls_of_days(session, [session_id])[session_id]


def balls_of_days(session: Session, session_ids: Sequence[int]) -> dict[int, list[tuple[BallRow, str]]]:
    """The same for several sessions at once."""
    rows = session.execute(
        select(BallRow, ImportRow.name, ImportRow.family, ImportRow.session_id)
        .join(ImportRow, BallRow.import_id == ImportRow.id)
        .where(ImportRow.session_id.in_(session_ids), ImportRow.undone_at.is_(None))
        .order_by(BallRow.import_id)
    ).all()
    top: dict[int, dict[str, tuple[BallRow, str, int]]] = defaultdict(dict)
    for row, name, family, session_id in rows:
        top[session_id][row.slot] = (row, name, family)
    return {
        session_id: [
            (row, name)
            for row, name, _family in sorted(
                top[session_id].values(), key=lambda item: (item[2], item[0].rank, item[0].import_id)
            )
        ]
        for session_id in session_ids
    }


def edits_of(session: Session, *session_ids: int) -> dict[int, EditRow]:
    """The last change of each changed ball of some sessions that was not undone."""
    rows = session.scalars(
        select(EditRow)
        .join(BallRow, EditRow.ball_id == BallRow.id)
        .join(ImportRow, BallRow.import_id == ImportRow.id)
        .where(ImportRow.session_id.in_(session_ids), EditRow.undone_at.is_(None))
        .order_by(EditRow.id)
    ).all()
    return {row.ball_id: row for row in rows}


def count_of(session: Session, session_id: int) -> int:
    """How many balls stand in a session."""
    query = (
        select(func.count(distinct(BallRow.slot)))
        .join(ImportRow, BallRow.import_id == ImportRow.id)
        .where(ImportRow.session_id == session_id, ImportRow.undone_at.is_(None))
    )
    return session.scalar(query) or 0


def info_of(row: SessionRow, player: str | None, count: int) -> SessionInfo:
    unit: DistanceUnit = "m" if row.unit == "m" else "yd"
    return SessionInfo(
        id=row.id,
        title=row.title,
        player=player,
        unit=unit,
        ground=row.ground,
        made_at=row.made_at,
        balls=count,
        held_on=row.held_on or row.made_at.date(),
        assumed=row.held_on is None,
        binned=row.binned_at is not None,
    )
