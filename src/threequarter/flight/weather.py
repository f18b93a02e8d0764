"""Weather of a session or of a day: what is told, what stays unknown, and what that makes of the air."""

from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from threequarter.flight.air import density_kg_m3, standard_pressure_pa, station_pressure_pa, viscosity_pa_s
from threequarter.golf.errors import UserError
from threequarter.golf.message import Message

Floats = NDArray[np.float64]

RANGES: Final[dict[str, tuple[float, float]]] = {
    "temp_c": (-30.0, 50.0),
    "altitude_m": (-450.0, 5000.0),
    "humidity": (0.0, 100.0),
    "pressure_hpa": (500.0, 1090.0),
    "sea_level_hpa": (870.0, 1090.0),
    "wind_mps": (0.0, 25.0),
    "slope_percent": (-40.0, 40.0),
}
WORTH_SAYING_M: Final = 100.0
"""A height above the sea that a card names."""
_SAID_AS: Final = {"temp_c": "_c", "altitude_m": "_altitude_m", "wind_mps": "_mps"}
"""The end of a value's name where it is said in the units of the reader."""
UNKNOWN: Final[dict[str, tuple[float, float]]] = {
    "temp_c": (18.0, 7.0),
    "altitude_m": (150.0, 200.0),
    "humidity": (60.0, 18.0),
    "weather_hpa": (0.0, 9.0),
    "wind_along_mps": (0.0, 1.5),
    "wind_across_mps": (0.0, 1.5),
}
"""Mean and SD of what was not told: a day on which people practise (our own choice, no source)."""
WIND_ERROR: Final = 0.12
"""Relative SD of a wind that was told: a forecast, an estimate, gusts that one flight meets."""
WIND_TURN_DEG: Final = 10.0
TEMP_ERROR_C: Final = 1.0
FROM: Final = {"ahead": 0.0, "right": 90.0, "behind": 180.0, "left": 270.0}


@dataclass(frozen=True, slots=True, kw_only=True)
class Weather:
    """None is unknown. Wind at 10 m height, `wind_from_deg` clockwise from straight ahead (0 is a head wind, 90 from the right).

    `pressure_hpa` is read at the place; `sea_level_hpa` is what a forecast gives, reduced to sea level. `slope_percent` is how
    much the ground rises towards the target.

    Raises UserError, naming the field, its value and the allowed range, and where both pressures are given.
    """

    temp_c: float | None = None
    altitude_m: float | None = None
    humidity: float | None = None
    pressure_hpa: float | None = None
    sea_level_hpa: float | None = None
    wind_mps: float | None = None
    wind_from_deg: float | None = None
    slope_percent: float = 0.0

    def __post_init__(self) -> None:
        for name, (least, most) in RANGES.items():
            value = getattr(self, name)
            if value is not None and not (np.isfinite(value) and least <= value <= most):
                end = _SAID_AS.get(name, "")
                told = {f"value{end}": float(value), f"least{end}": least, f"most{end}": most}
                raise UserError(Message(f"weather.outside_{name}", **told))
        if self.pressure_hpa is not None and self.sea_level_hpa is not None:
            raise UserError(Message("weather.two_pressures"))
        if self.wind_from_deg is not None and not np.isfinite(self.wind_from_deg):
            raise UserError(Message("weather.wind_from_no_number", value=self.wind_from_deg))

    @property
    def known(self) -> bool:
        """Whether anything was told about the air."""
        told = (self.temp_c, self.altitude_m, self.pressure_hpa, self.sea_level_hpa, self.wind_mps)
        return any(value is not None for value in told)

    def calm(self) -> "Weather":
        """The same air without wind and slope."""
        return replace(self, wind_mps=0.0, wind_from_deg=0.0, slope_percent=0.0)

    def message(self) -> Message:
        """The weather, to be said: "9 °C, 600 m up, wind 5 m/s from the left"."""
        given: tuple[tuple[str, str, float | None], ...] = (
            ("temperature", "air_c", self.temp_c),
            ("altitude", "at_altitude_m", self.altitude_m),
            ("pressure", "hpa", self.pressure_hpa),
            ("sea_level_pressure", "hpa", self.sea_level_hpa),
            ("humidity", "humidity", self.humidity),
        )
        parts = [Message(f"weather.{what}", **{name: value}) for what, name, value in given if value is not None]
        if self.wind_mps:
            side = Message(f"weather.from_{EIGHTHS[round((self.wind_from_deg or 0.0) / 45) % 8]}")
            parts.append(Message("weather.wind", wind_mps=self.wind_mps, direction=side))
        elif self.wind_mps is not None:
            parts.append(Message("weather.no_wind"))
        if self.slope_percent:
            which = "uphill" if self.slope_percent > 0 else "downhill"
            parts.append(Message(f"weather.{which}", slope=abs(self.slope_percent)))
        return Message("weather.told", parts=tuple(parts)) if parts else Message("weather.unknown")

    def brief(self) -> Message:
        """What matters of it on a card: the warmth, a height from 100 m on, wind and slope; moisture, pressure and calm are left out,
        which change a carry by less than the card can say."""
        high = self.altitude_m is not None and abs(self.altitude_m) >= WORTH_SAYING_M
        kept = replace(
            self,
            altitude_m=self.altitude_m if high else None,
            pressure_hpa=None,
            sea_level_hpa=None,
            humidity=None,
            wind_mps=self.wind_mps or None,
        )
        return kept.message()


