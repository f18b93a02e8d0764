"""What Today shows: what runs, who is due a recheck, and whose balls came in last."""

import datetime
from dataclasses import dataclass
from typing import Final

from threequarter.answers.answer import Answer
from threequarter.app.charts import session_chart
from threequarter.golf.units import DistanceUnit
from threequarter.store.balls.phone_balls import PhoneBalls, TypedSession
from threequarter.store.clips.lessons import Lessons
from threequarter.store.imports.save_import import now_utc
from threequarter.store.people.clinics import Clinic, Clinics
from threequarter.store.people.roster import Roster
from threequarter.store.results import SessionInfo
from threequarter.store.store import Store

RUNS: Final = datetime.timedelta(hours=4)
"""So long after its start a lesson, a clinic or balls alone still run."""
NEWEST: Final = 30
"""Days looked through for the latest players."""
LATEST: Final = 5
DUE: Final = 3


@dataclass(frozen=True, slots=True, kw_only=True)
class RunningLesson:
    """A lesson that runs: its day, whole minutes since it began, and the answer of its balls (None without one)."""

    info: SessionInfo
    minutes: int
    answer: Answer | None
    unit: DistanceUnit


@dataclass(frozen=True, slots=True, kw_only=True)
class Today:
    """What runs (newest first), who is due and since which day, and the newest day of each of the latest players."""

    lessons: tuple[RunningLesson, ...]
    clinics: tuple[Clinic, ...]
    alone: tuple[TypedSession, ...]
    due: tuple[SessionInfo, ...]
    due_in_all: int
    latest: tuple[SessionInfo, ...]

    @property
    def empty(self) -> bool:
        """Whether nothing was ever begun or brought in."""
        return not (self.lessons or self.clinics or self.alone or self.latest or self.due)


def today(store: Store, recheck_after: datetime.timedelta) -> Today:
    """What stands on Today; due is who hit no ball for `recheck_after`."""
    now = now_utc()
    since = now - RUNS
    lessons = [_lesson(store, number, now) for number in Lessons(store).running(since)]
    clinics = [one for one in Clinics(store).newest(3) if one.made_at >= since]
    elsewhere = {one.info.id for one in lessons} | {number for one in clinics for number in one.sessions}
    alone = [one for one in PhoneBalls(store).recent() if one.made_at >= since and one.id not in elsewhere]
    told = store.facts_of([one.id for one in alone])
    alone = [one for one in alone if told[one.id].held_on in (None, now.date())]  # of another date: it ran then
    late = Roster(store).due(now - recheck_after)
    return Today(
        lessons=tuple(lessons),
        clinics=tuple(clinics),
        alone=tuple(alone),
        due=_newest_days(store.sessions(late[:DUE]), DUE),
        due_in_all=len(late),
        latest=_newest_days(store.sessions(newest=NEWEST), LATEST),
    )


def _lesson(store: Store, session_id: int, now: datetime.datetime) -> RunningLesson:
    info, view = session_chart(store, session_id, None)
    gone = now - Lessons(store).started_at(session_id)
    return RunningLesson(
        info=info,
        minutes=int(gone.total_seconds() // 60),
        answer=view.answer if view else None,
        unit=view.unit if view else info.unit,
    )


def _newest_days(sessions: list[SessionInfo], most: int) -> tuple[SessionInfo, ...]:
    """The newest day of each player, in the order they came in; a day of nobody stands for itself."""
    found: dict[str, SessionInfo] = {}
    for info in sessions:
        key = info.player or f"/{info.id}"
        if key not in found or info.held_on > found[key].held_on:
            found[key] = info
    return tuple(found.values())[:most]
