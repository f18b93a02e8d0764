"""A green from the words of a command or a form: pin front, middle, back or metres; trouble short, long:water."""

from collections.abc import Sequence
from typing import Final, get_args

from threequarter.choice.green import USUAL_DEPTH_M, Green, Kind, Side, Trouble
from threequarter.golf.errors import UserError
from threequarter.golf.message import Message

PINS: Final = {"front": 0.2, "middle": 0.5, "back": 0.8}
_IN_GERMAN: Final = {
    "vorn": "front",
    "vorne": "front",
    "mitte": "middle",
    "hinten": "back",
    "kurz": "short",
    "lang": "long",
    "links": "left",
    "rechts": "right",
    "wasser": "water",
}
"""German words that may be typed as well."""


def green_of(
    to_m: float,
    *,
    pin: str = "middle",
    depth_m: float | None = None,
    width_m: float | None = None,
    trouble: Sequence[str] = (),
) -> Green:
    """The green. `pin` in metres counts from its front edge. Raises UserError for a word or a number that cannot be."""
    depth = USUAL_DEPTH_M if depth_m is None else depth_m
    share = PINS.get(_plain(pin))
    if share is None:
        try:
            pin_m = float(pin)
        except ValueError:
            raise UserError(Message("green.pin_word", pin=pin)) from None
    else:
        pin_m = share * depth
    found = tuple(_trouble(word) for part in trouble for word in part.split(",") if word.strip())
    return Green(
        to_pin_m=to_m, depth_m=depth, width_m=width_m or min(max(depth, 12.0), 30.0), pin_m=pin_m, trouble=found
    )


def _plain(word: str) -> str:
    plain = word.strip().casefold()
    return _IN_GERMAN.get(plain, plain)


def _trouble(word: str) -> Trouble:
    side, kind = (_plain(part) for part in word.partition(":")[::2])
    if side not in get_args(Side) or (kind and kind not in get_args(Kind)):
        raise UserError(Message("green.trouble_word", word=word))
    return Trouble(side=side, kind=kind or "sand")  # type: ignore[arg-type]
