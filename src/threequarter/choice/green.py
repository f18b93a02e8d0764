"""The green a shot is played to, and where a ball may end: on it, beside it, in trouble, short.

Axes: x along the target line from the ball to the flag, y to the right of it, both in metres from the ball.
"""

from dataclasses import dataclass
from typing import Final, Literal

import numpy as np
from numpy.typing import NDArray

from threequarter.choice.strokes import FARTHEST_M, Level, Lie, expected_strokes
from threequarter.golf.errors import UserError
from threequarter.golf.message import Message

Floats = NDArray[np.float64]
Side = Literal["short", "long", "left", "right"]
Kind = Literal["sand", "water", "rough"]

NEAR_M: Final = 3.0
USUAL_DEPTH_M: Final = 25.0
APRON_M: Final = 2.0
"""Grass cut short around a green; beyond it lies rough."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Trouble:
    """Trouble that begins at the edge of the green on one side and goes on. Water costs a penalty stroke."""

    side: Side
    kind: Kind = "sand"


@dataclass(frozen=True, slots=True, kw_only=True)
class Green:
    """An ellipse `depth_m` long and `width_m` wide with the flag `pin_m` behind its front edge, on its middle line.

    Raises UserError for a green without depth or width, a flag that is not on it, or a distance out of range.
    """

    to_pin_m: float
    depth_m: float = USUAL_DEPTH_M
    width_m: float = USUAL_DEPTH_M
    pin_m: float = USUAL_DEPTH_M / 2
    trouble: tuple[Trouble, ...] = ()

    def __post_init__(self) -> None:
        if not (self.depth_m >= 4 and self.width_m >= 4):
            raise UserError(Message("green.size", depth=self.depth_m, width=self.width_m))
        if not 0 < self.pin_m < self.depth_m:
            raise UserError(Message("green.pin", pin=self.pin_m, depth=self.depth_m))
        if not 5 <= self.to_pin_m <= FARTHEST_M:
            raise UserError(Message("green.distance", least_m=5.0, most_m=FARTHEST_M, to_m=self.to_pin_m))

    @property
    def centre_m(self) -> float:
        """Distance from the ball to the middle of the green."""
        return self.to_pin_m - self.pin_m + self.depth_m / 2

    def edge(self, x_m: Floats, y_m: Floats) -> Floats:
        """How far a point lies from the middle in units of the green's own size: 1 on the edge, below 1 on the green."""
        return np.hypot((x_m - self.centre_m) / (self.depth_m / 2), y_m / (self.width_m / 2))

    def in_trouble(self, x_m: Floats, y_m: Floats) -> tuple[NDArray[np.bool_], NDArray[np.bool_]]:
        """Whether points lie in sand, and whether in water (both the shape of the points)."""
        sand, water = np.zeros(x_m.shape, dtype=bool), np.zeros(x_m.shape, dtype=bool)
        if all(trouble.kind == "rough" for trouble in self.trouble):
            return sand, water
        off = self.edge(x_m, y_m) > 1
        along = (x_m - self.centre_m) / (self.depth_m / 2)
        across = y_m / (self.width_m / 2)
        beside = np.abs(across) > np.abs(along)
        where = {
            "short": off & ~beside & (along < 0),
            "long": off & ~beside & (along > 0),
            "left": off & beside & (across < 0),
            "right": off & beside & (across > 0),
        }
        for trouble in self.trouble:
            target = water if trouble.kind == "water" else sand
            if trouble.kind != "rough":
                target |= where[trouble.side]
        return sand, water


@dataclass(frozen=True, slots=True, eq=False)
class Ends:
    """Where balls end, point by point: strokes still to play, and what they lie on."""

    strokes: Floats
    on_green: NDArray[np.bool_]
    near: NDArray[np.bool_]
    trouble: NDArray[np.bool_]
    short: NDArray[np.bool_]


def ends(green: Green, x_m: Floats, y_m: Floats, level: Level) -> Ends:
    """What each end point is worth at a level of play; all arrays have the shape of `x_m`."""
    from_pin = np.minimum(np.hypot(x_m - green.to_pin_m, y_m), FARTHEST_M)
    edge = green.edge(x_m, y_m)
    on_green = edge <= 1
    sand, water = green.in_trouble(x_m, y_m)
    apron = ~on_green & (edge <= 1 + 2 * APRON_M / min(green.depth_m, green.width_m))
    strokes = np.empty(from_pin.shape)
    lies: list[tuple[NDArray[np.bool_], Lie, float]] = [
        (on_green, "green", 0.0),
        (sand, "sand", 0.0),
        (water, "rough", 1.0),
        (apron & ~sand & ~water, "fairway", 0.0),
        (~on_green & ~sand & ~water & ~apron, "rough", 0.0),
    ]
    for mask, lie, penalty in lies:
        if mask.any():
            strokes[mask] = penalty + expected_strokes(from_pin[mask], lie, level)
    return Ends(
        strokes=strokes,
        on_green=on_green,
        near=from_pin <= NEAR_M,
        trouble=sand | water,
        short=x_m < green.to_pin_m - green.pin_m,
    )
