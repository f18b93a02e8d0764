"""The key that a phone gives a ball: looked up within its session, and followed where the ball was moved."""

from collections.abc import Sequence

from sqlalchemy import delete, select, update
from sqlalchemy.orm import Session

from threequarter.golf.errors import UserError
from threequarter.golf.message import Message
from threequarter.store.database.schema import BallRow, ImportRow, MovedBallRow, RejectedRow


def ball_by_key(session: Session, session_id: int, key: str) -> BallRow | None:
    """The ball of a key within a session, or one that was typed there and has been moved since; None for any other.

    A key says nothing outside its session: it stands in every export, and another room may have the same one.
    """
    here = select(BallRow).join(ImportRow).where(ImportRow.session_id == session_id, BallRow.client_key == key)
    moved = (
        select(BallRow)
        .join(ImportRow)
        .join(MovedBallRow, MovedBallRow.ball_id == BallRow.id)
        .where(MovedBallRow.session_id == session_id, MovedBallRow.client_key == key)
    )
    return session.scalars(here.order_by(BallRow.id)).first() or session.scalars(moved).first()


def move_rows(session: Session, rows: Sequence[BallRow], source: ImportRow, target: ImportRow) -> None:
    """Moves balls between layers, with what waits to be settled about them, and notes where they were typed.

    Raises UserError where the other session has a ball of the same key.
    """
    keys = [row.client_key for row in rows if row.client_key]
    there = select(BallRow.id).join(ImportRow).where(ImportRow.session_id == target.session_id)
    moving = [row.id for row in rows]
    if session.scalars(there.where(BallRow.client_key.in_(keys), BallRow.id.not_in(moving))).first():
        raise UserError(Message("store.ball_is_there_already", session=target.session_id))
    for row in rows:
        row.import_id = target.id
    if source.session_id == target.session_id:
        return
    home = (MovedBallRow.session_id == target.session_id, MovedBallRow.client_key.in_(keys))
    session.execute(delete(MovedBallRow).where(*home))
    waiting = (RejectedRow.import_id == source.id, RejectedRow.client_key.in_(keys))
    session.execute(update(RejectedRow).where(*waiting).values(import_id=target.id))
    session.add_all(
        MovedBallRow(session_id=source.session_id, client_key=row.client_key, ball_id=row.id)
        for row in rows
        if row.client_key
    )
