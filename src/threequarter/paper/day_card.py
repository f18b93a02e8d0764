"""The day card: the chart moved to tomorrow's weather, made the night before; beside the pocket card in the same pocket."""

from collections.abc import Sequence
from typing import Any, Final

from threequarter.answers.day import effect_words, largest_first, side_words
from threequarter.chart.day import EFFECT_DOUBT, RULE, DayCell, DayChart, Effect
from threequarter.flight.ground import Firmness
from threequarter.golf.units import DistanceUnit, from_metres
from threequarter.language import line, lines, say, words
from threequarter.language.localize import N_, _
from threequarter.paper.card import CLUBS_A_SIDE, ROWS_A_SIDE, parts
from threequarter.paper.typesetting import typeset

GREENS: Final[dict[Firmness, str]] = {
    "soft": N_("soft greens"),
    "normal": N_("normal greens"),
    "firm": N_("firm greens"),
}


def day_card(
    day: DayChart,
    effects: Sequence[Effect],
    shots: Sequence[int],
    *,
    player: str = "",
    date: str = "",
    unit: DistanceUnit = "yd",
) -> bytes:
    """The card as PDF, pocket size, two sides or more. Same input, same bytes."""
    return typeset("day.typ", _data(day, effects, shots, player, date, unit))


def _data(
    day: DayChart, effects: Sequence[Effect], shots: Sequence[int], player: str, date: str, unit: DistanceUnit
) -> dict[str, Any]:
    blocks = []
    for clubs in parts(day.clubs, CLUBS_A_SIDE):
        for swings in parts(day.swings, ROWS_A_SIDE):
            rows = [{"swing": s, "cells": [_cell(day.cell(c, s), unit) for c in clubs]} for s in swings]
            blocks.append({"clubs": list(clubs), "rows": rows})
    return {
        "player": player or _("Day card"),
        "date": date,
        "says": _says(unit, date),
        "day": f"{say(day.day.message())}; {_(GREENS[day.firmness])}",
        "made": _("Based on balls hit in: {weather}.").format(weather=say(day.made.message())),
        "blocks": blocks,
        "shots": [f"{words.shot(day.cells[i].before)}" for i in shots],
        "effects": [
            {"name": line(effect.name, unit), "cells": effect_words(effect, unit)}
            for effect in largest_first(effects, unit)
        ],
        "notes": lines(day.notes, unit),
        "rule": line(RULE),
        "effect_doubt": line(EFFECT_DOUBT),
    }


def _says(unit: DistanceUnit, date: str) -> dict[str, str]:
    """The card's own texts."""
    unit_word = words.unit_word(unit)
    return {
        "title": _("Day card"),
        "foot": _("Day card {date}").format(date=date),
        "carry": _("Carry in {unit} on this day ± doubt; side: where the wind puts the ball").format(unit=unit_word),
        "effects": _("What each thing adds to the carry ({unit}), or where a side wind puts the ball").format(
            unit=unit_word
        ),
        "mirror": _("A wind from the right puts the ball as far to the left."),
    }


def _cell(cell: DayCell, unit: DistanceUnit) -> dict[str, str]:
    side = from_metres(cell.side_m, unit)
    return {
        "carry": str(words.rounded(cell.carry_m, unit)),
        "doubt": f"± {words.doubt(cell.after90_m, unit)}",
        "was": _("was {carry}").format(carry=words.rounded(cell.before.stock_carry_m, unit)),
        "run": line(cell.runs(short=True), unit),
        "side": side_words(round(side)) if abs(side) >= 1 else "",
    }
