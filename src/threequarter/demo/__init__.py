"""The demo: an invented player on three days of one season; balls simulated by scripts/make_demo.py, which states its assumptions, and
a rendered film of two swings, cut by the same script from a clip of the tests."""

import datetime
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from threequarter.language.localize import N_

PLAYER: Final = "Robin Sedge"
WHERE: Final = "Harrowmere"
BALL: Final = N_("range ball")
TITLE: Final = "demo bucket"
SAID: Final = N_("Robin Sedge and Harrowmere are invented; the balls are simulated, not hit; the film is rendered.")
BY_WHOM: Final = N_("nobody: the film is rendered, the player invented")
BUCKET: Final = Path(__file__).with_name("bucket.csv")
"""The first day: a table that tells its own date, ball and air."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TypedDay:
    """A later day: its balls as typed in lines (yards), what was noted, whether it was a lesson, and its film."""

    file: Path
    held_on: datetime.date
    temp_c: float
    lesson: bool = False
    notes: tuple[str, ...] = ()
    film: Path | None = None


LATER: Final = (
    TypedDay(
        file=BUCKET.with_name("lesson.txt"),
        held_on=datetime.date(2026, 5, 9),
        temp_c=14.0,
        lesson=True,
        notes=(
            N_("Quiet head, turn the chest through."),
            N_("The waist swing finishes as far through as it went back."),
        ),
        film=BUCKET.with_name("lesson.mp4"),
    ),
    TypedDay(file=BUCKET.with_name("recheck.txt"), held_on=datetime.date(2026, 6, 20), temp_c=22.0),
)
