"""Homework from one lesson to the next: what the last page to take home set, and what became of it."""

import datetime
from collections.abc import Sequence
from dataclasses import dataclass

from threequarter.app.standing import standing_chart
from threequarter.chart.mishits import pooled_share
from threequarter.golf.units import DistanceUnit
from threequarter.language import words
from threequarter.language.localize import _, day
from threequarter.practice.games import Homework, homework
from threequarter.store.clips.lessons import Lessons
from threequarter.store.results import SessionInfo
from threequarter.store.store import Store


@dataclass(frozen=True, slots=True, kw_only=True)
class HomeworkAsked:
    """What the page of the player's last day before this one set, by the standing chart as it stood then."""

    set_on: datetime.date
    tasks: tuple[Homework, ...]
    unit: DistanceUnit

    def rows(self) -> list[dict[str, object]]:
        """The tasks for a page."""
        return [
            {
                "shot": f"{one.club} {one.swing}",
                "band": f"{words.rounded(one.band_m.low, self.unit)}–{words.rounded(one.band_m.high, self.unit)} {self.unit}",
                "balls": one.balls,
                "pass": one.pass_mark,
            }
            for one in self.tasks
        ]


def homework_asked(store: Store, info: SessionInfo) -> HomeworkAsked | None:
    """The homework a lesson begins with; None for a first lesson, for piles, and once it was answered."""
    before = [one for one in store.sessions([info.player]) if one.held_on < info.held_on] if info.player else []
    if not before:
        return None
    last = max(before, key=lambda one: (one.held_on, one.made_at, one.id))
    view = standing_chart(store, info.player or "", only=[one.id for one in before])
    if view is None or pooled_share(view.chart) is None:
        return None
    if any(note.text.startswith(_begins(last.held_on)) for note in Lessons(store).notes(info.id)):
        return None
    found = homework(view.chart)
    return HomeworkAsked(set_on=last.held_on, tasks=found, unit=view.unit) if found else None


def keep_homework(store: Store, info: SessionInfo, asked: HomeworkAsked, inside: Sequence[int | None]) -> int:
    """Keeps what became of the homework as a note of the lesson: so it stands on the next page to take home too."""
    told = []
    for task, count in zip(asked.tasks, inside, strict=False):
        shot = f"{task.club} {task.swing}"
        if count is not None:
            line = (
                _("{shot} {count} of {balls} inside")
                if count >= task.pass_mark
                else _("{shot} {count} of {balls} inside; the target was {mark}")
            )
            told.append(line.format(shot=shot, count=count, balls=task.balls, mark=task.pass_mark))
    said = "; ".join(told) or _("not done")
    return Lessons(store).note(info.id, f"{_begins(asked.set_on)} {said}")


def _begins(set_on: datetime.date) -> str:
    return _("Homework of {day}:").format(day=day(set_on))
