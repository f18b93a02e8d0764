"""The chart and the advice as plain JSON, in the player's unit."""

from typing import Any

from threequarter.chart import next_ball
from threequarter.chart.meaning import Hole, Meaning, Pair, cell_words, meaning, say
from threequarter.chart.result import Cell, Chart, Interval
from threequarter.golf.units import DistanceUnit, from_metres
from threequarter.language import say as told
from threequarter.language import words


def chart_answer(chart: Chart, unit: DistanceUnit) -> dict[str, Any]:
    """Everything a chart says. Distances in `unit`; intervals hold 90 %."""
    found = meaning(chart)
    return {
        "unit": unit,
        "cells": [cell_answer(cell, unit) for cell in chart.cells],
        "checks": [told(check) for check in chart.checks],
        "mishits": [verdict.number for verdict in chart.verdicts if verdict.mishit],
        "two_swings": [[cell.club, cell.swing] for cell in chart.cells if cell.two_swings_m],
        "balls": [
            {"ball": v.number, "good": round(v.good, 4), "fat": round(v.fat, 4), "thin": round(v.thin, 4),
             "toe": round(v.toe, 4), "heavy": v.heavy, "sign": v.sign, "noted": v.noted, "why": [told(one) for one in v.why]}
            for v in chart.verdicts
        ],
        "meaning": _meaning_answer(found, unit),
        "words": say(found, unit),
        "notes": [told(note) for note in chart.notes],
    }  # fmt: skip


def cell_answer(cell: Cell, unit: DistanceUnit) -> dict[str, Any]:
    """One cell."""
    return {
        "club": cell.club,
        "swing": cell.swing,
        "loft_deg": cell.loft_deg,
        "balls": cell.balls,
        "readings": cell.readings,
        "stock_carry": _at(cell.stock_carry_m, unit),
        **_ends("interval90", cell.stock90_m, unit),
        **_ends("predictive90", cell.next90_m, unit),
        **_ends("another_day90", cell.another_day90_m, unit),
        **_ends("predictive_another_day90", cell.next_another_day90_m, unit),
        "good_sd": _at(cell.good_sd_m, unit),
        "mishit_rate": round(cell.mishit_rate, 4),
        "mishit_rate90": [round(cell.mishit_rate90.low, 4), round(cell.mishit_rate90.high, 4)],
        "two_swings": [_at(centre, unit) for centre in cell.two_swings_m] if cell.two_swings_m else None,
        "disagree_chance": round(cell.disagree_chance, 4),
        "as_hit": cell.as_hit,
        "words": [*map(told, cell.told), *cell_words(cell, unit)],
    }


def next_answer(advice: next_ball.Advice, unit: DistanceUnit) -> dict[str, Any]:
    """What to hit next, and whether to stop."""
    return {
        "unit": unit,
        "next": [
            {
                "club": suggestion.cell.club,
                "swing": suggestion.cell.swing,
                "why": suggestion.why,
                "halfwidth_now": _at(suggestion.halfwidth_now_m, unit),
                "expected_halfwidth_after": _at(suggestion.expected_halfwidth_after_m, unit),
            }
            for suggestion in advice.suggestions
        ],
        "stop": advice.stop,
        "goal": next_ball.goal_words(),
        "doubt_over_goal": round(advice.doubt_ratio, 3),
        "balls_to_go": advice.balls_to_go,
        "minutes_to_go": advice.minutes_to_go,
        "words": next_ball.say(advice, unit),
    }


def _at(distance_m: float, unit: DistanceUnit) -> float:
    return round(from_metres(distance_m, unit), 3)


def _ends(name: str, interval: Interval, unit: DistanceUnit) -> dict[str, float]:
    return {f"{name}_low": _at(interval.low, unit), f"{name}_high": _at(interval.high, unit)}


def _meaning_answer(found: Meaning, unit: DistanceUnit) -> dict[str, Any]:
    return {
        "covered": [_at(found.covered_m.low, unit), _at(found.covered_m.high, unit)],
        "holes": [_hole(hole, unit) for hole in found.holes],
        "doubles": [_pair(pair, unit) for pair in found.doubles],
        "undecided": [_pair(pair, unit) for pair in found.undecided],
    }


def _hole(hole: Hole, unit: DistanceUnit) -> dict[str, Any]:
    return {
        "from": _at(hole.low_m, unit),
        "to": _at(hole.high_m, unit),
        "chance": round(hole.chance, 3),
        "between": [words.shot(hole.below), words.shot(hole.above)],
    }


def _pair(pair: Pair, unit: DistanceUnit) -> dict[str, Any]:
    return {
        "shots": [words.shot(pair.first), words.shot(pair.second)],
        "carry": _at(pair.carry_m, unit),
        "difference": _at(pair.difference_m, unit),
        **_ends("difference90", pair.difference90_m, unit),
    }
