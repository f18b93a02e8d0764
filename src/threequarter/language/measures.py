"""Heights, wind and temperature in the units of the reader: in words, and as typed.

The units in use go with the reader like the language does (`localize`); distances name their unit wherever they are said.
"""

import re
from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import replace
from typing import Any, Final

from threequarter.golf.errors import UserError
from threequarter.golf.units import (
    DistanceUnit,
    HeightUnit,
    SpeedUnit,
    TemperatureUnit,
    Units,
    from_celsius,
    from_mps,
    height_beside,
    height_from_metres,
    height_to_metres,
    to_celsius,
    to_mps,
    usual_units,
)
from threequarter.language.localize import _, locale, number

HEIGHT_MARK: Final[dict[HeightUnit, str]] = {"m": "m", "ft": "ft"}
SPEED_MARK: Final[dict[SpeedUnit, str]] = {"ms": "m/s", "kmh": "km/h", "mph": "mph"}
TEMPERATURE_MARK: Final[dict[TemperatureUnit, str]] = {"C": "°C", "F": "°F"}


_IN_USE: ContextVar[Units | None] = ContextVar("units", default=None)


_CHOSEN: ContextVar[DistanceUnit | None] = ContextVar("chosen distance", default=None)


def usual() -> Units:
    """The units where no player reads in others: those of the locale, with the distance that was chosen for this browser."""
    units, chosen = usual_units(locale()), _CHOSEN.get()
    return replace(units, distance=chosen, height=height_beside(chosen)) if chosen else units


@contextmanager
def usually_in(distance: DistanceUnit | None) -> Iterator[None]:
    """Within, distances are usually in this unit; None for that of the locale."""
    before = _CHOSEN.set(distance)
    try:
        yield
    finally:
        _CHOSEN.reset(before)


def units_in_use() -> Units:
    """The units in use; the usual ones where nobody chose."""
    return _IN_USE.get() or usual()


def use_units(units: Units | None) -> None:
    """From here on, to the end of what is being answered, in these units; None for those of the locale."""
    _IN_USE.set(units)


@contextmanager
def measured_in(units: Units) -> Iterator[None]:
    """Says everything within in these units."""
    before = _IN_USE.set(units)
    try:
        yield
    finally:
        _IN_USE.reset(before)


def temperature(temp_c: float) -> str:
    """A temperature in words: "9 °C", "24.5 °C", "48 °F"."""
    return f"{temperature_value(temp_c)} {TEMPERATURE_MARK[units_in_use().temperature]}"


def temperature_value(temp_c: float) -> str:
    """The same without its unit, as it stands in a field."""
    unit = units_in_use().temperature
    return _as_told(from_celsius(temp_c, unit), unit == "C")


def height(height_m: float) -> str:
    """A height in words: "600 m", "1969 ft"."""
    return f"{height_value(height_m)} {HEIGHT_MARK[units_in_use().height]}"


def height_value(height_m: float) -> str:
    """The same without its unit, as it stands in a field."""
    unit = units_in_use().height
    return _as_told(height_from_metres(height_m, unit), unit == "m")


def apex(apex_m: float) -> str:
    """A height of flight in words, to the metre or the foot: "18 m", "59 ft"."""
    unit = units_in_use().height
    return f"{number(height_from_metres(apex_m, unit))} {HEIGHT_MARK[unit]}"


def speed(speed_mps: float) -> str:
    """A speed in words: "5 m/s", "2.5 m/s", "18 km/h", "11 mph"."""
    return f"{speed_value(speed_mps)} {SPEED_MARK[units_in_use().speed]}"


def speed_value(speed_mps: float) -> str:
    """The same without its unit, as it stands in a field."""
    unit = units_in_use().speed
    return _as_told(from_mps(speed_mps, unit), unit == "ms")


def _as_told(value: float, as_kept: bool) -> str:
    """To a tenth where it is said in the unit in which it is kept, whole where it was turned into another."""
    return number(round(value, 1), None) if as_kept else number(value)


_TYPED: Final = re.compile(r"([-+−]?\s*\d+(?:[.,]\d+)?)\s*([^\d\s].*)?")
_TEMPERATURES: Final[dict[str, TemperatureUnit]] = {"c": "C", "f": "F", "celsius": "C", "fahrenheit": "F"}
_HEIGHTS: Final[dict[str, HeightUnit]] = {
    "m": "m",
    "ft": "ft",
    "'": "ft",
    "′": "ft",
    "feet": "ft",
    "foot": "ft",
    "fuß": "ft",
    "metres": "m",
    "meters": "m",
    "meter": "m",
}
_SPEEDS: Final[dict[str, SpeedUnit]] = {
    "m/s": "ms",
    "ms": "ms",
    "km/h": "kmh",
    "kmh": "kmh",
    "kph": "kmh",
    "mph": "mph",
    "mi/h": "mph",
}


def typed_temperature(text: str, what: str) -> float | None:
    """°C of a temperature as typed ("50 °F", "9,5"), in the unit in use where none is typed; None for nothing."""
    found = _typed(text, what, _TEMPERATURES, units_in_use().temperature)
    return None if found is None else to_celsius(*found)


def typed_height(text: str, what: str) -> float | None:
    """Metres of a height as typed ("2000 ft", "600"), in the unit in use where none is typed; None for nothing."""
    found = _typed(text, what, _HEIGHTS, units_in_use().height)
    return None if found is None else height_to_metres(*found)


def typed_speed(text: str, what: str) -> float | None:
    """m/s of a speed as typed ("10 mph", "5"), in the unit in use where none is typed; None for nothing."""
    found = _typed(text, what, _SPEEDS, units_in_use().speed)
    return None if found is None else to_mps(*found)


def _typed(text: str, what: str, marks: dict[str, Any], usual: Any) -> tuple[float, Any] | None:
    """The number and the unit of a quantity. Raises UserError, naming what it was for."""
    plain = text.strip()
    if not plain:
        return None
    match = _TYPED.fullmatch(plain)
    if match is None:
        raise UserError(_("{what}: {typed} is not a number.").format(what=what, typed=repr(plain[:30])))
    mark = (match[2] or "").strip().lstrip("°").strip().casefold()
    unit = marks.get(mark) if mark else usual
    if unit is None:
        known = ", ".join(dict.fromkeys(_mark(one) for one in marks.values()))
        raise UserError(
            _("{what}: we do not know the unit of {typed}. Write one of {units}.").format(
                what=what, typed=repr(plain[:30]), units=known
            )
        )
    return float(match[1].replace(" ", "").replace("−", "-").replace(",", ".")), unit


def _mark(unit: Any) -> str:
    every: dict[Any, str] = {**HEIGHT_MARK, **SPEED_MARK, **TEMPERATURE_MARK}
    return every[unit]
