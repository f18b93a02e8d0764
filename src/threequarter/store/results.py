"""What the store gives back."""

import datetime
from dataclasses import dataclass
from typing import Literal

from threequarter.golf.ball import Ball
from threequarter.golf.message import Message
from threequarter.golf.units import DistanceUnit, HeightUnit, SpeedUnit, TemperatureUnit, Units, height_beside

What = Literal["new session", "nothing new", "rows added", "brought back"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Saved:
    """What keeping a reading did (or would do).

    `import_id` is the import it made or brought back, None where nothing was new; `added` counts new balls, `changed`
    those whose row reads differently now, `brought_back` those of undone imports, `missing` those of an earlier state of
    the file that are not in this one (they stay). `days` are the sessions its balls went to, by their date, of which `session_id` is
    the last. `said` tells the same in words.
    """

    what: What
    session_id: int
    import_id: int | None
    added: int
    changed: int = 0
    brought_back: int = 0
    missing: int = 0
    days: tuple[int, ...] = ()
    said: tuple[Message | str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class PlayerInfo:
    """A player in the roster; `sessions` counts those that hold balls."""

    id: int
    name: str
    made_at: datetime.datetime
    sessions: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Club:
    """A club in a bag; what is not known is None. `planned`: its shots are to be charted."""

    label: str
    loft_deg: float | None = None
    full_carry_m: float | None = None
    other_names: tuple[str, ...] = ()
    planned: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Preferences:
    """The units and the language a player reads in; None where nobody chose."""

    distance: DistanceUnit | None = None
    height: HeightUnit | None = None
    speed: SpeedUnit | None = None
    temperature: TemperatureUnit | None = None
    language: str | None = None

    def units(self, usual: Units, distance: DistanceUnit | None = None) -> Units:
        """The units chosen, with `distance` where what is read is shown in that; heights go with it, the usual ones are for the rest."""
        read = distance or self.distance or usual.distance
        return Units(
            distance=read,
            height=self.height or height_beside(read),
            speed=self.speed or usual.speed,
            temperature=self.temperature or usual.temperature,
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Facts:
    """What is known of a day apart from its balls; None where nobody noted it.

    `dated_by` is how `held_on` is known: "file" or "hand". `surface` is "mat" or "turf". `wind_from_deg` clockwise from straight ahead (0 is a head wind, 90 from the right).
    """

    held_on: datetime.date | None = None
    where_held: str | None = None
    ball_kind: str | None = None
    temp_c: float | None = None
    altitude_m: float | None = None
    humidity_pct: float | None = None
    pressure_hpa: float | None = None
    wind_mps: float | None = None
    wind_from_deg: float | None = None
    dated_by: str | None = None
    surface: str | None = None
    taught_by: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class SessionInfo:
    """A day in a list; `binned` where it lies in the bin.

    `held_on` is its date, that on which it was entered where nobody told another (then `assumed`).
    """

    id: int
    title: str
    player: str | None
    unit: DistanceUnit
    ground: str
    made_at: datetime.datetime
    balls: int
    held_on: datetime.date
    assumed: bool = True
    binned: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class ImportInfo:
    """One file of a session. `balls` counts the rows that are its own."""

    id: int
    name: str
    made_at: datetime.datetime
    balls: int
    plan: tuple[Message | str, ...]
    undone: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class RejectedInfo:
    """A row of a session's files that is no ball: where it stands, and why."""

    file: str
    sheet: str | None
    row: int | None
    col: int | None
    why: Message | str
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class StoredBall:
    """A ball of a session with the handle to change it: its id, its import, why it was left out by hand, when it was typed (UTC); the
    key that a phone gave it."""

    id: int
    import_id: int
    ball: Ball
    left_out_why: str | None
    edited: bool
    hit_at: datetime.datetime | None = None
    key: str | None = None
