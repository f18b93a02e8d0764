"""All distances in one line: where each stock shot lands, the doubles and the gaps."""

from typing import Final

import numpy as np

from threequarter.chart.meaning import Meaning
from threequarter.golf.units import DistanceUnit, from_metres
from threequarter.language import words
from threequarter.language.localize import _, ngettext
from threequarter.paper.pictures import svg

STEP: Final = 22
TOP: Final = 34
LEAST_SPAN: Final = 40
"""Yards or metres that are shown at least, so that a name fits beside its shot."""


def ladder_picture(meaning: Meaning, unit: DistanceUnit, *, width: int = 760) -> str:
    """All distances as SVG, cut to the player's own: each shot a tick with its name, its 90 % ball as a pale band; gaps framed, doubles
    tied together."""
    ends = [from_metres(v, unit) for cell in meaning.ladder for v in (cell.next90_m.low, cell.next90_m.high)]
    near, far = float(np.floor(min(ends) / 10) * 10), float(np.ceil(max(ends) / 10) * 10)
    scale = svg.Scale(near, max(far, near + LEAST_SPAN), 14, width - 14)
    bottom = TOP + STEP * len(meaning.ladder) + 6
    shapes = []
    for tick in svg.ticks(scale.low, scale.high, 6 if width < 500 else 11):
        shapes += [
            svg.line(scale(tick), TOP, scale(tick), bottom, fade=0.18),
            svg.text(scale(tick), TOP - 10, f"{tick:g}", anchor="middle", fade=0.8),
        ]
    edges: list[float] = []
    for gap in meaning.gaps:
        left, right = scale(from_metres(gap.low_m, unit)), scale(from_metres(gap.high_m, unit))
        edges += [left, right]
        shapes.append(svg.text((left + right) / 2, bottom + 14, _("gap"), anchor="middle", size=12, weight=700))
    spots = {}
    for row, cell in enumerate(meaning.ladder):
        y = TOP + STEP * row + 12
        at = scale(from_metres(cell.stock_carry_m, unit))
        low, high = scale(from_metres(cell.next90_m.low, unit)), scale(from_metres(cell.next90_m.high, unit))
        spots[words.shot(cell)] = (at, y)
        shapes += [svg.band(low, high, y - 5, 10), svg.line(at, y - 7, at, y + 7, width=3)]
        name = f"{words.rounded(cell.stock_carry_m, unit)} · {words.shot(cell)[:22]}"
        wide = 7.2 * len(name)
        beside = high + 8 + wide < width
        left, right = (high + 4, high + 12 + wide) if beside else (low - 12 - wide, low - 4)
        shapes += [
            svg.line(x, y - STEP / 2, x, y + STEP / 2, width=1.4, dash="2 3") for x in edges if not left < x < right
        ]
        shapes.append(
            svg.text(
                high + 8 if beside else low - 8, y + 4.5, name, size=13, weight=600, anchor="start" if beside else "end"
            )
        )
    for pair in meaning.doubles:
        (x1, y1), (x2, y2) = spots[words.shot(pair.first)], spots[words.shot(pair.second)]
        shapes.append(svg.line(x1, y1, x2, y2, width=1.4, dash="1 3"))
    title = _("All shots by distance, in {unit}").format(unit=words.unit_word(unit))
    return svg.picture(width, bottom + 24, title, sentence(meaning, unit), shapes)


def sentence(meaning: Meaning, unit: DistanceUnit) -> str:
    """The picture in one sentence."""
    if len(meaning.ladder) == 1:
        return _("One shot, {carry} {unit}.").format(carry=words.rounded(meaning.covered_m.low, unit), unit=unit)
    gaps, doubles = len(meaning.gaps), len(meaning.doubles)
    return _("{span} with {gaps} and {doubles}.").format(
        span=words.span(meaning.covered_m, unit),
        gaps=ngettext("{count} gap", "{count} gaps", gaps).format(count=gaps) if gaps else _("no gaps"),
        doubles=ngettext("{count} double", "{count} doubles", doubles).format(count=doubles),
    )
