"""Shot choice as plain JSON and in words."""

from collections.abc import Sequence
from typing import Any

from threequarter.choice import told
from threequarter.choice.green import Green
from threequarter.choice.shot import Option
from threequarter.golf.message import Message
from threequarter.golf.units import DistanceUnit, from_metres
from threequarter.language import line, lines


def shot_answer(
    options: Sequence[Option], green: Green, unit: DistanceUnit, level: str, notes: Sequence[Message | str] = ()
) -> dict[str, Any]:
    """Options best first with chances that add up, and what should be known; `shown` are the places of those to look at."""
    shown = told.shown(options)
    nothing = [] if options else [Message("shot.nothing_reaches", to_m=green.to_pin_m)]
    return {
        "unit": unit,
        "to": _at(green.to_pin_m, unit),
        "level": level,
        "options": [_option(option, shown, unit) for option in options],
        "shown": [place for place, option in enumerate(options) if option in shown],
        "words": lines(told.verdict(options), unit),
        "notes": lines([*notes, *nothing, *told.CAUTIONS], unit),
    }


def _option(option: Option, shown: Sequence[Option], unit: DistanceUnit) -> dict[str, Any]:
    return {
        "club": option.club,
        "swing": line(Message("shot.between_swing", low=option.between[0], high=option.between[1]), unit)
        if option.between
        else option.swing,
        "between": option.between is not None,
        "never_hit": option.never_hit,
        "aim": _at(option.aim_m, unit),
        "expected_strokes": round(option.expected_strokes, 3),
        "strokes90": [round(option.strokes90.low, 3), round(option.strokes90.high, 3)],
        "behind": round(option.behind, 3),
        "tied_with_best": option.tied,
        "mishit_rate": round(option.mishit_rate, 4),
        "chances": {
            "on_green": round(option.on_green, 4),
            "within_3m": round(option.within_3m, 4),
            "in_trouble": round(option.in_trouble, 4),
            "short_of_green": round(option.short, 4),
        },
        "carry": _at(option.carry_m, unit),
        "run": _at(option.run_m, unit),
        "why": line(told.reason(option, shown), unit),
        "words": "; ".join(lines(told.told(option), unit)),
    }


def _at(metres: float, unit: DistanceUnit) -> float:
    return round(from_metres(metres, unit), 2)
