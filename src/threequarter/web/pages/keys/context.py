"""What the bucket page shows while balls are typed: each shot with its doubt, what the next ball will do, when to
stop."""

from collections.abc import Sequence
from typing import Any

from threequarter.answers.answer import Answer
from threequarter.chart import next_ball
from threequarter.chart.result import Cell
from threequarter.golf.ball import Ball, shot_key
from threequarter.golf.units import DistanceUnit, from_metres
from threequarter.language import line, lines, words
from threequarter.language.localize import _
from threequarter.store.balls.conflicts import Conflicts
from threequarter.store.results import SessionInfo

Shot = tuple[str, str]


def filling(found: Answer, keys: Sequence[Shot], unit: DistanceUnit) -> dict[str, Any]:
    """The answer of a day, said in `unit`, under the names that the page has keys for; a shot without a key bears its own."""
    advice = found.advice
    shown = _shown(found, keys)
    after = dict(zip(map(id, found.chart.cells), next_ball.after_one_more(found.chart), strict=True))
    unsure = next_ball.less_sure(found.chart)
    names = {id(cell): shot for shot, cell in shown}
    return {
        "cells": [_cell(shot, cell, after[id(cell)], (cell.club, cell.swing) in unsure, unit) for shot, cell in shown],
        "next": [
            {
                "club": names[id(s.cell)][0],
                "swing": names[id(s.cell)][1],
                "balls": s.balls,
                "why": line(s.why, unit),
            }
            for s in advice.suggestions
        ],
        "stop": advice.stop,
        "to_go": advice.balls_to_go,
        "minutes": advice.minutes_to_go,
        "endless": advice.endless,
        "until": until(advice, unit),
        "words": lines(advice.messages, unit),
    }


def until(advice: next_ball.Advice, unit: DistanceUnit) -> str:
    """What is said beside the next block: how far it is to a good chart, or why to stop."""
    return " ".join(lines([one for one in advice.messages if one.code != "advice.next"], unit))


def _shown(found: Answer, keys: Sequence[Shot]) -> list[tuple[Shot, Cell]]:
    """The shots with a key, then those asked about that have none."""
    plan = found.plan
    of_key = {}
    for club, swing in keys:
        named = plan.named(Ball(number=0, club=club, swing=swing, distance_m=1.0))
        of_key[shot_key(named.club, named.swing, named.loft_deg)] = (club, swing)
    of_cell = {shot_key(c.club, c.swing, c.loft_deg): c for c in found.chart.cells}
    with_key = [(shot, of_cell[key]) for key, shot in of_key.items() if key in of_cell]
    shown = {id(cell) for _shot, cell in with_key}
    return with_key + [((cell.club, cell.swing), cell) for cell in found.asked if id(cell) not in shown]


def _cell(shot: Shot, cell: Cell, after_m: float, need: bool, unit: DistanceUnit) -> dict[str, Any]:
    return {
        "club": shot[0],
        "swing": shot[1],
        "balls": cell.balls,
        "carry": words.rounded(cell.stock_carry_m, unit),
        "doubt": words.doubt(cell.stock90_m, unit),
        "now": round(from_metres(cell.stock90_m.half, unit), 1),
        "after": round(from_metres(after_m, unit), 1),
        "next": words.span(cell.next90_m, unit),
        "need": need,
    }


def to_look_at(looked: Conflicts, info: SessionInfo) -> dict[str, Any]:
    """What somebody should settle: one key with two contents, one ball that two phones seem to have noted."""
    return {
        "conflicts": [
            {"id": one.id, "key": one.key, "kept": said(one.kept, info.unit), "other": said(one.other, info.unit)}
            for one in looked.conflicts(info.id)
        ],
        "doubles": [
            {"ball": one.again.id, "seconds": round(one.seconds), "says": said(one.again.ball, info.unit)}
            for one in looked.doubles(info.id)
        ],
    }


def said(ball: Ball, unit: DistanceUnit) -> str:
    """A ball in a line: "54 waist 41 yd fat"."""
    parts = [ball.club, ball.swing, f"{from_metres(ball.distance_m, unit):.4g} {unit}"]
    if ball.strike:
        parts.append(_(ball.strike.value))
    if ball.count > 1:
        parts.append(_("pile of {count}").format(count=ball.count))
    return " ".join(parts)
