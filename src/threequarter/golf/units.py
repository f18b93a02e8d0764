"""Exact unit factors. SI inside; these are for the edges only.

Yard, foot, inch and mile: international yard and pound agreement (1959), exact.
"""

from typing import Final, Literal

YARD_M: Final = 0.9144
FOOT_M: Final = 0.3048
INCH_M: Final = 0.0254
MPH_MPS: Final = 0.44704
KMH_MPS: Final = 1 / 3.6
KNOT_MPS: Final = 1852 / 3600

DistanceUnit = Literal["yd", "m"]
"""The unit a player reads carries in."""

METRES_PER: Final[dict[DistanceUnit, float]] = {"yd": YARD_M, "m": 1.0}


def from_metres(distance_m: float, unit: DistanceUnit) -> float:
    """A distance in metres, in yards or metres."""
    return distance_m / METRES_PER[unit]