EIGHTHS: Final = (
    "ahead",
    "ahead_and_right",
    "right",
    "behind_and_right",
    "behind",
    "behind_and_left",
    "left",
    "ahead_and_left",
)
"""Where a wind comes from, clockwise by eighths of a circle."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Air:
    """Draws of the air, arrays of one length: density, viscosity, wind speed and where it blows to, slope."""

    density_kg_m3: Floats
    viscosity_pa_s: Floats
    wind_mps: Floats
    wind_to_deg: Floats
    rise: Floats


def draw_air(weather: Weather, rng: np.random.Generator, count: int) -> Air:
    """Draws of what the air may have been: what was told to its own accuracy, what was not from `UNKNOWN`."""

    def told(name: str, value: float | None, error: float) -> Floats:
        z = rng.standard_normal(count)
        if value is None:
            mean, sd = UNKNOWN[name]
            return np.asarray(mean + sd * z)
        return np.asarray(value + error * z)

    temp = np.clip(told("temp_c", weather.temp_c, TEMP_ERROR_C), -40.0, 55.0)
    altitude = told("altitude_m", weather.altitude_m, 0.0)
    humidity = np.clip(told("humidity", weather.humidity, 5.0), 0.0, 100.0) / 100
    drift = told("weather_hpa", None, 0.0) * 100
    if weather.pressure_hpa is not None:
        pressure = np.full(count, weather.pressure_hpa * 100)
    elif weather.sea_level_hpa is not None:
        pressure = station_pressure_pa(weather.sea_level_hpa * 100, altitude)
    else:
        pressure = standard_pressure_pa(altitude) + drift
    along, across = _wind(weather, rng, count)
    return Air(
        density_kg_m3=density_kg_m3(temp, pressure, humidity),
        viscosity_pa_s=viscosity_pa_s(temp),
        wind_mps=np.hypot(along, across),
        wind_to_deg=np.degrees(np.arctan2(across, along)),
        rise=np.full(count, weather.slope_percent / 100),
    )


def _wind(weather: Weather, rng: np.random.Generator, count: int) -> tuple[Floats, Floats]:
    """Wind towards the target and to the right, m/s."""
    z = rng.standard_normal((2, count))
    if weather.wind_mps is None:
        return UNKNOWN["wind_along_mps"][1] * z[0], UNKNOWN["wind_across_mps"][1] * z[1]
    to = np.radians((weather.wind_from_deg or 0.0) + 180.0 + WIND_TURN_DEG * z[1])
    speed = np.abs(weather.wind_mps * (1 + WIND_ERROR * z[0]))
    return speed * np.cos(to), speed * np.sin(to)
