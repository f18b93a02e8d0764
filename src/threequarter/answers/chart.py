"""The chart and the advice as plain JSON, in the player's unit."""

from collections.abc import Sequence
from typing import Any

from threequarter.chart import next_ball
from threequarter.chart.gaps import Filler, Gap
from threequarter.chart.goal import goal_told
from threequarter.chart.meaning import Meaning, Pair, cell_told, meaning
from threequarter.chart.meaning import told as meaning_told
from threequarter.chart.mishits import Mishits, mishits
from threequarter.chart.mishits import told as mishits_told
from threequarter.chart.result import Cell, Chart, Interval
from threequarter.golf.ball import Ball
from threequarter.golf.units import DistanceUnit, from_metres
from threequarter.language import line, lines, words


def chart_answer(chart: Chart, unit: DistanceUnit, balls: Sequence[Ball] = ()) -> dict[str, Any]:
    """Everything a chart says. Distances in `unit`; intervals hold 90 %. `balls`: all that were read, for counts that add up."""
    found, bad = meaning(chart), mishits(chart, balls) if balls else None
    return {
        "unit": unit,
        "cells": [cell_answer(cell, unit) for cell in chart.cells],
        "checks": lines(chart.checks, unit),
        "mishits": [verdict.number for verdict in chart.verdicts if verdict.mishit],
        "two_swings": [[cell.club, cell.swing] for cell in chart.cells if cell.two_swings_m],
        "balls": [
            {
                "ball": v.number,
                "good": round(v.good, 4),
                "fat": round(v.fat, 4),
                "thin": round(v.thin, 4),
                "toe": round(v.toe, 4),
                "heavy": v.heavy,
                "sign": v.sign,
                "noted": v.noted,
                "why": lines(v.why, unit),
            }
            for v in chart.verdicts
        ],
        "meaning": _meaning_answer(found, unit),
        "words": lines(meaning_told(found), unit),
        "notes": lines(chart.notes, unit),
        **({"counts": _counts(bad, unit)} if bad else {}),
    }


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
        "words": lines(cell_told(cell), unit),
    }


def next_answer(advice: next_ball.Advice, unit: DistanceUnit) -> dict[str, Any]:
    """What to hit next, and whether to stop."""
    return {
        "unit": unit,
        "next": [
            {
                "club": suggestion.cell.club,
                "swing": suggestion.cell.swing,
                "balls": suggestion.balls,
                "why": line(suggestion.why, unit),
                "halfwidth_now": _at(suggestion.halfwidth_now_m, unit),
                "expected_halfwidth_after": _at(suggestion.expected_halfwidth_after_m, unit),
                "halfwidth_after_block": _at(suggestion.halfwidth_after_block_m, unit),
            }
            for suggestion in advice.suggestions
        ],
        "stop": advice.stop,
        "state": advice.state,
        "enough": advice.enough,
        "goal": line(goal_told(), unit),
        "goals": [
            {"club": cell.club, "swing": cell.swing, "goal": _at(goal_m, unit)}
            for cell, goal_m in zip(advice.plan, advice.goals_m, strict=True)
        ],
        "doubt_over_goal": round(advice.doubt_ratio, 3),
        "balls_to_go": advice.balls_to_go,
        "minutes_to_go": advice.minutes_to_go,
        "words": lines(advice.messages, unit),
    }


def _at(distance_m: float, unit: DistanceUnit) -> float:
    return round(from_metres(distance_m, unit), 3)


def _ends(name: str, interval: Interval, unit: DistanceUnit) -> dict[str, float]:
    return {f"{name}_low": _at(interval.low, unit), f"{name}_high": _at(interval.high, unit)}


def _meaning_answer(found: Meaning, unit: DistanceUnit) -> dict[str, Any]:
    return {
        "covered": [_at(found.covered_m.low, unit), _at(found.covered_m.high, unit)],
        "gaps": [_gap(gap, unit) for gap in found.gaps],
        "holes": [_gap(gap, unit) for gap in found.gaps],
        "doubles": [_pair(pair, unit) for pair in found.doubles],
        "undecided": [_pair(pair, unit) for pair in found.undecided],
    }


def _gap(gap: Gap, unit: DistanceUnit) -> dict[str, Any]:
    return {
        "from": _at(gap.low_m, unit),
        "to": _at(gap.high_m, unit),
        "chance": round(gap.chance, 3),
        "between": [words.shot(gap.below), words.shot(gap.above)],
        "fillers": [_filler(one, unit) for one in gap.fillers],
    }


def _filler(filler: Filler, unit: DistanceUnit) -> dict[str, Any]:
    return {
        "kind": filler.kind,
        "club": filler.club,
        "swings": list(filler.swings),
        "carry": _at(filler.carry_m, unit),
        **_ends("carry90", filler.carry90_m, unit),
        "words": line(filler.message, unit),
    }


def _counts(found: Mishits, unit: DistanceUnit) -> dict[str, Any]:
    return {
        "read": found.read,
        "charted": found.charted,
        "unused": found.unused,
        "seen": found.seen,
        "mishits": found.called,
        "doubtful": found.doubtful,
        "noted": found.noted,
        "called": found.inferred,
        "share": None if found.share is None else round(found.share, 4),
        "share90": None if found.share90 is None else [round(found.share90.low, 4), round(found.share90.high, 4)],
        "by_shot": [
            {
                "shot": words.shot(one.cell),
                "balls": one.balls,
                "mishits": one.mishits,
                "doubtful": one.doubtful,
                "noted": one.noted,
                "called": one.inferred,
            }
            for one in found.by_shot
        ],
        "words": lines(mishits_told(found), unit),
    }


def _pair(pair: Pair, unit: DistanceUnit) -> dict[str, Any]:
    return {
        "shots": [words.shot(pair.first), words.shot(pair.second)],
        "carry": _at(pair.carry_m, unit),
        "difference": _at(pair.difference_m, unit),
        **_ends("difference90", pair.difference90_m, unit),
        "chance": round(pair.chance, 3),
    }
