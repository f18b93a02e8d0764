"""One ball, as it was measured."""

from dataclasses import dataclass, fields
from enum import StrEnum
from functools import lru_cache
from typing import Final, TypeVar

from threequarter.golf.club import club_key
from threequarter.golf.swing_length import parse_swing


class MeasuredAs(StrEnum):
    """Which of the two distances was read: where the ball landed, or where it came to lie."""

    CARRY = "carry"
    REST = "rest"


class MeasuredBy(StrEnum):
    """What the distance was read with; each has its own error."""

    DEVICE = "device"
    LASER = "laser"
    PACES = "paces"
    PILE = "pile"
    POSITION = "position"
    UNKNOWN = "unknown"


class Strike(StrEnum):
    """What was noted about the contact. HEAVY is a little heavy but usable: counted, and known for what it is."""

    GOOD = "good"
    HEAVY = "heavy"
    FAT = "fat"
    THIN = "thin"
    TOE = "toe"
    HEEL = "heel"


@lru_cache(maxsize=4096)
def shot_key(club: str, swing: str, loft_deg: float | None = None) -> tuple[str, str]:
    """The keys of a club and a swing: the same for "SW 54" with "9:00" and "54°" with "9 o'clock"."""
    return club_key(club, loft_deg), parse_swing(swing).key


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """Where a number stands, so that it can be traced: file, sheet, row and column (both from 1)."""

    file: str | None = None
    sheet: str | None = None
    row: int | None = None
    col: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Ball:
    """One ball, or one reading of the middle of a pile of `count` balls.

    Lengths in metres, speeds in metres per second, angles in degrees. `offline_m`, `azimuth_deg` and
    `spin_axis_deg` are positive to the right of the target line as seen from the ball.

    `distance_m` is the carry or the rest distance, as `measured_as` says; `None` never occurs, a ball without
    a distance is not a ball but a row set aside. `error_sd_m` is the standard deviation of the reading itself
    (rounding apart), `shared_sd_m` of the part of its error that all balls of the session share (a step length, a
    laser's offset, how firm the ground was), `rounding_m` the step it was rounded to, each None where unknown.
    `club` and `swing` are as written; `loft_deg` is what the label told, None where it told none.
    `number` counts the balls of a session from 1 in the order hit, `day` its days from 1.
    `use` is False for a warm-up ball or one marked to be left out. `guess_m` is what the player said before seeing the
    distance, of the same kind (carry or rest) as what was measured.
    """

    number: int
    club: str
    swing: str
    distance_m: float
    loft_deg: float | None = None
    player: str | None = None
    day: int = 1
    measured_as: MeasuredAs = MeasuredAs.CARRY
    measured_by: MeasuredBy = MeasuredBy.UNKNOWN
    error_sd_m: float | None = None
    shared_sd_m: float | None = None
    rounding_m: float | None = None
    offline_m: float | None = None
    total_m: float | None = None
    club_speed_mps: float | None = None
    ball_speed_mps: float | None = None
    launch_deg: float | None = None
    azimuth_deg: float | None = None
    backspin_rpm: float | None = None
    spin_axis_deg: float | None = None
    apex_m: float | None = None
    descent_deg: float | None = None
    strike: Strike | None = None
    use: bool = True
    count: int = 1
    note: str | None = None
    place: Place | None = None
    guess_m: float | None = None

    @property
    def shot(self) -> tuple[str, str]:
        """What balls of one shot share, however it is written (see `shot_key`)."""
        return shot_key(self.club, self.swing, self.loft_deg)


BALL_FIELDS: Final = tuple(field.name for field in fields(Ball))


@dataclass(frozen=True, slots=True, kw_only=True)
class Carried(Ball):
    """A ball whose distance is a carry with its error: read as one, or brought to one through a run-out.

    Charts are made of these only; `measurement.carry.to_carry` makes them. Raises ValueError for a distance that is where a
    ball came to lie.
    """

    def __post_init__(self) -> None:
        if self.measured_as is not MeasuredAs.CARRY:
            raise ValueError(f"ball {self.number} was measured where it lay, and is no carry yet")

    @property
    def carry_m(self) -> float:
        """The carry in metres."""
        return self.distance_m

    @classmethod
    def of(cls, ball: Ball) -> "Carried":
        """The same ball. Raises ValueError where its distance is no carry."""
        if isinstance(ball, Carried):
            return ball
        return cls(**{name: getattr(ball, name) for name in BALL_FIELDS})


AnyBall = TypeVar("AnyBall", bound=Ball)
"""A ball that stays of its kind."""
