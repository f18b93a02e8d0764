"""The one screen of a lesson: five steps, what to hit next, the matrix that fills, the last swing beside its ball."""

from typing import Any, Final

from threequarter.app.lesson_view import LessonView, Row
from threequarter.golf.club import parse_club
from threequarter.golf.plan import Plan
from threequarter.golf.swing_length import parse_swing
from threequarter.golf.units import DistanceUnit
from threequarter.language import lines, words
from threequarter.language.localize import N_, _, ngettext
from threequarter.paper.pictures.sign import wedge_marks, wedges_of
from threequarter.swing.words import match
from threequarter.web.pages.keys.here import USUAL_CLUBS, usual_swings
from threequarter.web.view import ChartView

LAST_BALLS: Final = 6
STEPS: Final = (N_("Agree"), N_("Prove"), N_("Hit"), N_("Chart"), N_("Take home"))


def workspace(shown: LessonView, view: ChartView | None, plan: Plan, clips: int) -> dict[str, Any]:
    """What stands on the first screen of a lesson."""
    rows = [row for row in shown.rows if row.swing or row.ball]
    swung = next((row for row in reversed(rows) if row.swing), None)
    return {
        "steps": _steps(shown, view, plan, clips),
        "hit_next": _next(view),
        "first": _first(plan),
        "matrix": _matrix(view, shown.unit) if view else _planned(plan),
        "last_swing": _last(shown, swung),
        "last_balls": [row.ball for row in reversed(rows) if row.ball][:LAST_BALLS],
    }


def _steps(shown: LessonView, view: ChartView | None, plan: Plan, clips: int) -> list[dict[str, str]]:
    """Each step: its name, where it stands ("done", "now", "open"), and what there is of it."""
    stop = view is not None and view.answer.advice.stop
    matched = sum(match(one.swing).kind == "matches" for one in shown.seen)
    filmed = ngettext("{count} swing filmed", "{count} swings filmed", len(shown.seen)).format(count=len(shown.seen))
    says = (
        ", ".join(swing.label for swing in plan.swings[:4]) or _("which swing lengths"),
        _("{filmed}, {matched} match").format(filmed=filmed, matched=matched)
        if shown.seen
        else _("a clip is being measured")
        if clips
        else _("film three swings"),
        words.balls(len(shown.kept)),
        _("enough") if stop else _to_go(view),
        _("one page"),
    )
    done = (bool(plan.swings), bool(shown.seen), stop, stop, False)
    now = 0 if not (done[0] or shown.kept) else 4 if stop else 2
    states = ["now" if i == now else "done" if done[i] else "open" for i in range(len(STEPS))]
    return [
        {"name": _(name), "state": state, "says": told} for name, state, told in zip(STEPS, states, says, strict=True)
    ]


def _to_go(view: ChartView | None) -> str:
    advice = view.answer.advice if view else None
    if advice is None or not advice.balls_to_go or advice.endless:
        return _("it fills as you hit")
    return _("about {balls} more").format(balls=words.balls(advice.balls_to_go))


def _next(view: ChartView | None) -> dict[str, Any] | None:
    """What to hit next, or that it is enough; nothing before the first ball."""
    if view is None:
        return None
    advice = view.answer.advice
    block = advice.suggestions[0] if advice.suggestions and not advice.stop else None
    said = lines(advice.messages, view.unit)
    return {
        "shot": words.shot(block.cell) if block else "",
        "swing": block.cell.swing if block else "",
        "block": words.balls(block.balls) if block else "",
        "says": said[1:] if block or advice.stop else said,
        "enough": " ".join(said if advice.enough else said[:1]) if advice.stop else "",
    }


def _matrix(view: ChartView, unit: DistanceUnit) -> dict[str, Any]:
    chart, advice = view.chart, view.answer.advice
    chosen = advice.suggestions[0].cell if advice.suggestions and not advice.stop else None
    marks = wedges_of(chart)
    rows = []
    for club in chart.clubs:
        cells = [chart.cell(club, swing) for swing in chart.swings]
        told = [
            {
                "swing": cell.swing,
                "carry": words.rounded(cell.stock_carry_m, unit),
                "doubt": view.doubt(cell),
                "balls": words.balls(cell.balls) if cell.balls else _("not hit yet"),
                "hit": bool(cell.balls),
                "next": cell is chosen,
            }
            for cell in cells
        ]
        rows.append({"club": club, "mark": marks[club], "cells": told})
    forecasts = any(not cell.balls for cell in chart.cells)
    return {"swings": list(chart.swings), "rows": rows, "forecasts": forecasts}


def _planned(plan: Plan) -> dict[str, Any]:
    """The matrix before the first ball: the wedges and lengths of the plan, nothing in them."""
    clubs, swings = _set_out(plan)
    lofts = [club.loft_deg for club in plan.clubs] or [parse_club(club).loft_deg for club in clubs]
    first = _first(plan)
    rows = [
        {
            "club": club,
            "mark": mark,
            "cells": [{"swing": swing, "next": (club, swing) == (first["club"], first["swing"])} for swing in swings],
        }
        for club, mark in zip(clubs, wedge_marks(lofts), strict=True)
    ]
    return {"swings": swings, "rows": rows}


def _set_out(plan: Plan) -> tuple[list[str], list[str]]:
    """Wedges and lengths of the plan, else those that the keys begin with."""
    clubs, swings = [club.label for club in plan.clubs], [swing.label for swing in plan.swings]
    return clubs or list(USUAL_CLUBS), swings or usual_swings()


def _first(plan: Plan) -> dict[str, str]:
    """The shot to begin with: the shortest swing of the first wedge."""
    clubs, swings = _set_out(plan)
    shortest = min(swings, key=lambda name: parse_swing(name).order)
    return {"club": clubs[0], "swing": shortest}


def _last(shown: LessonView, row: Row | None) -> dict[str, Any] | None:
    """The swing filmed last with its ball, where it has one."""
    if row is None or row.swing is None:
        return None
    found = match(next(one.swing for one in shown.seen if _is(one.clip.id, one.number, row.swing)))
    return {"swing": row.swing, "ball": row.ball, "kind": found.kind}


def _is(clip: int, number: int, swing: dict[str, Any]) -> bool:
    return bool(clip == swing["clip"] and number == swing["number"])
