"""What a reader gives back: balls, rows set aside with the reason, questions, and the plan in words."""

import datetime
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Any, Final, Literal

from threequarter.golf.ball import Ball, Place
from threequarter.golf.message import Message
from threequarter.golf.player import name_key
from threequarter.golf.units import DistanceUnit

ROWS: Final = ("ball", "aside", "mean", "heading", "above", "line")
"""What a row that holds something can be: a ball, set aside, a mean or sum, headings, above the table, a line of words."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SetAside:
    """A row that is listed but not used as a ball, and why."""

    place: Place
    why: Message
    text: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Question:
    """What the file does not tell. `about` is its subject (unit, decimal, carry, ...), `option` the command-line
    option that answers it (empty: none can), `choices` the answers that are possible (empty: any)."""

    about: str
    text: Message
    option: str
    choices: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class ColumnSeen:
    """A column as the file has it and what it was taken for: number from 1, heading, role (None: not used), the first cells
    below it, and the cell in the row of the first ball (`row` of `sheet`), by which its value can be shown.
    Every column has a verdict: read, asked about, or ignored because of `why` (a word of a closed list)."""

    number: int
    heading: str
    role: str | None
    cells: tuple[str, ...] = ()
    cell: str = ""
    sheet: str | None = None
    row: int | None = None
    verdict: Literal["read", "ignored", "asked"] = "read"
    why: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """A file, a note or a keypad as balls.

    With `questions` open the balls are the best guess and must not be charted (`sure_balls` refuses).
    With `error` set there are no balls. `plan` tells how the table was read, one line a decision.
    `unit` is the unit the file is written in, which answers are given back in. `columns` are those of the first table, where it
    has a row a ball; they are there too where nothing could be read, so that a person can say what they are. `rows` tells how many rows of the file were what (ROWS): rows in = rows out.
    `days` holds the date of each day that `Ball.day` counts (None: not told), empty where the file tells none; `conditions` what it
    tells of the air, the ball and the ground, by the names of a day's facts, in SI; `of_days` the same of each day apart, where the
    file tells it so (then also its `ground`, and whether its date is `assumed`).
    """

    balls: tuple[Ball, ...] = ()
    set_aside: tuple[SetAside, ...] = ()
    questions: tuple[Question, ...] = ()
    error: Message | None = None
    plan: tuple[Message, ...] = field(default=())
    unit: DistanceUnit = "m"
    name: str = ""
    columns: tuple[ColumnSeen, ...] = ()
    rows: tuple[tuple[str, int], ...] = ()
    days: tuple[datetime.date | None, ...] = ()
    conditions: Mapping[str, Any] = field(default_factory=dict)
    of_days: tuple[Mapping[str, Any], ...] = ()

    def held_on(self, ball: Ball) -> datetime.date | None:
        """The date of a ball, None where the file does not tell it."""
        return self.days[ball.day - 1] if 0 < ball.day <= len(self.days) else None

    def by_player(self) -> tuple[tuple[str | None, "Reading"], ...]:
        """The reading shared out: one for each player named (however typed), in the order they appear; None for balls of nobody.

        The rows set aside stay with the first.
        """
        names: dict[str | None, str | None] = {}
        held: dict[str | None, list[Ball]] = {}
        for ball in self.balls:
            key = name_key(ball.player) if ball.player else None
            names.setdefault(key, ball.player)
            held.setdefault(key, []).append(ball)
        return tuple(
            (names[key], replace(self, balls=tuple(balls), set_aside=self.set_aside if i == 0 else ()))
            for i, (key, balls) in enumerate(held.items())
        )
