"""Charts through time: each shot a line over the days, every point with its 90 % interval."""

import datetime
import itertools
from collections.abc import Sequence
from typing import Final

import numpy as np

from threequarter.golf.units import DistanceUnit, from_metres
from threequarter.language import localize, words
from threequarter.language.localize import _
from threequarter.paper.pictures import svg
from threequarter.practice.through_time import Track

HEIGHT: Final = 420
TOP: Final = 20
BOTTOM: Final = HEIGHT - 40
LABEL_STEP: Final = 17


def through_time_picture(found: Sequence[Track], unit: DistanceUnit, *, width: int = 760) -> str:
    """The tracks as SVG; labels stand at the right, moved apart where carries are close."""
    days = sorted({point.day.toordinal() for track in found for point in track.points})
    ends = [
        from_metres(p.carry_m + sign * p.half90_m, unit) for track in found for p in track.points for sign in (-1, 1)
    ]
    up = svg.Scale(np.floor(min(ends) / 10) * 10, np.ceil(max(ends) / 10) * 10, BOTTOM, TOP)
    across = svg.Scale(days[0], max(days[-1], days[0] + 1), 50, width - (150 if width > 500 else 132))
    shapes = []
    for tick in svg.ticks(up.low, up.high, 6):
        shapes += [
            svg.line(40, up(tick), across.right, up(tick), fade=0.18),
            svg.text(34, up(tick) + 4, f"{tick:g}", anchor="end", fade=0.8),
        ]
    shapes += _days(days, across)
    label_y = _apart([up(from_metres(track.points[-1].carry_m, unit)) for track in found])
    for track, y in zip(found, label_y, strict=True):
        at = [(across(p.day.toordinal()), p) for p in track.points]
        spots = [(x, up(from_metres(p.carry_m, unit))) for x, p in at]
        shapes += [svg.line(*a, *b, width=1.6, fade=0.7) for a, b in itertools.pairwise(spots)]
        for (x, p), (_x, middle) in zip(at, spots, strict=True):
            low, high = (up(from_metres(p.carry_m + sign * p.half90_m, unit)) for sign in (-1, 1))
            shapes += [svg.line(x, low, x, high, width=1.2, fade=0.5), svg.dot(x, middle, 4)]
        shapes.append(svg.line(*spots[-1], across.right + 8, y, width=0.6, fade=0.4, dash="2 2"))
        name = f"{from_metres(track.points[-1].carry_m, unit):.0f} · {track.shot}"
        name, size = svg.fitting(name, width - across.right - 11, 12)
        shapes.append(svg.text(across.right + 11, y + 4, name, weight=600, size=size))
    says = _("{shots} shots over {days} days; each bar is the 90 % interval of the carry.").format(
        shots=len(found), days=len(days)
    )
    title = _("Carry through time, in {unit}").format(unit=words.unit_word(unit))
    return svg.picture(width, HEIGHT, title, says, shapes)


def _days(days: Sequence[int], across: svg.Scale) -> list[str]:
    """Dates under the axis, as many as fit side by side."""
    shapes, free = [], -np.inf
    for day in days:
        x = across(day)
        if x >= free:
            written = localize.day(datetime.date.fromordinal(day))
            shapes.append(svg.text(x, BOTTOM + 22, written, anchor="middle", size=12, fade=0.8))
            free = x + 84
    return shapes


def _apart(wanted: Sequence[float]) -> list[float]:
    """Heights at least LABEL_STEP apart and within the picture, near those wanted (which rise down the page)."""
    placed: list[float] = []
    for y in wanted:
        placed.append(max(y, placed[-1] + LABEL_STEP) if placed else y)
    for i in range(len(placed) - 1, -1, -1):
        limit = BOTTOM if i == len(placed) - 1 else placed[i + 1] - LABEL_STEP
        placed[i] = min(placed[i], limit)
    return placed
