"""The days that a file fills: a session for each date in it, with what the file tells of it."""

import datetime
from collections.abc import Mapping, Sequence
from typing import Any

from sqlalchemy.orm import Session

from threequarter.intake.reading import Reading
from threequarter.store.database.schema import SessionRow
from threequarter.store.imports.matching import Known
from threequarter.store.results import Facts

Dates = Sequence[datetime.date | None]
"""The date of each ball of a reading, None where the file does not tell it."""


def new_days(session: Session, reading: Reading, dates: Dates, like: Mapping[str, Any]) -> dict[int, list[int]]:
    """A session for each date, the oldest first, alike but for that; returns which balls of the reading are of each."""
    placed: dict[int, list[int]] = {}
    for held_on in sorted(set(dates), key=lambda one: one or datetime.date.max):
        row = SessionRow(**like, **_told(reading, held_on))
        session.add(row)
        session.flush()
        placed[row.id] = [i for i, one in enumerate(dates) if one == held_on]
    return placed


def placed_by_day(
    session: Session,
    reading: Reading,
    first: int,
    day_of: Mapping[str, int],
    fresh: Sequence[int],
    known: Sequence[Known | None],
    dates: Dates,
) -> dict[int, list[int]]:
    """Which day each new row of a known file goes to: a corrected ball to the one it stands in (`day_of` its slot), a new one to
    that of its date's other balls, else to a new day; one without a date to the `first` day of the file."""
    of_date: dict[datetime.date | None, int] = {}
    for ball, held_on in zip(known, dates, strict=True):
        if ball is not None:
            of_date.setdefault(held_on, day_of[ball.slot])
    placed: dict[int, list[int]] = {}
    for i in fresh:
        ball, held_on = known[i], dates[i]
        if ball is None and held_on not in of_date:
            of_date[held_on] = _another(session, reading, first, held_on) if held_on else first
        placed.setdefault(of_date[held_on] if ball is None else day_of[ball.slot], []).append(i)
    return placed


def _another(session: Session, reading: Reading, first: int, held_on: datetime.date) -> int:
    like = session.get_one(SessionRow, first)
    names = ("player_id", "coach_id", "title", "unit", "ground", "made_at")
    row = SessionRow(**{name: getattr(like, name) for name in names}, **_told(reading, held_on))
    session.add(row)
    session.flush()
    return row.id


def _told(reading: Reading, held_on: datetime.date | None) -> dict[str, Any]:
    """What a file tells of one of its days."""
    dated = {"held_on": held_on, "dated_by": "file"} if held_on else {}
    return {**dated, **{name: reading.conditions[name] for name in Facts.__slots__ if name in reading.conditions}}
