"""One measure over a player's days: a dot a day with the bar of its 90 % range."""

import itertools
from typing import Final

import numpy as np

from threequarter.language import localize
from threequarter.language.localize import N_, _
from threequarter.paper.pictures import svg
from threequarter.practice.over_days import DayValue, OverDays

WIDTH: Final = 340
HEIGHT: Final = 170
TOP: Final = 14
BOTTOM: Final = HEIGHT - 30
LEFT: Final = 54
TITLES: Final = {
    "mishits": N_("Mishits, noted or judged, of the day's balls"),
    "spread": N_("Spread of good balls"),
    "carry": N_("Carry against the standing chart"),
    "match": N_("Through against back"),
}
SAYS: Final = {
    ("mishits", "less"): N_("From {first} to {last}: fewer, a real change."),
    ("mishits", "more"): N_("From {first} to {last}: more, a real change."),
    ("spread", "less"): N_("From {first} to {last} of the carry: tighter, a real change."),
    ("spread", "more"): N_("From {first} to {last} of the carry: wider, a real change."),
    ("carry", "less"): N_("From {first} to {last}: shorter, a real change."),
    ("carry", "more"): N_("From {first} to {last}: longer, a real change."),
    ("match", "less"): N_("From {first} to {last}: shorter through, a real change."),
    ("match", "more"): N_("From {first} to {last}: longer through, a real change."),
}


def title_of(found: OverDays) -> str:
    """The name of a measure."""
    return _(TITLES[found.measure])


def value_words(found: OverDays, value: float) -> str:
    """A value in words: a share of balls or of the carry, or degrees."""
    if found.measure == "match":
        return _("{by}°").format(by=f"{value:+.0f}".replace("-", "\N{MINUS SIGN}"))
    if found.measure == "mishits":
        return _("{share} %").format(share=localize.number(100 * value, 0))
    written = localize.number(abs(100 * value), 1)
    if found.measure == "carry":
        written = ("\N{MINUS SIGN}" if value < 0 else "+") + written
    return _("{share} %").format(share=written)


def sentence(found: OverDays) -> str:
    """The picture in one sentence."""
    text = SAYS.get((found.measure, found.told), N_("From {first} to {last}: could be chance."))
    return _(text).format(first=_point_words(found, found.points[0]), last=_point_words(found, found.points[-1]))


def _point_words(found: OverDays, one: DayValue) -> str:
    """A day's value; a share of mishits with how many of how many balls."""
    if found.measure != "mishits":
        return value_words(found, one.value)
    return _("{bad} of {balls} ({value})").format(
        bad=round(one.value * one.count), balls=one.count, value=value_words(found, one.value)
    )


def range_words(found: OverDays, one: DayValue) -> str:
    """A day's value with its range and count, for the table."""
    ends = (value_words(found, end) for end in (one.range90.low, one.range90.high))
    if found.measure == "mishits":
        return _("{bad} of {balls}: {value} ({low} to {high})").format(
            bad=round(one.value * one.count),
            balls=one.count,
            value=value_words(found, one.value),
            low=next(ends),
            high=next(ends),
        )
    return _("{value} ({low} to {high}; {count})").format(
        value=value_words(found, one.value), low=next(ends), high=next(ends), count=one.count
    )


def over_days_picture(found: OverDays) -> str:
    """A measure over its days as SVG."""
    ends = [end for one in found.points for end in (one.range90.low, one.range90.high)]
    low, high = min(0.0, *ends), max(0.0, *ends)
    room = 0.06 * (high - low)
    up = svg.Scale(low - (room if low < 0 else 0), high + room, BOTTOM, TOP)
    days = [one.day.toordinal() for one in found.points]
    across = svg.Scale(days[0], max(days[-1], days[0] + 1), LEFT + 26, WIDTH - 30)
    shapes = []
    for tick in svg.ticks(up.low, up.high, 4):
        zero = abs(tick) < 1e-9
        shapes += [
            svg.line(LEFT, up(tick), WIDTH - 8, up(tick), fade=0.7 if zero else 0.18, width=1.4 if zero else 1),
            svg.text(LEFT - 6, up(tick) + 4, _tick(found, tick), anchor="end", fade=0.8, size=12),
        ]
    spots = [(across(day), up(one.value)) for day, one in zip(days, found.points, strict=True)]
    shapes += [svg.line(*a, *b, width=1.4, fade=0.5, dash="3 3") for a, b in itertools.pairwise(spots)]
    for (x, y), one in zip(spots, found.points, strict=True):
        shapes += [svg.line(x, up(one.range90.low), x, up(one.range90.high), width=2), svg.dot(x, y, 6)]
    shapes += _dates(found, [x for x, _y in spots])
    return svg.picture(WIDTH, HEIGHT, title_of(found), sentence(found), shapes)


def _tick(found: OverDays, tick: float) -> str:
    if found.measure == "match":
        return _("{by}°").format(by=f"{tick:g}".replace("-", "\N{MINUS SIGN}"))
    return _("{share} %").format(share=f"{round(100 * tick, 1):g}".replace("-", "\N{MINUS SIGN}"))


def _dates(found: OverDays, places: list[float]) -> list[str]:
    """First and last day always, those between where there is room."""
    shapes, free = [], -np.inf
    last = len(places) - 1
    for k, (x, one) in enumerate(zip(places, found.points, strict=True)):
        if k != last and (x < free or (k and places[last] - x < 84)):
            continue
        anchor = "start" if k == 0 else "end" if k == last else "middle"
        at = x - 24 if k == 0 else x + 24 if k == last else x
        shapes.append(svg.text(at, BOTTOM + 22, localize.day(one.day), anchor=anchor, size=12, fade=0.85))
        free = x + 84
    return shapes
