"""A lesson: a session with its chart, its balls, the swings of its clips and its notes, brought together."""

import datetime
from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from threequarter.answers.swing import said_again, swings_answer
from threequarter.app.charts import SessionChart
from threequarter.app.lesson_view import LessonView, Seen
from threequarter.app.own_swings import kept_track, own_clips, own_lengths, tempos_beside
from threequarter.golf.errors import UserError
from threequarter.golf.plan import Plan
from threequarter.golf.units import DistanceUnit
from threequarter.language.localize import _
from threequarter.store.clips.clips import Clip, Clips
from threequarter.store.clips.lessons import Lessons
from threequarter.store.clips.live import FILM, SAME_S
from threequarter.store.imports.save_import import now_utc
from threequarter.store.media.media_files import pictures_of
from threequarter.store.results import SessionInfo
from threequarter.store.store import Store
from threequarter.swing.words import USUAL, Lengths

Place = tuple[int, int]
"""A clip and the number of a swing in it."""


def lesson_from(
    store: Store, info: SessionInfo, view: SessionChart | None, unit: DistanceUnit | None = None
) -> LessonView:
    """A session and its chart as a lesson."""
    session_id, lessons = info.id, Lessons(store)
    seen, places = session_swings(store, session_id)
    if all(one.at is not None for one in seen):
        seen.sort(key=lambda one: one.at or now_utc())
    links = lessons.links(session_id)
    return LessonView(
        kept=view.kept if view else store.kept_balls(session_id),
        seen=seen,
        chart=view.chart if view else None,
        unit=view.unit if view else unit or info.unit,
        notes=lessons.notes(session_id),
        told={places.get(swing, swing): ball for swing, ball in links.items()}
        | {swing: ball for swing, ball in links.items() if swing not in places},
    )


def films_of_shot(store: Store, days: Sequence[SessionInfo], plan: Plan, shot: tuple[str, str]) -> list[Seen]:
    """The swings on film of `days` that hit a ball of one shot (its key, under the names of the plan), in the order of the days."""
    found = []
    for info in days:
        lesson = lesson_from(store, info, None)
        hit = plan.named_all([one.ball for one in lesson.kept])
        found += [lesson.seen[p.swing] for p in lesson.pairs if p.ball is not None and hit[p.ball].shot == shot]
    return found


def session_swings(store: Store, session_id: int) -> tuple[list[Seen], dict[Place, Place]]:
    """The swings of a session's clips, in order. Of a swing seen live whose clip was kept the film's is taken as soon as it is measured;
    which took whose place is told beside."""
    clips = Clips(store).of_session(session_id)
    if not clips:
        return [], {}
    own, all_clips = own_lengths(store, clips[0]), list(own_clips(store, clips[0]))
    seen = [
        replace(one, tempos=tempos)
        for clip in clips
        for tempos in (tempos_beside(all_clips, clip.id),)
        for one in seen_of(store, clip, own)
    ]
    return _by_film(seen)


def _by_film(seen: list[Seen]) -> tuple[list[Seen], dict[Place, Place]]:
    places: dict[Place, Place] = {}
    films = {one.swing[FILM]["clip"] for one in seen if one.swing.get(FILM)}
    for live in seen:
        if not (told := live.swing.get(FILM)):
            continue
        there = [one for one in seen if one.clip.id == told["clip"]]
        near = min(there, key=lambda one: abs(one.swing["t_impact_s"] - told["at_s"]), default=None)
        if near and abs(near.swing["t_impact_s"] - told["at_s"]) < SAME_S:
            places[live.clip.id, live.number] = (near.clip.id, near.number)
    shown = set(places.values())
    return [
        one
        for one in seen
        for place in ((one.clip.id, one.number),)
        if place in shown or (place not in places and one.clip.id not in films)
    ], places


def seen_of(store: Store, clip: Clip, own: Lengths | None) -> list[Seen]:
    """The swings of a clip, with a coach's corrections."""
    if clip.state != "done" or clip.answer is None:
        return []
    swings = with_marks(store, clip, clip.marks or {}, own)["swings"]
    sheets = [name for name in pictures_of(Clips(store).made(clip.id)) if "curves" not in name]
    return [
        Seen(
            clip=clip,
            number=n,
            swing=swing,
            sheet=next((name for name in sheets if f"-swing-{n}." in name), None),
            own=own or USUAL,
            at=clip.filmed_at + datetime.timedelta(seconds=swing["t_impact_s"]) if clip.filmed_at else None,
        )
        for n, swing in ((swing.get("number", place), swing) for place, swing in enumerate(swings, start=1))
    ]


def lesson_notes(store: Store, session_id: int) -> str:
    """The notes of a lesson, a line each, for the page to take home."""
    return "\n".join(one.text for one in Lessons(store).notes(session_id))


def with_marks(store: Store, clip: Clip, marks: dict[str, Any], own: Lengths | None = None) -> dict[str, Any]:
    """The answer with the corrections in it, each swing naming its marked fields, said by what lengths mean to the player (`own`
    where that is known already)."""
    if clip.answer is None:
        raise UserError(_("This clip is not measured yet."))
    from threequarter.swing.check import check
    from threequarter.swing.marks import POSES, apply_marks

    own = own_lengths(store, clip) if own is None else own
    if not marks.keys() - {POSES}:
        return said_again(clip.answer, own)
    seen = kept_track(store, clip)
    found, changed = apply_marks(check(seen), seen, marks)
    felt = {swing.get("number", n): swing.get("felt") for n, swing in enumerate(clip.answer["swings"], start=1)}
    answer = swings_answer(found, [felt.get(number) for number in found.numbers] or [None], own)
    sheets = {swing.get("number", n): swing.get("sheet") for n, swing in enumerate(clip.answer["swings"], start=1)}
    for swing in answer["swings"]:
        swing["marked"] = changed.get(swing["number"], [])
        swing["sheet"] = sheets.get(swing["number"])
    return answer
