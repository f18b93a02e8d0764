"""The demo's three days in a store: a bucket, a lesson and the balls of a recheck, each by the road that a coach's own take."""

import datetime
import secrets
from dataclasses import replace
from typing import Final

from threequarter.demo import BALL, BUCKET, BY_WHOM, LATER, PLAYER, TITLE, WHERE, TypedDay
from threequarter.golf.errors import UserError
from threequarter.intake.load import read_content
from threequarter.intake.notes.read import NoteOptions, read_notes
from threequarter.intake.options import ReadOptions
from threequarter.language.localize import _
from threequarter.store.balls.phone_ball_parser import told_of
from threequarter.store.balls.phone_balls import PhoneBalls
from threequarter.store.clips.clips import Clips
from threequarter.store.clips.lessons import Lessons
from threequarter.store.results import Facts
from threequarter.store.store import Store

BEGAN: Final = datetime.time(14, 0)
"""When the lesson began (UTC)."""


def keep_demo(store: Store) -> str:
    """Keeps the days of the invented player and returns their name; where the bucket is kept already, nothing is added."""
    content, name = BUCKET.read_bytes(), f"{TITLE}.csv"
    kept = store.keep_reading(read_content(content, name, "table", ReadOptions()), content, name=name)
    if kept.what == "new session":
        told = store.facts(kept.session_id)
        store.set_facts(kept.session_id, replace(told, where_held=WHERE, ball_kind=_(BALL)))
        for day in LATER:
            _keep_typed(store, day)
    return PLAYER


def keep_demo_film(store: Store) -> int:
    """Keeps the film of the demo's lesson, to be measured, and returns its clip; the one that is there already is not kept twice.
    Raises UserError where the lesson is gone."""
    clips, lesson = Clips(store), LATER[0]
    days = [one.id for one in store.sessions([PLAYER]) if one.held_on == lesson.held_on]
    if not days or lesson.film is None:
        raise UserError(_("The demo's lesson is not here. Open the demo first."))
    for clip in clips.of_session(days[0]):
        if clip.name == lesson.film.name:
            return clip.id
    content = lesson.film.read_bytes()
    clips.agree(days[0], _(BY_WHOM))
    clip_id = clips.begin(lesson.film.name, len(content), session_id=days[0])
    clips.take(clip_id, 0, content)
    return clip_id


def _keep_typed(store: Store, day: TypedDay) -> None:
    typed, stamp = PhoneBalls(store), secrets.token_hex(8)
    session_id = typed.begin(PLAYER)
    balls = read_notes(day.file.read_text(encoding="utf-8"), NoteOptions(unit="yd")).balls
    typed.take(session_id, [told_of(ball, f"{stamp}-{n:04}") for n, ball in enumerate(balls)])
    for note in day.notes:
        Lessons(store).note(session_id, _(note))
    if day.lesson:
        Lessons(store).start(session_id, datetime.datetime.combine(day.held_on, BEGAN))
    told = Facts(held_on=day.held_on, dated_by="hand", where_held=WHERE, ball_kind=_(BALL), temp_c=day.temp_c)
    store.set_facts(session_id, told)
