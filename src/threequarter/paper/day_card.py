"""The day card: the chart moved to tomorrow's weather, made the night before; beside the pocket card in the same pocket."""

from collections.abc import Sequence
from typing import Any

from threequarter.chart import words
from threequarter.chart.day import EFFECT_DOUBT, RULE, DayCell, DayChart, Effect
from threequarter.chart.day_answer import effect_words
from threequarter.golf.units import DistanceUnit, from_metres
from threequarter.paper.card import CLUBS_A_SIDE, ROWS_A_SIDE, parts
from threequarter.paper.typesetting import typeset


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
        "player": player or "Day card",
        "date": date,
        "unit_word": words.unit_word(unit),
        "day": f"{day.day.say()}; {day.firmness} greens",
        "made": f"Made from balls hit in: {day.made.say()}.",
        "blocks": blocks,
        "shots": [f"{words.shot(day.cells[i].before)}" for i in shots],
        "effects": [{"name": effect.name, "cells": effect_words(effect, unit)} for effect in effects],
        "notes": list(day.notes),
        "rule": RULE,
        "effect_doubt": EFFECT_DOUBT,
    }


def _cell(cell: DayCell, unit: DistanceUnit) -> dict[str, str]:
    side = from_metres(cell.side_m, unit)
    return {
        "carry": str(words.rounded(cell.carry_m, unit)),
        "doubt": f"± {words.doubt(cell.after90_m, unit)}",
        "was": f"was {words.rounded(cell.before.stock_carry_m, unit)}",
        "run": cell.runs(unit).replace(" where it lands", ""),
        "side": f"{abs(side):.0f} {'right' if side > 0 else 'left'}" if abs(side) >= 1 else "",
    }
