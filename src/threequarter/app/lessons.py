"""A lesson: a session with its chart, its balls, the swings of its clips and its notes, brought together."""

import datetime
from typing import Any

from threequarter.answers.swing import said_again, swings_answer
from threequarter.app.charts import SessionChart
from threequarter.app.lesson_view import LessonView, Seen
from threequarter.golf.errors import UserError
from threequarter.golf.units import DistanceUnit
from threequarter.language.localize import _
from threequarter.store.clips.clips import Clip, Clips
from threequarter.store.clips.lessons import Lessons
from threequarter.store.imports.save_import import now_utc
from threequarter.store.media.media_files import pictures_of
from threequarter.store.results import SessionInfo
from threequarter.store.store import Store


def lesson_from(
    store: Store, info: SessionInfo, view: SessionChart | None, unit: DistanceUnit | None = None
) -> LessonView:
    """A session and its chart as a lesson."""
    session_id, lessons = info.id, Lessons(store)
    seen = [one for clip in Clips(store).of_session(session_id) for one in _seen(store, clip)]
    if all(one.at is not None for one in seen):
        seen.sort(key=lambda one: one.at or now_utc())
    return LessonView(
        kept=view.kept if view else store.kept_balls(session_id),
        seen=seen,
        chart=view.chart if view else None,
        unit=view.unit if view else unit or info.unit,
        notes=lessons.notes(session_id),
        told=lessons.links(session_id),
    )


def _seen(store: Store, clip: Clip) -> list[Seen]:
    """The swings of a clip, with a coach's corrections."""
    if clip.state != "done" or clip.answer is None:
        return []
    swings = with_marks(store, clip, clip.marks or {})["swings"]
    sheets = [name for name in pictures_of(Clips(store).made(clip.id)) if "curves" not in name]
    return [
        Seen(
            clip=clip,
            number=n,
            swing=swing,
            sheet=next((name for name in sheets if f"-swing-{n}." in name), None),
            at=clip.filmed_at + datetime.timedelta(seconds=swing["t_impact_s"]) if clip.filmed_at else None,
        )
        for n, swing in ((swing.get("number", place), swing) for place, swing in enumerate(swings, start=1))
    ]


def lesson_notes(store: Store, session_id: int) -> str:
    """The notes of a lesson, a line each, for the page to take home."""
    return "\n".join(one.text for one in Lessons(store).notes(session_id))


def with_marks(store: Store, clip: Clip, marks: dict[str, Any]) -> dict[str, Any]:
    """The answer with the corrections in it, each swing naming its marked fields."""
    if clip.answer is None:
        raise UserError(_("This clip is not measured yet."))
    if not marks:
        return said_again(clip.answer)
    from threequarter.swing.check import check
    from threequarter.swing.keep import load_track
    from threequarter.swing.marks import apply_marks

    try:
        seen = load_track(Clips(store).made(clip.id) / "track.npz")
    except (OSError, ValueError, KeyError):
        raise UserError(_("The body points of this clip are not kept any more; send it again to correct it.")) from None
    found, changed = apply_marks(check(seen), seen, marks)
    felt = {swing.get("number", n): swing.get("felt") for n, swing in enumerate(clip.answer["swings"], start=1)}
    answer = swings_answer(found, [felt.get(number) for number in found.numbers] or [None])
    sheets = {swing.get("number", n): swing.get("sheet") for n, swing in enumerate(clip.answer["swings"], start=1)}
    for swing in answer["swings"]:
        swing["marked"] = changed.get(swing["number"], [])
        swing["sheet"] = sheets.get(swing["number"])
    return answer
