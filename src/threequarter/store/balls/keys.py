"""The key that a phone gives a ball: looked up within its session, and followed where the ball was moved."""

import json
from collections.abc import Sequence

from sqlalchemy import delete, or_, select, update
from sqlalchemy.orm import Session

from threequarter.golf.errors import UserError
from threequarter.golf.message import Message
from threequarter.store.database.schema import (
    BallRow,
    HistoryRow,
    ImportRow,
    MovedBallRow,
    PlayerRow,
    RejectedRow,
    SessionRow,
)


def ball_by_key(session: Session, days: Sequence[int], key: str) -> BallRow | None:
    """The ball of a key within a session and those it was ever joined with, or one that was typed there and has been moved since;
    None for any other. `days` are those sessions (see `days_joined_with`).

    A key says nothing elsewhere: it stands in every export, and another room may have the same one.
    """
    here = select(BallRow).join(ImportRow).where(ImportRow.session_id.in_(days), BallRow.client_key == key)
    moved = (
        select(BallRow)
        .join(ImportRow)
        .join(MovedBallRow, MovedBallRow.ball_id == BallRow.id)
        .where(MovedBallRow.session_id.in_(days), MovedBallRow.client_key == key)
    )
    return session.scalars(here.order_by(BallRow.id)).first() or session.scalars(moved).first()


def days_joined_with(session: Session, session_id: int) -> tuple[int, ...]:
    """A session and all that were ever joined with it, one after the other, also where that was taken back: balls of either may
    stand in the other."""
    owner = select(SessionRow.player_id).where(SessionRow.id == session_id).scalar_subquery()
    merged = select(PlayerRow.id).where(PlayerRow.merged_into == owner)
    theirs = or_(HistoryRow.player_id == owner, HistoryRow.player_id.in_(merged))
    acts = session.scalars(select(HistoryRow.body).where(HistoryRow.kind == "join", theirs)).all()
    joined = [{told["source"], told["target"]} for told in map(json.loads, acts)]
    found = {session_id}
    while more := {day for pair in joined if pair & found for day in pair} - found:
        found |= more
    return tuple(sorted(found))


def came_by_joining(session: Session, session_id: int) -> set[int]:
    """The layers of a session that are another's, joined into it: what comes now is not theirs, and stays when they go back."""
    acts = session.scalars(
        select(HistoryRow.body).where(
            HistoryRow.kind == "join", HistoryRow.session_id == session_id, HistoryRow.undone_at.is_(None)
        )
    )
    return {layer for body in acts for layer in json.loads(body)["imports"]}


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
    either = (source.session_id, target.session_id)
    home = (MovedBallRow.session_id.in_(either), MovedBallRow.client_key.in_(keys))
    session.execute(delete(MovedBallRow).where(*home))
    waiting = (RejectedRow.import_id == source.id, RejectedRow.client_key.in_(keys))
    session.execute(update(RejectedRow).where(*waiting).values(import_id=target.id))
    session.add_all(
        MovedBallRow(session_id=source.session_id, client_key=row.client_key, ball_id=row.id)
        for row in rows
        if row.client_key
    )
