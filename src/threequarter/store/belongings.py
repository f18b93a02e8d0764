"""Everything that belongs to one player: one list, by which it is exported and erased."""

from collections.abc import Sequence
from dataclasses import dataclass

from sqlalchemy import ColumnElement, select
from sqlalchemy.orm import Session

from threequarter.golf.errors import UserError
from threequarter.golf.player import name_key
from threequarter.store.schema import (
    AsideRow,
    BallRow,
    Base,
    ClipRow,
    ClubRow,
    ConsentRow,
    EditRow,
    ImportRow,
    NoteRow,
    PlayerRow,
    SessionRow,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Belongings:
    """The rows of a player, table by table, those that refer to others first; and the clips, whose films lie in files."""

    rows: tuple[tuple[type[Base], ColumnElement[bool]], ...]
    imports: Sequence[int]
    clips: Sequence[int]


def belongings(session: Session, player: str) -> Belongings:
    """What belongs to a player. Raises UserError for one who is not there."""
    row = session.scalars(select(PlayerRow).where(PlayerRow.name_key == name_key(player))).first()
    if row is None:
        raise UserError(f"There is no player {player[:80]!r}.")
    sessions = session.scalars(select(SessionRow.id).where(SessionRow.player_id == row.id)).all()
    imports = session.scalars(select(ImportRow.id).where(ImportRow.session_id.in_(sessions))).all()
    balls = session.scalars(select(BallRow.id).where(BallRow.import_id.in_(imports))).all()
    clips = session.scalars(select(ClipRow.id).where(ClipRow.session_id.in_(sessions))).all()
    rows: tuple[tuple[type[Base], ColumnElement[bool]], ...] = (
        (EditRow, EditRow.ball_id.in_(balls)), (BallRow, BallRow.id.in_(balls)), (AsideRow, AsideRow.import_id.in_(imports)),
        (ImportRow, ImportRow.id.in_(imports)), (ClipRow, ClipRow.id.in_(clips)), (SessionRow, SessionRow.id.in_(sessions)),
        (ConsentRow, ConsentRow.player_key == row.name_key), (ClubRow, ClubRow.player_id == row.id), (NoteRow, NoteRow.player_id == row.id),
        (PlayerRow, PlayerRow.id == row.id),
    )  # fmt: skip
    return Belongings(rows=rows, imports=imports, clips=clips)
