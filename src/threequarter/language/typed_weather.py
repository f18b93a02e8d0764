"""Weather as people type it: fields of a form or a command, a line of words, a side the wind comes from."""

from typing import Any, Final

import numpy as np

from threequarter.flight.weather import FROM, Weather
from threequarter.golf.errors import UserError
from threequarter.golf.message import Message

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
        raise UserError(Message("weather.no_direction", typed=text[:60]))
    return value % 360


def from_fields(fields: dict[str, Any]) -> Weather:
    """A weather from named values, None where they are missing; `wind_from` may be a word. Raises UserError."""
    chosen = {
        name: fields.get(name)
        for name in ("temp_c", "altitude_m", "humidity", "pressure_hpa", "sea_level_hpa", "wind_mps")
    }
    direction = fields.get("wind_from")
    if direction and chosen["wind_mps"] is None:
        raise UserError(Message("weather.direction_alone"))
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
        raise UserError(Message("weather.no_pairs", typed=text[:60]))
    for word, value in zip(words[::2], words[1::2], strict=True):
        if word.casefold() not in _WORDS:
            raise UserError(Message("weather.no_such_word", word=word, words=tuple(_WORDS)))
        try:
            fields[_WORDS[word.casefold()]] = value if word == "from" else float(value)
        except ValueError:
            raise UserError(Message("weather.no_number", word=word, typed=value)) from None
    return from_fields(fields)
