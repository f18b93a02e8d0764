"""The page to take home: the chart, the pictures of the swings, what to work on, what to do next week, when to recheck."""

import datetime
from collections.abc import Sequence
from typing import Any, Final

from threequarter.chart.meaning import gaps_told, meaning
from threequarter.chart.mishits import counted, pooled_share
from threequarter.chart.next_ball import Shots, less_sure
from threequarter.chart.plan import WARM_UP_BALLS
from threequarter.chart.result import Chart
from threequarter.golf.message import Message
from threequarter.golf.units import DistanceUnit
from threequarter.language import line, say, words
from threequarter.language import lines as say_lines
from threequarter.language.localize import N_, _, day
from threequarter.paper.card import signs_of
from threequarter.paper.pictures.ladder_picture import ladder_picture
from threequarter.paper.pictures.sign import wedges_of
from threequarter.paper.typesetting import count_pages, typeset
from threequarter.practice.games import homework
from threequarter.practice.work_on import WorkOn

RECHECK_WEEKS: Final = 8
MOST_PICTURES: Final = 2
CAUTION: Final = N_(
    "Measured, not diagnosed: pain is a reason to stop and see a licensed professional. Measure from the mat; never walk out while"
    " anyone may play; staff and local rules decide."
)


def report(
    chart: Chart,
    work: Sequence[WorkOn],
    *,
    player: str,
    date: datetime.date,
    unit: DistanceUnit,
    made: str = "",
    newest: datetime.date | None = None,
    next_week: Sequence[str] = (),
    notes: str = "",
    pictures: Sequence[str] = (),
    captions: Sequence[str] = (),
    swing_words: Sequence[str] = (),
    changes: Sequence[str] = (),
) -> bytes:
    """One A4 page (two where there are many shots or pictures) as PDF. `pictures` are sheets of swings (SVG), `captions` what stands
    under each, smaller and side by side where there is no room for more; without them all distances stand there as a picture, where there is room. Same input, same bytes."""
    drawn = signs_of(chart)
    files = {f"swing{i}.svg": svg.encode() for i, svg in enumerate(pictures[:MOST_PICTURES])}
    ladder = {}
    if not files:  # pictures of swings need the room
        ladder["ladder.svg"] = ladder_picture(meaning(chart.on_another_day()), unit).encode()
    data = content(
        chart,
        work,
        player=player,
        date=date,
        unit=unit,
        made=made,
        newest=newest,
        next_week=next_week,
        notes=notes,
        swing_words=swing_words,
        captions=captions,
        changes=changes,
    )
    data |= {"says": _says(unit), "files": sorted(files)}
    roomy = {"ladder": bool(ladder), "beside": False, "tight": False}
    page = typeset("report.typ", data | roomy, drawn | files | ladder)
    for tight in (False, True):  # one leaf as long as its words fit on one
        if count_pages(page) > 1 and (tight or ladder or files):
            shrunk = typeset("report.typ", data | {"ladder": False, "beside": True, "tight": tight}, drawn | files)
            page = shrunk if not tight or count_pages(shrunk) == 1 else page
    return page


def _says(unit: DistanceUnit) -> dict[str, str]:
    """The headings of the print."""
    return {
        "report": _("Take-home page"),
        "ladder": _("All of them by distance. Line: your number; band: where nine good balls in ten land on any day."),
        "distances": _("Your distances, in {unit}").format(unit=words.unit_word(unit)),
        "work": _("What to work on"),
        "swings": _("Your swings on film"),
        "changes": _("What changed in this lesson"),
        "next_week": _("Next week"),
        "good_is": _("good"),
        "any_order": _("ten balls, any order"),
        "in": _("in"),
        "pass": _("pass"),
        "notes": _("Notes"),
        "again": _("When to look again"),
        "caution": _(CAUTION),
    }


