"""The pocket card: two ways in, by shot and by number; black and white, made before the round."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Final, Literal

from threequarter.chart.goal import goal_m
from threequarter.chart.meaning import Meaning, meaning
from threequarter.chart.mishits import pooled_share
from threequarter.chart.result import Cell, Chart, Interval
from threequarter.golf.message import Message
from threequarter.golf.units import DistanceUnit
from threequarter.language import say, words
from threequarter.language.localize import N_, _
from threequarter.paper.typesetting import count_pages, typeset

SheetSize = Literal["pocket", "a4", "letter"]
CLUBS_A_SIDE: Final = 5
ROWS_A_SIDE: Final = 8
UNSURE: Final = 2.0
"""A shot whose doubt is more than this many times the goal bears a question mark."""
RULE: Final = N_(
    "Made before the round, which Rule 4.3a allows (2023); the Committee and local rules have the last word."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class CardDetails:
    """What stands on the card beside the chart. `date` as it is to be read; empty where unknown."""

    player: str = ""
    date: str = ""
    ball: str = ""
    air: str = ""


def pocket_card(
    chart: Chart, details: CardDetails, *, unit: DistanceUnit = "yd", sheet: SheetSize = "pocket", flights: str = ""
) -> bytes:
    """The card as PDF: pocket size (74 x 105 mm, two sides or more), or four of it on A4 or Letter with marks to cut.

    `flights` is a picture (SVG) of how the shots fly; with it the card has a side more.
    """
    data = _data(chart, details, unit) | {"flights": bool(flights)}
    card = typeset("card.typ", data, {"flights.svg": flights.encode()} if flights else None)
    if sheet == "pocket":
        return card
    data = {"title": _("Pocket cards"), "paper": "a4" if sheet == "a4" else "us-letter", "sides": count_pages(card)}
    return typeset("sheet.typ", data, {"card.pdf": card})


def _data(chart: Chart, details: CardDetails, unit: DistanceUnit) -> dict[str, Any]:
    found = meaning(chart)
    share = pooled_share(chart)
    balls = sum(cell.balls for cell in chart.cells)
    made = [words.balls(balls), details.ball, details.air, details.date]
    return {
        "player": details.player or _("Distance chart"),
        "says": _says(unit),
        "blocks": _blocks(chart, unit),
        "ladder": _rungs(found, unit),
        "mishits": say(
            Message("mishits.piles")
            if share is None
            else Message("card.mishits", mishit_one_in=share, mishit_share=share)
        ),
        "unsure": any(_unsure(cell) for cell in chart.cells),
        "foot": " · ".join(part for part in (words.balls(balls), details.date) if part),
        "made": _("Made from {what}.").format(what=", ".join(part for part in made if part)),
        "rule": _(RULE),
    }


def _says(unit: DistanceUnit) -> dict[str, Any]:
    """The card's own texts."""
    unit_word = words.unit_word(unit)
    return {
        "title": _("Pocket card"),
        "by_shot": _("By shot: carry in {unit}, ± on another day; below it where nine good balls in ten land").format(
            unit=unit_word
        ),
        "by_number": _("By number: the shots that carry it ({unit})").format(unit=unit_word),
        "unsure": _("A {mark} marks a shot that is not known well yet.").split("{mark}"),
        "flights": _("How the shots fly, in true proportions; pale bands hold nine in ten"),
    }


def _blocks(chart: Chart, unit: DistanceUnit) -> list[dict[str, Any]]:
    """The grid by shot, cut into sides of at most five wedges and eight swing lengths."""
    blocks = []
    for clubs in parts(chart.clubs, CLUBS_A_SIDE):
        for swings in parts(chart.swings, ROWS_A_SIDE):
            rows = [
                {"swing": swing, "cells": [_cell(chart.cell(club, swing), unit) for club in clubs]} for swing in swings
            ]
            blocks.append({"clubs": list(clubs), "rows": rows})
    return blocks


def parts(names: Sequence[str], most: int) -> list[Sequence[str]]:
    """Names in runs of at most `most`."""
    return [names[i : i + most] for i in range(0, len(names), most)]


def _unsure(cell: Cell) -> bool:
    return cell.another_day90_m.half > UNSURE * goal_m(cell)


def _cell(cell: Cell, unit: DistanceUnit) -> dict[str, Any]:
    return {
        "carry": str(words.rounded(cell.stock_carry_m, unit)),
        "doubt": f"± {words.doubt(cell.another_day90_m, unit)}",
        "next": f"{words.rounded(cell.next_another_day90_m.low, unit)}-{words.rounded(cell.next_another_day90_m.high, unit)}",
        "sure": not _unsure(cell),
    }


def ladder(chart: Chart, unit: DistanceUnit) -> list[dict[str, Any]]:
    """The card's way in by number: one rung a number with its shots, a gap is a rung of its own."""
    return _rungs(meaning(chart), unit)


def _rungs(found: Meaning, unit: DistanceUnit) -> list[dict[str, Any]]:
    """One rung a number, shots that round to it together; a gap is a rung of its own."""
    rungs: list[dict[str, Any]] = []
    for cell in found.ladder:
        carry = str(words.rounded(cell.stock_carry_m, unit))
        shot = {
            "name": words.shot(cell),
            "doubt": f"({words.rounded(cell.next_another_day90_m.low, unit)}-{words.rounded(cell.next_another_day90_m.high, unit)})",
        }
        if rungs and not rungs[-1]["gap"] and rungs[-1]["number"] == carry:
            rungs[-1]["shots"].append(shot)
        else:
            rungs.append({"gap": False, "number": carry, "shots": [shot]})
        for gap in found.gaps:
            if gap.below is cell:
                span = words.span(Interval(gap.low_m, gap.high_m), unit)
                text = _("gap: no shot for {span}").format(span=span)
                rungs.append({"gap": True, "text": text})
    return rungs
