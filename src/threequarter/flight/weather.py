"""Weather of a session or of a day: what is told, what stays unknown, and what that makes of the air."""

from dataclasses import dataclass, replace
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from threequarter.flight.air import density_kg_m3, standard_pressure_pa, station_pressure_pa, viscosity_pa_s
from threequarter.golf import measures
from threequarter.golf.errors import UserError
from threequarter.golf.language import N_, _, number

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
OUTSIDE: Final = {
    "temp_c": N_("The temperature is {value}; allowed are {least} to {most}."),
    "altitude_m": N_("The altitude is {value}; allowed are {least} to {most}."),
    "humidity": N_("The humidity is {value} %; allowed are {least} to {most} %."),
    "pressure_hpa": N_("The pressure at the place is {value} hPa; allowed are {least} to {most} hPa."),
    "sea_level_hpa": N_("The pressure reduced to sea level is {value} hPa; allowed are {least} to {most} hPa."),
    "wind_mps": N_("The wind is {value}; allowed are {least} to {most}."),
    "slope_percent": N_("The slope is {value} %; allowed are {least} to {most} %."),
}
SAID_IN: Final = {"temp_c": measures.temperature, "altitude_m": measures.height, "wind_mps": measures.speed}
"""What is said in the units of the reader."""
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
                said = SAID_IN.get(name, _plain)
                told = {"value": said(value), "least": said(least), "most": said(most)}
                raise UserError(_(OUTSIDE[name]).format(**told))
        if self.pressure_hpa is not None and self.sea_level_hpa is not None:
            raise UserError(
                _(
                    "Two pressures are given. Give the one read at the place, or the forecast's, which is reduced to sea level."
                )
            )
        if self.wind_from_deg is not None and not np.isfinite(self.wind_from_deg):
            raise UserError(
                _("The wind's direction is {degrees}; give degrees clockwise from straight ahead.").format(
                    degrees=self.wind_from_deg
                )
            )

    @property
    def known(self) -> bool:
        """Whether anything was told about the air."""
        told = (self.temp_c, self.altitude_m, self.pressure_hpa, self.sea_level_hpa, self.wind_mps)
        return any(value is not None for value in told)

    def calm(self) -> "Weather":
        """The same air without wind and slope."""
        return replace(self, wind_mps=0.0, wind_from_deg=0.0, slope_percent=0.0)

    def say(self) -> str:
        """The weather in words: "9 °C, 600 m up, wind 5 m/s from the left"."""
        parts = []
        if self.temp_c is not None:
            parts.append(measures.temperature(self.temp_c))
        if self.altitude_m is not None:
            parts.append(_("{altitude} up").format(altitude=measures.height(self.altitude_m)))
        if self.pressure_hpa is not None:
            parts.append(_("{pressure} hPa at the place").format(pressure=number(self.pressure_hpa, None)))
        if self.sea_level_hpa is not None:
            parts.append(_("{pressure} hPa reduced to sea level").format(pressure=number(self.sea_level_hpa, None)))
        if self.humidity is not None:
            parts.append(_("{humidity} % humidity").format(humidity=number(self.humidity, None)))
        if self.wind_mps:
            parts.append(
                _("wind {speed} {direction}").format(
                    speed=measures.speed(self.wind_mps), direction=wind_words(self.wind_from_deg or 0.0)
                )
            )
        elif self.wind_mps is not None:
            parts.append(_("no wind"))
        if self.slope_percent:
            rises = _("{slope} % uphill") if self.slope_percent > 0 else _("{slope} % downhill")
            parts.append(rises.format(slope=number(abs(self.slope_percent), None)))
        return ", ".join(parts) if parts else _("weather unknown")


def _plain(value: float) -> str:
    return number(value, None)


_FROM_IN_GERMAN: Final = {"vorn": "ahead", "vorne": "ahead", "hinten": "behind", "links": "left", "rechts": "right"}


def wind_from(text: str) -> float:
    """Degrees of a wind direction: ahead, behind, left, right (in German too), or a number. Raises UserError."""
    plain = text.strip().casefold()
    plain = _FROM_IN_GERMAN.get(plain, plain)
    if plain in FROM:
        return FROM[plain]
    try:
        value = float(plain.rstrip("° "))
    except ValueError:
        value = float("nan")
    if not np.isfinite(value) or abs(value) > 720:
        raise UserError(
            _(
                "The wind comes from ahead, behind, left or right, or from degrees clockwise from straight ahead; not {text!r}."
            ).format(text=text)
        )
    return value % 360


_EIGHTHS: Final = (
    N_("from ahead"),
    N_("from ahead and right"),
    N_("from the right"),
    N_("from behind and right"),
    N_("from behind"),
    N_("from behind and left"),
    N_("from the left"),
    N_("from ahead and left"),
)


def wind_words(from_deg: float) -> str:
    """ "from the left, slightly ahead" and the like, by eighths of a circle."""
    return _(_EIGHTHS[round(from_deg / 45) % 8])


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


def from_fields(fields: dict[str, Any]) -> Weather:
    """A weather from named values, None where they are missing; `wind_from` may be a word. Raises UserError."""
    chosen = {
        name: fields.get(name)
        for name in ("temp_c", "altitude_m", "humidity", "pressure_hpa", "sea_level_hpa", "wind_mps")
    }
    direction = fields.get("wind_from")
    if direction and chosen["wind_mps"] is None:
        raise UserError(_("A wind direction was given without a wind. Give its speed in m/s: --wind 5."))
    return Weather(
        **chosen,
        wind_from_deg=wind_from(str(direction)) if direction else None,
        slope_percent=fields.get("slope_percent") or 0.0,
    )


_WORDS: Final = {
    "temp": "temp_c",
    "altitude": "altitude_m",
    "humidity": "humidity",
    "pressure": "pressure_hpa",
    "sea-level-pressure": "sea_level_hpa",
    "wind": "wind_mps",
    "from": "wind_from",
}


def parse_weather(text: str) -> Weather:
    """A weather in words: "temp 25 altitude 100 wind 3 from ahead". Raises UserError for a word without a meaning."""
    words = text.replace(",", " ").replace("=", " ").split()
    fields: dict[str, Any] = {}
    if len(words) % 2:
        raise UserError(
            _("A weather is pairs of a word and a number, like temp 25 wind 3 from ahead; not {text!r}.").format(
                text=text
            )
        )
    for word, value in zip(words[::2], words[1::2], strict=True):
        if word.casefold() not in _WORDS:
            raise UserError(
                _("{word!r} is none of {words}. Write it as: temp 25 altitude 100 wind 3 from ahead.").format(
                    word=word, words=", ".join(_WORDS)
                )
            )
        try:
            fields[_WORDS[word.casefold()]] = value if word == "from" else float(value)
        except ValueError:
            raise UserError(_("The weather's {word} is {value!r}, no number.").format(word=word, value=value)) from None
    return from_fields(fields)
