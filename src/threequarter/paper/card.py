"""The pocket card: two ways in, by shot and by number; black and white, made before the round."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Final, Literal

from threequarter.chart.meaning import Meaning, meaning
from threequarter.chart.mishits import pooled_share
from threequarter.chart.next_ball import Shots, less_sure
from threequarter.chart.result import Cell, Chart, Interval
from threequarter.golf.message import Message
from threequarter.golf.units import DistanceUnit
from threequarter.language import say, words
from threequarter.language.localize import N_, _
from threequarter.paper.pictures.sign import arm_of, sign, wedge_key, wedges_of
from threequarter.paper.typesetting import count_pages, typeset

SheetSize = Literal["pocket", "a4", "letter"]
CLUBS_A_SIDE: Final = 5
ROWS_A_SIDE: Final = 8
NUMBERS_A_SIDE: Final = 15
MOST_TIED: Final = 3
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
    data = card_content(chart, details, unit) | {"flights": bool(flights)}
    drawn = signs_of(chart) | ({"flights.svg": flights.encode()} if flights else {})
    card = typeset("card.typ", data, drawn)
    if sheet == "pocket":
        return card
    data = {"title": _("Pocket cards"), "paper": "a4" if sheet == "a4" else "us-letter", "sides": count_pages(card)}
    return typeset("sheet.typ", data, {"card.pdf": card})


def card_content(chart: Chart, details: CardDetails, unit: DistanceUnit) -> dict[str, Any]:
    """What stands on the card, in words: for paper, and for the round view on a screen."""
    found, unsure = meaning(chart), less_sure(chart)
    share = pooled_share(chart)
    balls = sum(cell.balls for cell in chart.cells)
    made = [words.balls(balls), details.date, details.ball, details.air]
    return {
        "player": details.player or _("Distance chart"),
        "says": _says(unit),
        "blocks": _blocks(chart, unsure, unit),
        "pages": _far_to_near(found, chart, unsure, unit),
        "mishits": say(Message("mishits.piles") if share is None else Message("card.mishits", mishit_one_in=share)),
        "unsure": bool(unsure),
        "date": details.date,
        "made": ", ".join(part for part in made if part),
        "rule": _(RULE),
    }


def _says(unit: DistanceUnit) -> dict[str, Any]:
    """The card's own texts."""
    return {
        "title": _("Pocket card"),
        "by_shot": _("{unit} of carry; below: nine good balls in ten, on another day").format(
            unit=words.unit_word(unit)
        ),
        "far": _("far"),
        "near": _("near; ± how well we know the number on another day"),
        "unsure": _("{mark}: less sure than the rest; more balls would sharpen it.").split("{mark}"),
        "flights": _("How the shots fly, in true proportions; nine in ten fly within the pale bands"),
    }


def _blocks(chart: Chart, unsure: Shots, unit: DistanceUnit) -> list[dict[str, Any]]:
    """The grid by shot, the longest swing on top, cut into sides of at most five wedges and eight swing lengths."""
    marks, blocks = wedges_of(chart), []
    for clubs in parts(chart.clubs, CLUBS_A_SIDE):
        for swings in parts(chart.swings, ROWS_A_SIDE):
            rows = [
                {
                    "swing": swing,
                    "sign": chart.swings.index(swing),
                    "cells": [_cell(chart.cell(club, swing), unsure, unit) for club in clubs],
                }
                for swing in reversed(swings)
            ]
            blocks.append({"clubs": [{"name": club, "mark": marks[club]} for club in clubs], "rows": rows})
    return blocks


def signs_of(chart: Chart) -> dict[str, bytes]:
    """The drawings of a card as files beside its template: a sign for each swing length in two sizes, a line for each wedge."""
    files = {}
    for n, swing in enumerate(chart.swings):
        files[f"sign-{n}.svg"] = sign(arm_of(swing), 48).encode()
        files[f"small-{n}.svg"] = sign(arm_of(swing), 24).encode()
    return files | {f"wedge-{mark}.svg": wedge_key(mark, 40).encode() for mark in wedges_of(chart).values()}


def parts(names: Sequence[Any], most: int) -> list[Sequence[Any]]:
    """Names, or other things, in runs of at most `most`."""
    return [names[i : i + most] for i in range(0, len(names), most)]


def _cell(cell: Cell, unsure: Shots, unit: DistanceUnit) -> dict[str, Any]:
    return {
        "carry": str(words.rounded(cell.stock_carry_m, unit)),
        "next": _ends(cell.next_another_day90_m, unit),
        "sure": (cell.club, cell.swing) not in unsure,
    }


def _ends(span: Interval, unit: DistanceUnit) -> str:
    return f"{words.rounded(span.low, unit)}–{words.rounded(span.high, unit)}"


def _far_to_near(found: Meaning, chart: Chart, unsure: Shots, unit: DistanceUnit) -> list[list[dict[str, Any]]]:
    """The way in by number, far to near, in sides: shots that carry the same stand tied together, a gap is a row of its own."""
    tied = [frozenset((pair.first, pair.second)) for pair in found.doubles]
    rows: list[dict[str, Any]] = []
    held: list[Cell] = []
    for cell in reversed(found.ladder):
        number = str(words.rounded(cell.stock_carry_m, unit))
        same = bool(held) and (frozenset((held[-1], cell)) in tied or rows[-1]["far"] == number)
        gap = next((one for one in found.gaps if one.below is cell), None)
        if gap is not None:
            rows.append({"gap": _("gap {span}").format(span=_ends(Interval(gap.low_m, gap.high_m), unit))})
        if same and gap is None and len(held) < MOST_TIED:
            held.append(cell)
            rows[-1]["shots"].append(_shot(cell, chart, unsure, unit))
            rows[-1]["near"] = number
        else:
            held = [cell]
            rows.append({"gap": "", "far": number, "near": number, "shots": [_shot(cell, chart, unsure, unit)]})
    for row in rows:
        if not row["gap"]:
            row["number"] = row["far"] if row["far"] == row["near"] else f"{row['near']}–{row['far']}"
    sides = -(-len(rows) // NUMBERS_A_SIDE)
    each = -(-len(rows) // sides)
    return [list(side) for side in parts(rows, each)]


def _shot(cell: Cell, chart: Chart, unsure: Shots, unit: DistanceUnit) -> dict[str, Any]:
    return {
        "club": cell.club,
        "swing": cell.swing,
        "sign": chart.swings.index(cell.swing),
        "doubt": f"±{words.doubt(cell.another_day90_m, unit)}" + ("?" if (cell.club, cell.swing) in unsure else ""),
    }
