"""What is said about weather and about launches that cannot be flown."""

from typing import Final

from threequarter.language.localize import N_
from threequarter.language.text import Plural

TEXTS: Final[dict[str, str | Plural]] = {
    "weather.outside_temp_c": N_("The temperature is {value_c:given}; allowed are {least_c:given} to {most_c:given}."),
    "weather.outside_altitude_m": N_(
        "The altitude is {value_altitude_m:given}; allowed are {least_altitude_m:given} to {most_altitude_m:given}."
    ),
    "weather.outside_humidity": N_("The humidity is {value} %; allowed are {least} to {most} %."),
    "weather.outside_pressure_hpa": N_("The pressure at the place is {value} hPa; allowed are {least} to {most} hPa."),
    "weather.outside_sea_level_hpa": N_(
        "The pressure reduced to sea level is {value} hPa; allowed are {least} to {most} hPa."
    ),
    "weather.outside_wind_mps": N_("The wind is {value_mps:given}; allowed are {least_mps:given} to {most_mps:given}."),
    "weather.outside_slope_percent": N_("The slope is {value} %; allowed are {least} to {most} %."),
    "weather.two_pressures": N_(
        "Two pressures are given. Give the one read at the place, or the forecast's, which is reduced to sea level."
    ),
    "weather.wind_from_no_number": N_("The wind's direction is {value}; give degrees clockwise from straight ahead."),
    "weather.no_direction": N_(
        "The wind comes from ahead, behind, left or right, or from degrees clockwise from straight ahead; not {typed!r}."
    ),
    "weather.direction_alone": N_("A wind direction was given without a wind. Give the wind's speed too."),
    "weather.no_pairs": N_("A weather is pairs of a word and a number, like temp 25 wind 3 from ahead; not {typed!r}."),
    "weather.no_such_word": N_("{word!r} is none of {words}. Write it as: temp 25 altitude 100 wind 3 from ahead."),
    "weather.no_number": N_("The weather's {word} is {typed!r}, not a number."),
    "weather.told": "{parts}",
    "weather.unknown": N_("weather unknown"),
    "weather.temperature": "{air_c:given}",
    "weather.altitude": N_("{at_altitude_m:given} up"),
    "weather.pressure": N_("{hpa} hPa at the place"),
    "weather.sea_level_pressure": N_("{hpa} hPa reduced to sea level"),
    "weather.humidity": N_("{humidity} % humidity"),
    "weather.wind": N_("wind {wind_mps:given} {direction}"),
    "weather.no_wind": N_("no wind"),
    "weather.uphill": N_("{slope} % uphill"),
    "weather.downhill": N_("{slope} % downhill"),
    "weather.from_ahead": N_("from ahead"),
    "weather.from_ahead_and_right": N_("from ahead and right"),
    "weather.from_right": N_("from the right"),
    "weather.from_behind_and_right": N_("from behind and right"),
    "weather.from_behind": N_("from behind"),
    "weather.from_behind_and_left": N_("from behind and left"),
    "weather.from_left": N_("from the left"),
    "weather.from_ahead_and_left": N_("from ahead and left"),
    "launches.no_record": N_("it is not a record of fields"),
    "launches.missing": N_("{field} is missing"),
    "launches.no_number": N_("{field} is {typed!r}, not a number"),
    "launches.outside": N_("{field} is {value}; allowed are {least} to {most} {unit}"),
    "launches.outside_share": N_("{field} is {value}; allowed are {least} to {most}"),
    "launches.degrees": N_("degrees"),
    "launches.no_model": N_("There is no flight model {name!r}; there are: {models}."),
}
