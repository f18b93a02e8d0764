"""What a player's chart rests on, as a mark that changes with it: days and their facts, balls that stand, changes of them, the plan."""

import hashlib
from collections import defaultdict
from collections.abc import Sequence
from functools import cache
from typing import Any

from sqlalchemy import BindParameter, Select, bindparam, func, select
from sqlalchemy.orm import Session

from threequarter.store.database.schema import (
    BallRow,
    Base,
    ClubRow,
    EditRow,
    ImportRow,
    PlayerRow,
    SessionRow,
    SwingLengthRow,
)


def revisions(session: Session, names: Sequence[str]) -> dict[str, tuple[int, str]]:
    """For each player by name key: the player's number and the mark.

    Balls and changes are never rewritten, so their numbers tell them; a sum of squares tells sets apart that a sum would not.
    """
    people = {
        row.id: row.name_key
        for row in session.execute(select(PlayerRow.id, PlayerRow.name_key).where(PlayerRow.name_key.in_(names)))
    }
    rests: dict[int, list[Any]] = defaultdict(list)
    for query in _queries():
        for player_id, *rest in session.execute(query, {"players": list(people)}).all():
            rests[player_id].append([str(one) for one in rest])
    return {key: (number, hashlib.sha256(repr(rests[number]).encode()).hexdigest()) for number, key in people.items()}


@cache
def _queries() -> tuple[Select[Any], ...]:
    """Asked with every page of a player, so they are built once; of whom is told by `players`."""
    players: BindParameter[int] = bindparam("players", expanding=True)
    mine, owner = SessionRow.player_id.in_(players), SessionRow.player_id
    stands = (mine, SessionRow.binned_at.is_(None), ImportRow.undone_at.is_(None))
    facts = [column for column in _columns(SessionRow) if column.key not in ("key", "player_id", "started_at")]
    return (
        select(owner, *facts).where(mine).order_by(SessionRow.id),
        select(owner, ImportRow.id, ImportRow.session_id, *_set_of(BallRow.id))
        .join(ImportRow, ImportRow.session_id == SessionRow.id)
        .join(BallRow, BallRow.import_id == ImportRow.id)
        .where(*stands)
        .group_by(owner, ImportRow.id, ImportRow.session_id)
        .order_by(ImportRow.id),
        select(owner, *_set_of(EditRow.id))
        .join(ImportRow, ImportRow.session_id == SessionRow.id)
        .join(BallRow, BallRow.import_id == ImportRow.id)
        .join(EditRow, EditRow.ball_id == BallRow.id)
        .where(*stands, EditRow.undone_at.is_(None))
        .group_by(owner),
        select(ClubRow.player_id, *_columns(ClubRow)).where(ClubRow.player_id.in_(players)).order_by(ClubRow.id),
        select(SwingLengthRow.player_id, *_columns(SwingLengthRow))
        .where(SwingLengthRow.player_id.in_(players))
        .order_by(SwingLengthRow.id),
    )


def _columns(row: type[Base]) -> list[Any]:
    return [getattr(row, one.key) for one in row.__mapper__.column_attrs]


def _set_of(number: Any) -> tuple[Any, ...]:
    small = number % 99_991
    return func.count(number), func.max(number), func.sum(number), func.sum(small * small)
