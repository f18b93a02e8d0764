"""All distances in one line: where each stock shot lands, the doubles and the holes."""

from typing import Final

import numpy as np

from threequarter.chart import words
from threequarter.chart.meaning import Meaning
from threequarter.golf.language import _, ngettext
from threequarter.golf.units import DistanceUnit, from_metres
from threequarter.paper.pictures import svg

STEP: Final = 22
TOP: Final = 34


def ladder_picture(meaning: Meaning, unit: DistanceUnit, *, width: int = 760) -> str:
    """The distances as SVG: each shot a tick with its name, its 90 % ball as a pale band; holes hatched."""
    ends = [from_metres(v, unit) for cell in meaning.ladder for v in (cell.next90_m.low, cell.next90_m.high)]
    scale = svg.Scale(np.floor(min(ends) / 10) * 10, np.ceil(max(ends) / 10) * 10, 10, width - 110)
    rows = len(meaning.ladder)
    bottom = TOP + STEP * rows + 6
    shapes = []
    for tick in svg.ticks(scale.low, scale.high, 5 if width < 500 else 11):
        shapes += [
            svg.line(scale(tick), TOP, scale(tick), bottom, fade=0.18),
            svg.text(scale(tick), TOP - 10, f"{tick:g}", anchor="middle", fade=0.8),
        ]
    for hole in meaning.holes:
        left, right = scale(from_metres(hole.low_m, unit)), scale(from_metres(hole.high_m, unit))
        shapes += [svg.line(x, TOP, x, bottom, width=1.4, dash="2 3") for x in (left, right)]
        shapes.append(svg.text((left + right) / 2, bottom + 14, _("hole"), anchor="middle", size=12, weight=700))
    for row, cell in enumerate(meaning.ladder):
        y = TOP + STEP * row + 12
        at = scale(from_metres(cell.stock_carry_m, unit))
        low, high = scale(from_metres(cell.next90_m.low, unit)), scale(from_metres(cell.next90_m.high, unit))
        shapes += [svg.band(low, high, y - 5, 10), svg.line(at, y - 7, at, y + 7, width=3)]
        shapes.append(
            svg.text(
                high + 8,
                y + 4.5,
                f"{words.rounded(cell.stock_carry_m, unit)} · {words.shot(cell)[:22]}",
                size=13,
                weight=600,
            )
        )
    title = _("All shots by distance, in {unit}").format(unit=words.unit_word(unit))
    return svg.picture(width, bottom + 24, title, sentence(meaning, unit), shapes)


def sentence(meaning: Meaning, unit: DistanceUnit) -> str:
    """The picture in one sentence."""
    holes, doubles = len(meaning.holes), len(meaning.doubles)
    return _("{span} with {holes} and {doubles}.").format(
        span=words.span(meaning.covered_m, unit),
        holes=ngettext("{count} hole", "{count} holes", holes).format(count=holes) if holes else _("no holes"),
        doubles=ngettext("{count} double", "{count} doubles", doubles).format(count=doubles),
    )
