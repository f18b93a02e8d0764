"""The page to take home: the chart, the pictures of the swings, what to work on, what to do next week, when to recheck."""

import datetime
from collections.abc import Sequence
from typing import Any, Final

from threequarter.chart import words
from threequarter.chart.meaning import meaning, say
from threequarter.chart.plan import WARM_UP_BALLS
from threequarter.chart.result import Chart
from threequarter.golf.language import N_, _, day, ngettext
from threequarter.golf.units import DistanceUnit
from threequarter.paper.typesetting import typeset
from threequarter.practice.work_on import WorkOn

RECHECK_WEEKS: Final = 8
MOST_PICTURES: Final = 2
HOW_TO_READ: Final = N_(
    "How to read it: the large number is how far a good strike with this wedge and this swing flies through the air, and ± is how well we"
    " know it. Below it stands where nine good balls in ten will land: balls differ, that is normal."
)


CAUTION: Final = N_(
    "Measured, not diagnosed: pain is a reason to stop and see a licensed professional. Measure from the mat; never walk out while"
    " anyone may play; staff and local rules decide."
)


def report(
    chart: Chart, work: Sequence[WorkOn], *, player: str, date: datetime.date, unit: DistanceUnit, next_week: Sequence[str] = (), notes: str = "",
    pictures: Sequence[str] = (), swing_words: Sequence[str] = (),
) -> bytes:  # fmt: skip
    """One A4 page (two where there are many shots or pictures) as PDF. `pictures` are sheets of swings (SVG). Same input, same bytes."""
    files = {f"swing{i}.svg": svg.encode() for i, svg in enumerate(pictures[:MOST_PICTURES])}
    data = content(
        chart, work, player=player, date=date, unit=unit, next_week=next_week, notes=notes, swing_words=swing_words
    )
    return typeset("report.typ", data | {"says": _says(unit), "files": sorted(files)}, files)


def _says(unit: DistanceUnit) -> dict[str, str]:
    """The headings of the print."""
    return {
        "report": _("Lesson report"),
        "distances": _("Your distances, in {unit}").format(unit=words.unit_word(unit)),
        "work": _("What to work on"),
        "swings": _("Your swings"),
        "next_week": _("Next week"),
        "notes": _("Notes"),
        "again": _("When to look again"),
        "caution": _(CAUTION),
    }


def content(
    chart: Chart, work: Sequence[WorkOn], *, player: str, date: datetime.date, unit: DistanceUnit, next_week: Sequence[str] = (), notes: str = "",
    swing_words: Sequence[str] = (),
) -> dict[str, Any]:  # fmt: skip
    """What the page says, in words and plain values, for paper and screen alike."""
    rows = [
        {"club": club, "cells": [_cell(chart, club, swing, unit) for swing in chart.swings]} for club in chart.clubs
    ]
    first = chart.cells[0]
    return {
        "player": player or _("Lesson report"), "date": day(date), "unit_word": words.unit_word(unit), "swings": list(chart.swings), "rows": rows,
        "how": _(HOW_TO_READ), "means": say(meaning(chart), unit)[:4],
        "mishits": ngettext(
            "Of {count} ball {share} was not a good strike. They are told apart, never hidden.",
            "Of {count} balls {share} was not a good strike. They are told apart, never hidden.", len(chart.verdicts),
        ).format(count=len(chart.verdicts), share=words.one_in(first.mishit_rate)),
        "work": [{"sentence": one.sentence, "behind": one.behind} for one in work], "swing_words": list(swing_words)[:6],
        "next_week": list(next_week) or _next_week(chart), "notes": notes[:1200],
        "recheck": _(
            "Recheck from {date} on, or with new wedges, another ball or a changed swing: some twenty to forty balls tell whether the"
            " chart still holds, more where they spread widely."
        ).format(date=day(date + datetime.timedelta(weeks=RECHECK_WEEKS))),
    }  # fmt: skip


def _cell(chart: Chart, club: str, swing: str, unit: DistanceUnit) -> dict[str, str]:
    cell = chart.cell(club, swing)
    return {"carry": str(words.rounded(cell.stock_carry_m, unit)), "doubt": f"± {words.doubt(cell.stock90_m, unit)}",
            "next": words.span(cell.next90_m, unit), "hit": "" if cell.balls else _("not hit")}  # fmt: skip


def _next_week(chart: Chart) -> list[str]:
    clubs = ", ".join(chart.clubs[:4])
    return [
        _(
            "Three short visits rather than one long one (common practice, no source). Each: {balls} balls to warm up, then twelve"
            " called numbers in random order, one ball each ({clubs})."
        ).format(balls=WARM_UP_BALLS, clubs=clubs),
        _(
            "Write the number down before you hit, and where it landed. Your own usual miss is the measure, nobody else's."
        ),
    ]
