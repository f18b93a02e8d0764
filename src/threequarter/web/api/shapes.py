"""What goes in and out of the interface. SI in every name; times are UTC."""

import datetime
from typing import Annotated

from pydantic import BaseModel, ConfigDict, Field

Name = Annotated[str, Field(min_length=1, max_length=300)]


class Shape(BaseModel):
    """Strict about what it does not know."""

    model_config = ConfigDict(extra="forbid")


class Player(Shape):
    """A player of the roster; `sessions` counts those that hold balls."""

    name: str
    sessions: int
    made_at_utc: datetime.datetime


class NewPlayer(Shape):
    """A player to enter; one who is known, however typed, stays the same player."""

    name: Name


class Session(Shape):
    """A session: one day of a player. `unit` is the unit it is shown in; everything here is in metres all the same. `held_on` is its
    date, that on which it was entered where nobody told another (`assumed`)."""

    session_id: int
    title: str
    player: str | None
    unit: str
    ground: str
    balls: int
    made_at_utc: datetime.datetime
    held_on: datetime.date
    assumed: bool


class NewSession(Shape):
    """A session to put balls into."""

    player: Name
    unit: Annotated[str, Field(pattern="^(yd|m)$")] = "m"


class Begun(Shape):
    """The session that was begun."""

    session_id: int


class Ball(Shape):
    """A ball: its carry, or where it came to rest, whichever was measured. Right of the line is positive."""

    ball_id: int
    number: int
    day: int
    player: str | None
    club: str
    loft_deg: float | None
    swing: str
    carry_m: float | None
    rest_m: float | None
    offline_m: float | None
    ball_speed_mps: float | None
    launch_deg: float | None
    backspin_rpm: float | None
    measured_by: str
    strike: str | None
    note: str | None
    count: int
    use: bool
    left_out_why: str | None
    edited: bool
    source_file: str | None
    source_row: int | None


class Reason(Shape):
    """Why a ball is left out."""

    why: Annotated[str, Field(min_length=1, max_length=200)]


class Cell(Shape):
    """A club with a swing: its stock carry, the 90 % interval it lies in, and the one the next good ball falls in."""

    club: str
    swing: str
    loft_deg: float | None
    balls: int
    stock_carry_m: float
    stock90_low_m: float
    stock90_high_m: float
    next90_low_m: float
    next90_high_m: float
    good_sd_m: float
    mishit_rate: float
    mishit90_low: float
    mishit90_high: float
    words: list[str]


class Chart(Shape):
    """A distance chart; every number with its doubt."""

    session_id: int
    cells: list[Cell]
    notes: list[str]


class Suggestion(Shape):
    """A block of balls to hit, why, and the half-width of its carry's 90 % interval expected after one of them."""

    club: str
    swing: str
    balls: int
    why: str
    halfwidth_now_m: float
    expected_halfwidth_after_m: float


class Next(Shape):
    """What to hit next, best first, and whether the chart is good enough."""

    stop: bool
    enough: bool
    state: str
    balls_to_go: int
    suggestions: list[Suggestion]


class FileSaid(Shape):
    """What became of one file."""

    file: str
    said: list[str]


class Imported(Shape):
    """What an import did (or, with `look`, would do). `batch` takes all of it back; null where nothing was new."""

    batch: str | None
    sessions: list[int]
    added: int
    changed: int
    files: list[FileSaid]


class TakenBack(Shape):
    """How many imports an undo took back."""

    imports: int


class Problem(BaseModel):
    """What went wrong (RFC 9457). `code` finds the line in the log."""

    type: str = "about:blank"
    title: str
    status: int
    detail: str
    code: str = ""
