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
FILM: Final = "film"
"""Under this name a swing bears the clip that was kept of it, and the second of the ball there."""


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

    def hang(self, session_id: int, clip_id: int, number: int, film_id: int, at_s: float) -> None:
        """Says that a film of the same session shows a swing, its ball `at_s` seconds after the first picture. Raises NotThereError
        where one of them is not."""
        with self.store.writing() as session:
            row = session.get(ClipRow, clip_id, with_for_update=True)
            for wanted, filmed in ((clip_id, False), (film_id, True)):
                found = session.get(ClipRow, wanted)
                if found is None or found.session_id != session_id or (found.suffix != NO_FILM) != filmed:
                    raise NotThereError(Message("store.there_is_no_clip_it", clip_id=wanted))
            assert row is not None
            answer = json.loads(row.answer or '{"swings": []}')
            swing = next((one for one in answer["swings"] if one["number"] == number), None)
            if swing is None:
                raise NotThereError(Message("swing.mark_no_swing", swing=number))
            swing[FILM] = {"clip": film_id, "at_s": at_s}
            row.answer = json.dumps(answer)