def content(
    chart: Chart,
    work: Sequence[WorkOn],
    *,
    player: str,
    date: datetime.date,
    unit: DistanceUnit,
    made: str = "",
    newest: datetime.date | None = None,
    next_week: Sequence[str] = (),
    notes: str = "",
    swing_words: Sequence[str] = (),
    captions: Sequence[str] = (),
    changes: Sequence[str] = (),
) -> dict[str, Any]:
    """What the page says, in words and plain values, for paper and screen alike. `date` is the lesson's, `made` says which chart this
    is and what it was made of, `newest` is the newest day in it. Ranges are those of another day, as on the card."""
    unsure = less_sure(chart)
    chart = chart.on_another_day()
    rows = [
        {
            "club": club,
            "mark": wedges_of(chart)[club],
            "cells": [_cell(chart, club, swing, unsure, unit) for swing in chart.swings],
        }
        for club in chart.clubs
    ]
    return {
        "player": player or _("Take-home page"),
        "date": day(date),
        "made": made,
        "unit_word": words.unit_word(unit),
        "swings": list(chart.swings),
        "rows": rows,
        "how": _how(chart, unsure, unit),
        "means": _means(chart, unit),
        "captions": list(captions)[:MOST_PICTURES],
        "changes": list(changes)[:4],
        "mishits": _mishits(chart),
        "work": [{"sentence": line(one.sentence, unit), "behind": line(one.behind, unit)} for one in work],
        "swing_words": list(swing_words)[:6],
        "next_week": list(next_week) or _next_week(),
        "homework": homework_rows(chart, unit),
        "notes": notes[:1200],
        "recheck": _(
            "From {date} on, or sooner with new wedges, another kind of ball or a changed swing: hit twenty to forty balls to check"
            " that these numbers still hold, more if your balls spread widely."
        ).format(date=day((newest or date) + datetime.timedelta(weeks=RECHECK_WEEKS))),
    }


def _how(chart: Chart, unsure: Shots, unit: DistanceUnit) -> list[str]:
    """How to read a cell of the chart, on the player's own numbers."""
    cell = max(chart.cells, key=lambda one: one.balls)
    figures = {
        "shot": words.shot(cell),
        "carry": words.rounded(cell.stock_carry_m, unit),
        "doubt": words.doubt(cell.stock90_m, unit),
        "unit": words.unit_word(unit),
        "span": words.span(cell.next90_m, unit),
    }
    never = [] if all(one.balls for one in chart.cells) else [_("“Not hit”: worked out from the other shots.")]
    return [
        _("How to read it, by {shot}:").format(**figures),
        _("{carry}: how many {unit} a good one flies before it lands.").format(**figures),
        _("± {doubt}: how well we know that number so far; more balls make it smaller.").format(**figures),
        _(
            "{span}: where nine good balls in ten land on any day. Nobody hits one spot every time; that is normal."
        ).format(**figures),
        *never,
        *([_("{mark}: less sure than the rest; more balls would sharpen it.").format(mark="?")] if unsure else []),
    ]


def _means(chart: Chart, unit: DistanceUnit) -> list[str]:
    """Gaps and doubles as a parent would say them; not more than three."""
    found = meaning(chart)
    lines = say_lines(gaps_told(found), unit) if found.gaps else []
    lines += [
        _("{first} and {second} go the same distance, about {carry} {unit}: one flies higher and stops sooner.").format(
            first=words.shot(pair.first),
            second=words.shot(pair.second),
            carry=words.rounded(pair.carry_m, unit),
            unit=unit,
        )
        for pair in found.doubles
    ]
    return lines[:3]


def _mishits(chart: Chart) -> str:
    share = pooled_share(chart)
    if share is None:
        return say(Message("mishits.piles"))
    called, seen = counted(chart)
    return say(Message("report.mishits", seen=seen, called=called))


def _cell(chart: Chart, club: str, swing: str, unsure: Shots, unit: DistanceUnit) -> dict[str, str]:
    cell = chart.cell(club, swing)
    return {
        "carry": str(words.rounded(cell.stock_carry_m, unit)),
        "doubt": f"± {words.doubt(cell.stock90_m, unit)}{'?' if (club, swing) in unsure else ''}",
        "next": words.span(cell.next90_m, unit),
        "hit": "" if cell.balls else _("not hit"),
    }


def _next_week() -> list[str]:
    return [
        _(
            "Three short visits beat one long one (common practice). Each time hit {balls} easy balls to warm up."
        ).format(balls=WARM_UP_BALLS),
        _(
            "Then hit the balls below, in any order. Tick each one that lands in its band, and bring this page: the "
            "next lesson starts with it."
        ),
    ]


def homework_rows(chart: Chart, unit: DistanceUnit) -> list[dict[str, Any]]:
    """The homework as it is written down: shot, band, balls, pass mark. Nothing for a chart of piles, whose balls nobody saw one by one."""
    if pooled_share(chart) is None:
        return []
    return [
        {
            "club": one.club,
            "swing": one.swing,
            "sign": chart.swings.index(one.swing),
            "band": f"{words.rounded(one.band_m.low, unit)}–{words.rounded(one.band_m.high, unit)}",
            "balls": one.balls,
            "pass": one.pass_mark,
        }
        for one in homework(chart)
    ]
