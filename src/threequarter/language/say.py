"""Says a message: finds the text of its code, fills in the values in the reader's language and units.

In a text a value is written by its name, and the end of the name tells how it is said: `{low_m}` "47 yd",
`{wind_mps}` "11 mph", `{air_c}` "9 °C", `{apex_height_m}` and `{at_altitude_m}` "18 m" or "59 ft", `{arm_deg}` "73°", `{back_s}` "0.8 s",
`{mishit_share}` "12 %",
`{mishit_one_in}` "one in eight", `{hit_on}` a day, `{choices_or}` a list with "or" between, anything else a number or a word. After a colon: how many decimals, `+` for a
sign, `bare` for the number without its unit (`{low_m:bare}-{high_m}` is "47-52 yd"), `given` for all its decimals where the reader's
unit is the one it is kept in ("24.5 °C", but "76 °F").
"""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import replace
from datetime import date
from decimal import Decimal
from string import Formatter
from typing import Any, Final

from threequarter.golf.message import Message
from threequarter.golf.units import DistanceUnit, from_celsius, from_metres, from_mps, height_from_metres
from threequarter.language.localize import _, day, ngettext, number
from threequarter.language.measures import HEIGHT_MARK, SPEED_MARK, TEMPERATURE_MARK, measured_in, units_in_use
from threequarter.language.text import Plural
from threequarter.language.texts import TEXTS
from threequarter.language.words import one_in

_LIST_MARK: Final = ", "


def say(message: Message | str) -> str:
    """The sentence of a message; a text that is none (typed by a person, stored by an older release) as it is.

    A code without a text is said as its bare code, so that nothing is lost; the tests look for such codes.
    """
    if isinstance(message, str):
        return message
    text = TEXTS.get(message.code)
    if text is None:
        return str(message)
    template = ngettext(*text.forms, int(message.values[text.by])) if isinstance(text, Plural) else _(text)
    return _Filler().vformat(template, (), message.values)


def lines(messages: Iterable[Message | str], unit: DistanceUnit | None = None) -> list[str]:
    """The sentences of several messages, distances in `unit` (None: that of the reader)."""
    used = units_in_use()
    with measured_in(replace(used, distance=unit or used.distance)):
        return [say(message) for message in messages]


def line(message: Message | str, unit: DistanceUnit | None = None) -> str:
    """The sentence of one message, distances in `unit` (None: that of the reader)."""
    return lines((message,), unit)[0]


def say_error(error: Exception) -> str:
    """What a user is told of an error: its message said, or its words where it has only words."""
    told = error.args[0] if error.args else str(error)
    return say(told) if isinstance(told, Message) else str(told)


BEYOND: Final = 2**63
"""A number that somebody made up, of hundreds of digits, is said by its size."""


class _Filler(Formatter):
    """Writes each value as the end of its name tells."""

    def get_field(self, field_name: str, args: Any, kwargs: Mapping[str, Any]) -> tuple[Any, str]:
        return (field_name, kwargs[field_name]), field_name

    def convert_field(self, value: Any, conversion: str | None) -> Any:
        name, content = value
        return (name, _("“{word}”").format(word=content)) if conversion == "r" else value

    def format_field(self, value: Any, format_spec: str) -> str:
        name, content = value
        return _written(name, content, format_spec)


def _written(name: str, value: Any, spec: str) -> str:
    if isinstance(value, Message):
        return say(value)
    if isinstance(value, Exception):
        return say_error(value)
    if isinstance(value, list | tuple):
        mark = _(" or ") if name.endswith("_or") else _LIST_MARK
        return mark.join(_written(name, one, spec) for one in value)
    if name.endswith("_on"):
        return day(date.fromisoformat(value) if isinstance(value, str) else value)
    if isinstance(value, bool) or not isinstance(value, int | float):
        return str(value)
    if isinstance(value, int) and abs(value) >= BEYOND:
        return f"{Decimal(value):.1e}"
    return _number(name, float(value), spec)


def _number(name: str, value: float, spec: str) -> str:
    if name.endswith("_one_in"):
        return one_in(value)
    words = spec.split()
    bare, sign = "bare" in words, any("+" in word for word in words)
    digits = next((int(word.lstrip("+")) for word in words if word.lstrip("+").isdigit()), None)
    for ending, (turned, mark) in _QUANTITIES.items():
        if name.endswith(ending):
            here = turned(value)
            as_given = "given" in words and here == value
            written = number(here, None if as_given else digits or 0, sign=sign)
            return written if bare else f"{written}{mark()}"
    return number(value, digits, sign=sign)


_QUANTITIES: Final[dict[str, tuple[Callable[[float], float], Callable[[], str]]]] = {
    "height_m": (
        lambda v: height_from_metres(v, units_in_use().height),
        lambda: f" {HEIGHT_MARK[units_in_use().height]}",
    ),
    "altitude_m": (
        lambda v: height_from_metres(v, units_in_use().height),
        lambda: f" {HEIGHT_MARK[units_in_use().height]}",
    ),
    "_m": (lambda v: from_metres(v, units_in_use().distance), lambda: f" {units_in_use().distance}"),
    "_mps": (lambda v: from_mps(v, units_in_use().speed), lambda: f" {SPEED_MARK[units_in_use().speed]}"),
    "_c": (
        lambda v: from_celsius(v, units_in_use().temperature),
        lambda: f" {TEMPERATURE_MARK[units_in_use().temperature]}",
    ),
    "_deg": (lambda v: v, lambda: "°"),
    "_s": (lambda v: v, lambda: " s"),
    "_share": (lambda v: 100 * v, lambda: " %"),
}
"""By the end of a value's name: how it is turned into the reader's unit, and the mark of that unit."""
