"""Swings seen live: one clip without a film for each time the camera watched, its swings in the order they were made."""

import datetime
import json
from collections.abc import Mapping
from typing import Any, Final

from threequarter.golf.errors import NotThereError
from threequarter.golf.message import Message
from threequarter.store.clips.clips import Clips
from threequarter.store.database.schema import ClipRow, SessionRow
from threequarter.store.imports.save_import import now_utc
from threequarter.store.store import Store
from threequarter.swing.measure import INSTANTS

NO_FILM: Final = ""
"""The suffix of a clip whose pictures were never kept."""
LIVE: Final = "live"
"""Its name as kept; the page says it in the reader's language."""
SAME_S: Final = 0.6
"""A swing so near another is the same, sent again."""


class LiveSwings:
    """The swings of a store that were seen live. Each method is one transaction."""

    def __init__(self, store: Store) -> None:
        self.store = store

    def add(
        self, session_id: int, clip_id: int | None, answer: Mapping[str, Any], swing: Mapping[str, Any], ago_s: float
    ) -> tuple[int, int]:
        """Keeps one swing of an answer, whose ball was struck `ago_s` seconds ago, in a clip, a new one for None; returns the
        clip and the swing's number there. Raises NotThereError where the session or the clip is not."""
        struck = now_utc() - datetime.timedelta(seconds=ago_s)
        with self.store.writing() as session:
            if session.get(SessionRow, session_id) is None:
                raise NotThereError(Message("store.there_is_no_session", session_id=session_id))
            row = session.get(ClipRow, clip_id, with_for_update=True) if clip_id is not None else None
            if clip_id is not None and (row is None or row.session_id != session_id or row.suffix != NO_FILM):
                raise NotThereError(Message("store.there_is_no_clip_it", clip_id=clip_id))
            if row is None:
                row = ClipRow(
                    session_id=session_id,
                    name=LIVE,
                    suffix=NO_FILM,
                    size=0,
                    received=0,
                    state="done",
                    progress=1.0,
                    made_at=now_utc(),
                    filmed_at=struck - datetime.timedelta(seconds=float(swing["t_impact_s"])),
                )
                session.add(row)
            kept = json.loads(row.answer)["swings"] if row.answer else []
            assert row.filmed_at is not None
            shift = (struck - row.filmed_at).total_seconds() - float(swing["t_impact_s"])
            at = float(swing["t_impact_s"]) + shift
            known = next((one["number"] for one in kept if abs(one["t_impact_s"] - at) < SAME_S), None)
            if known is not None:
                return row.id, int(known)
            moved = {name: round(swing[name] + shift, 4) for name in INSTANTS if swing[name] is not None}
            number = len(kept) + 1
            row.answer = json.dumps({**answer, "swings": [*kept, {**swing, **moved, "number": number}]})
            session.flush()
            found = row.id
        Clips(self.store).folder(found).mkdir(parents=True, exist_ok=True, mode=0o700)
        return found, number
