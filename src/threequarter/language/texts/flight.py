"""What is said about weather and about launches that cannot be flown."""

from typing import Final

from threequarter.language.localize import N_
from threequarter.language.text import Plural

TEXTS: Final[dict[str, str | Plural]] = {
    "weather.outside_temp_c": N_("The temperature must be {least_c:given} to {most_c:given}, not {value_c:given}."),
    "weather.outside_altitude_m": N_(
        "The altitude must be {least_altitude_m:given} to {most_altitude_m:given}, not {value_altitude_m:given}."
    ),
    "weather.outside_humidity": N_("The humidity must be {least} to {most} %, not {value} %."),
    "weather.outside_pressure_hpa": N_("The pressure at the course must be {least} to {most} hPa, not {value} hPa."),
    "weather.outside_sea_level_hpa": N_("The pressure at sea level must be {least} to {most} hPa, not {value} hPa."),
    "weather.outside_wind_mps": N_("The wind must be {least_mps:given} to {most_mps:given}, not {value_mps:given}."),
    "weather.outside_slope_percent": N_("The slope must be {least} to {most} %, not {value} %."),
    "weather.two_pressures": N_(
        "You gave two pressures. Give either the one read at the course or the forecast's, which is for sea level."
    ),
    "weather.wind_from_no_number": N_(
        "Give the wind's direction in degrees clockwise from straight ahead, not {value}."
    ),
    "weather.no_direction": N_(
        "Say where the wind comes from: ahead, behind, left, right, or degrees clockwise from straight ahead; "
        "not {typed!r}."
    ),
    "weather.direction_alone": N_("You gave a wind direction but no wind. Give its speed too."),
    "weather.no_pairs": N_(
        "Write the weather as pairs of a word and a number, like temp 25 wind 3 from ahead; not {typed!r}."
    ),
    "weather.no_such_word": N_(
        "{word!r} is not one of {words}. Write it like this: temp 25 altitude 100 wind 3 from ahead."
    ),
    "weather.no_number": N_("In the weather, {word} needs a number, not {typed!r}."),
    "weather.told": "{parts}",
    "weather.unknown": N_("weather unknown"),
    "weather.temperature": "{air_c:given}",
    "weather.altitude": N_("{at_altitude_m:given} up"),
    "weather.pressure": N_("{hpa} hPa at the course"),
    "weather.sea_level_pressure": N_("{hpa} hPa at sea level"),
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
    "launches.outside": N_("{field} must be {least} to {most} {unit}, not {value}"),
    "launches.outside_share": N_("{field} must be {least} to {most}, not {value}"),
    "launches.degrees": N_("degrees"),
    "launches.no_model": N_("There is no flight model {name!r}; there are: {models}."),
}
