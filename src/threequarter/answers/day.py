"""A chart on another day as plain JSON and as words, in the player's unit."""

from collections.abc import Sequence
from typing import Any

from threequarter.chart.day import EFFECT_DOUBT, RULE, DayCell, DayChart, Effect
from threequarter.chart.result import Interval
from threequarter.golf.units import DistanceUnit, from_metres
from threequarter.language import line, lines, say, words
from threequarter.language.localize import _, number


def day_answer(day: DayChart, effects: Sequence[Effect], shots: Sequence[int], unit: DistanceUnit) -> dict[str, Any]:
    """Cells before and after, what single things add, and what is not corrected. Distances in `unit`, 90 % intervals."""

    def at(metres: float) -> float:
        return round(from_metres(metres, unit), 3)

    def ends(interval: Interval) -> list[float]:
        return [at(interval.low), at(interval.high)]

    return {
        "unit": unit,
        "made_in": say(day.made.message()),
        "day": say(day.day.message()),
        "ground": day.firmness,
        "cells": [
            {
                "club": cell.before.club,
                "swing": cell.before.swing,
                "before": {"carry": at(cell.before.stock_carry_m), "interval90": ends(cell.before.stock90_m)},
                "after": {
                    "carry": at(cell.carry_m),
                    "interval90": ends(cell.after90_m),
                    "predictive90": ends(cell.next90_m),
                },
                "change": at(cell.change_m),
                "change90": ends(cell.change90_m),
                "side": at(cell.side_m),
                "side90": ends(cell.side90_m),
                "run": at(cell.run_m),
                "run90": ends(cell.run90_m),
                "words": say_cell(cell, unit),
            }
            for cell in day.cells
        ],
        "effects": {
            "shots": [words.shot(day.cells[i].before) for i in shots],
            "rows": [
                {
                    "what": line(effect.name, unit),
                    "change": [at(v) for v in effect.changes_m],
                    "side": [at(v) for v in effect.sides_m],
                }
                for effect in effects
            ],
        },
        "notes": lines([*day.notes, EFFECT_DOUBT], unit),
        "rule": line(RULE, unit),
    }


def say_cell(cell: DayCell, unit: DistanceUnit) -> str:
    """ "54 waist: 44 becomes 41 ± 2 yd, drifts 3 yd right, runs 2-6 yd"."""
    before, after = words.rounded(cell.before.stock_carry_m, unit), words.rounded(cell.carry_m, unit)
    doubt = words.doubt(cell.after90_m, unit)
    side = from_metres(cell.side_m, unit)
    parts = [
        _("{shot}: {before} becomes {after} ± {doubt} {unit}").format(
            shot=words.shot(cell.before), before=before, after=after, doubt=doubt, unit=unit
        )
    ]
    if abs(side) >= 1:
        drifts = _("drifts {side} {unit} right") if side > 0 else _("drifts {side} {unit} left")
        parts.append(drifts.format(side=number(abs(side)), unit=unit))
    parts.append(line(cell.runs(), unit))
    return ", ".join(parts)


def largest_first(effects: Sequence[Effect], unit: DistanceUnit) -> list[Effect]:
    """The effects that move some shot by a whole unit or more, the largest first; the others are left out."""

    def largest(effect: Effect) -> float:
        return max(abs(from_metres(m, unit)) for m in (*effect.changes_m, *effect.sides_m))

    told = [one for one in effects if any(round(from_metres(m, unit)) for m in (*one.changes_m, *one.sides_m))]
    return sorted(told, key=largest, reverse=True)


def effect_words(effect: Effect, unit: DistanceUnit) -> list[str]:
    """What one thing does to each shot: "−6", or where a side wind puts it, "4 left"; both where both count."""
    cells = []
    for change, side in zip(effect.changes_m, effect.sides_m, strict=True):
        by, off = round(from_metres(change, unit)), round(from_metres(side, unit))
        parts = [words.signed(by)] if by or not off else []
        parts += [side_words(off)] if off else []
        cells.append(", ".join(parts))
    return cells


def side_words(off: int) -> str:
    """So far to a side, right positive: "4 left"."""
    return (_("{distance} right") if off > 0 else _("{distance} left")).format(distance=abs(off))
