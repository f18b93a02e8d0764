"""The demo's three days in a store: a bucket, a lesson and the balls of a recheck, each by the road that a coach's own take."""

import datetime
import secrets
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Final

from threequarter.demo import BALL, BUCKET, BY_WHOM, LATER, PLAYER, TITLE, WHERE, TypedDay
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


def keep_demo(store: Store, measure: Callable[[int], None] | None = None) -> str:
    """Keeps the days of the invented player and returns their name; where the bucket is kept already, nothing is added. The film of
    the lesson is kept only where somebody can `measure` the clip of that number."""
    content, name = BUCKET.read_bytes(), f"{TITLE}.csv"
    kept = store.keep_reading(read_content(content, name, "table", ReadOptions()), content, name=name)
    if kept.what == "new session":
        told = store.facts(kept.session_id)
        store.set_facts(kept.session_id, replace(told, where_held=WHERE, ball_kind=_(BALL)))
        for day in LATER:
            session_id = _keep_typed(store, day)
            if day.film and measure:
                measure(_keep_film(Clips(store), session_id, day.film))
    return PLAYER


def _keep_typed(store: Store, day: TypedDay) -> int:
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
    return session_id


def _keep_film(clips: Clips, session_id: int, film: Path) -> int:
    content = film.read_bytes()
    clips.agree(session_id, _(BY_WHOM))
    clip_id = clips.begin(film.name, len(content), session_id=session_id)
    clips.take(clip_id, 0, content)
    return clip_id
