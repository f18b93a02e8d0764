"""Exact unit factors and every conversion. SI inside; these are for the edges only.

Yard, foot, inch and mile: international yard and pound agreement (1959), exact. Knot: international nautical mile (1929),
exact. Degree Fahrenheit: 9/5 of a degree Celsius, 32 at the freezing point, exact.
"""

from dataclasses import dataclass
from typing import Final, Literal

YARD_M: Final = 0.9144
FOOT_M: Final = 0.3048
INCH_M: Final = 0.0254
MPH_MPS: Final = 0.44704
KMH_MPS: Final = 1 / 3.6
KNOT_MPS: Final = 1852 / 3600
FREEZING_F: Final = 32.0
FAHRENHEIT_A_CELSIUS: Final = 1.8

DistanceUnit = Literal["yd", "m"]
"""The unit a player reads carries in."""
HeightUnit = Literal["m", "ft"]
"""The unit of altitudes and heights of flight."""
SpeedUnit = Literal["ms", "kmh", "mph"]
"""The unit of wind."""
TemperatureUnit = Literal["C", "F"]

METRES_PER: Final[dict[DistanceUnit, float]] = {"yd": YARD_M, "m": 1.0}
METRES_PER_HEIGHT: Final[dict[HeightUnit, float]] = {"m": 1.0, "ft": FOOT_M}
MPS_PER: Final[dict[SpeedUnit, float]] = {"ms": 1.0, "kmh": KMH_MPS, "mph": MPH_MPS}


def height_beside(distance: DistanceUnit) -> HeightUnit:
    """The unit of heights that goes with a unit of distances: feet with yards, metres with metres."""
    return "ft" if distance == "yd" else "m"


def from_metres(distance_m: float, unit: DistanceUnit) -> float:
    """A distance in metres, in yards or metres."""
    return distance_m / METRES_PER[unit]


def height_from_metres(height_m: float, unit: HeightUnit) -> float:
    """A height in metres, in metres or feet."""
    return height_m / METRES_PER_HEIGHT[unit]


def height_to_metres(height: float, unit: HeightUnit) -> float:
    """A height in metres or feet, in metres."""
    return height * METRES_PER_HEIGHT[unit]


def from_mps(speed_mps: float, unit: SpeedUnit) -> float:
    """A speed in m/s, in m/s, km/h or miles an hour."""
    return speed_mps / MPS_PER[unit]


def to_mps(speed: float, unit: SpeedUnit) -> float:
    """A speed in m/s, km/h or miles an hour, in m/s."""
    return speed * MPS_PER[unit]


def from_celsius(temp_c: float, unit: TemperatureUnit) -> float:
    """A temperature in °C, in °C or °F."""
    return temp_c if unit == "C" else FREEZING_F + FAHRENHEIT_A_CELSIUS * temp_c


def to_celsius(temperature: float, unit: TemperatureUnit) -> float:
    """A temperature in °C or °F, in °C."""
    return temperature if unit == "C" else (temperature - FREEZING_F) / FAHRENHEIT_A_CELSIUS


@dataclass(frozen=True, slots=True, kw_only=True)
class Units:
    """The units a reader uses."""

    distance: DistanceUnit = "yd"
    height: HeightUnit = "m"
    speed: SpeedUnit = "ms"
    temperature: TemperatureUnit = "C"


SI: Final = Units(distance="m")
USUAL: Final[dict[str, Units]] = {
    "en": Units(),
    "en_US": Units(height="ft", speed="mph", temperature="F"),
    "en_GB": Units(height="ft", speed="mph"),
    "en_IE": Units(height="m", speed="kmh"),
    "de": Units(distance="m", speed="kmh"),
}
"""By locale, else by language (common practice, no source): what people there read a forecast and a course in."""


def usual_units(code: str) -> Units:
    """The units usual where a locale ("en_US", "de") is spoken."""
    return USUAL.get(code) or USUAL.get(code.partition("_")[0], Units())
