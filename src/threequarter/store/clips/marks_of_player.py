"""The corrections of all clips of a player, without what was measured."""

import json
from typing import Any

from sqlalchemy import select

from threequarter.golf.player import name_key
from threequarter.store.database.schema import ClipRow, PlayerRow, SessionRow
from threequarter.store.store import Store


def marks_of_player(store: Store, player: str) -> list[tuple[int, int, dict[str, Any]]]:
    """Session, clip and marks of each clip of a player that has some and is not in the bin, by session and clip."""
    query = (
        select(ClipRow.session_id, ClipRow.id, ClipRow.marks)
        .join(SessionRow, ClipRow.session_id == SessionRow.id)
        .join(PlayerRow, SessionRow.player_id == PlayerRow.id)
        .where(PlayerRow.name_key == name_key(player), ClipRow.marks.is_not(None), ClipRow.binned_at.is_(None))
        .order_by(ClipRow.session_id, ClipRow.id)
    )
    with store.reading() as session:
        rows: list[Any] = [tuple(row) for row in session.execute(query)]
    return [(session_id, clip_id, json.loads(marks)) for session_id, clip_id, marks in rows]
