"""What a phone sends to the keys' routes, by type. Of another type is refused (422); a value that cannot be is an outcome of its ball."""

from typing import Annotated, Final, Literal

from pydantic import BaseModel, ConfigDict, Field, StrictBool, StrictFloat, StrictInt, StrictStr

MOST: Final = 10**9
MOST_NAMES: Final = 40
Number = Annotated[StrictInt, Field(ge=-MOST, le=MOST)] | Annotated[StrictFloat, Field(allow_inf_nan=False)]
Scalar = StrictBool | Number | StrictStr | None
"""One value, no list and no object."""
Word = StrictStr | Number | None
Id = Annotated[StrictInt, Field(ge=0, lt=2**63)]
Key = Annotated[StrictStr, Field(pattern=r"^[^\x00-\x1f\x7f]*$")]
"""Of a ball, made on the phone: no control characters, so that every database holds it."""


class Body(BaseModel):
    """A field that is not known is left alone: a phone may be newer than the server."""

    model_config = ConfigDict(extra="ignore")


class TypedBall(Body):
    """A ball as it was typed; see `phone_ball_parser` for what each field may be."""

    key: Key = ""
    age_s: Scalar = None
    club: Word = None
    swing: Word = None
    carry: Scalar = None
    unit: StrictStr | None = None
    by: StrictStr | None = None
    strike: StrictStr | None = None
    side: Scalar = None
    step: list[Scalar] | None = None
    count: Scalar = None
    radius_m: Scalar = None
    start_radius_m: Scalar = None
    guess: Scalar = None
    guess_unit: StrictStr | None = None


class Change(TypedBall):
    """The latest content of a ball; `rev` counts the changes up, `back` says that it was taken back."""

    rev: Scalar = None
    back: StrictBool | None = None


class Shown(Body):
    """The keys a page has: clubs and swing lengths with commas between; whether a child hits."""

    clubs: StrictStr = ""
    swings: StrictStr = ""
    child: StrictBool = False


class Sent(Body):
    """A batch of a phone: new balls, keys of balls taken back, changes; with `live` the chart follows in the answer."""

    balls: list[TypedBall] | None = None
    back: list[Key] | None = None
    changes: list[Change] | None = None
    phone: Key | None = None
    live: Shown | None = None


class Begun(Body):
    """A bucket that a phone began by itself: whose, in which unit, the keys it has; `key` was made there, and counts once."""

    key: Annotated[StrictStr, Field(pattern=r"^[0-9a-f]{32}$")]
    player: Annotated[StrictStr, Field(max_length=300)]
    unit: Literal["yd", "m"] = "yd"
    clubs: list[StrictStr] = Field(max_length=MOST_NAMES)
    swings: list[StrictStr] = Field(max_length=MOST_NAMES)


class Settled(Body):
    """How something to look at was settled: a conflict by its id, or two balls that may be one."""

    conflict: Id | None = None
    take: Literal["kept", "other"] = "kept"
    double: Id | None = None
    same: StrictBool = False


class Moved(Body):
    """Balls by their keys, and the session they belong to."""

    keys: list[Key]
    to: Id
