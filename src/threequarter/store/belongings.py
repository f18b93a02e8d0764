"""Everything that belongs to one player, by id."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Table, select, text
from sqlalchemy.orm import Session

from threequarter.golf.errors import UserError
from threequarter.store.keeping import name_key
from threequarter.store.schema import BallRow, ClipRow, ImportRow, PlayerRow, SessionRow


@dataclass(frozen=True, slots=True)
class Ids:
    player: int
    key: str
    sessions: Sequence[int]
    imports: Sequence[int]
    balls: Sequence[int]
    clips: Sequence[int]


def ids_of(session: Session, player: str) -> Ids:
    row = session.scalars(select(PlayerRow).where(PlayerRow.name_key == name_key(player))).first()
    if row is None:
        raise UserError(f"There is no player {player!r}.")
    sessions = session.scalars(select(SessionRow.id).where(SessionRow.player_id == row.id)).all()
    imports = session.scalars(select(ImportRow.id).where(ImportRow.session_id.in_(sessions))).all()
    balls = session.scalars(select(BallRow.id).where(BallRow.import_id.in_(imports))).all()
    clips = session.scalars(select(ClipRow.id).where(ClipRow.session_id.in_(sessions))).all()
    return Ids(row.id, row.name_key, sessions, imports, balls, clips)


def rows_of(table: Table, ids: Ids) -> Any:
    """The rows of a table that belong to a player."""
    c = table.columns
    return {
        "player": c.get("id") == ids.player, "club": c.get("player_id") == ids.player,
        "note": c.get("player_id") == ids.player, "consent": c.get("player_key") == ids.key,
        "session": c["id"].in_(ids.sessions), "import": c["id"].in_(ids.imports) if "id" in c else None,
        "ball": c["id"].in_(ids.balls) if "id" in c else None, "edit": c["ball_id"].in_(ids.balls) if "ball_id" in c else None,
        "aside": c["import_id"].in_(ids.imports) if "import_id" in c else None, "clip": c["id"].in_(ids.clips) if "id" in c else None,
    }.get(table.name, text("0 = 1")) if "id" in c else text("0 = 1")  # fmt: skip
