"""The yardstick: all shots of a player on one upright scale, near at the bottom, far at the top, a lane for each wedge.

Each shot is a pod of ten dots where the next ten good balls land; its stock carry stands beside it. A gap is hatched across all lanes,
a double tied by two lines, a pair that cannot be told apart yet by dots. What was never hit is drawn light.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from html import escape
from typing import Final

import numpy as np

from threequarter.chart.meaning import SHOWN_UNDECIDED, Meaning, Pair
from threequarter.chart.result import Cell, Chart
from threequarter.chart.ten_balls import ten_balls_m
from threequarter.golf.units import DistanceUnit, from_metres
from threequarter.language import words
from threequarter.language.localize import _
from threequarter.paper.pictures import ladder_picture, svg
from threequarter.paper.pictures.pod import LARGEST, Pod, pod
from threequarter.paper.pictures.sign import arm_of, sign, wedge_line, wedge_marks

Shot = tuple[str, str]
HEAD: Final = 34
FOOT: Final = 12
ROOM: Final = 56
"""Pixels from one label of a lane to the next: a target for a thumb."""
LEAST_SPAN: Final = 30
"""Yards or metres that are shown at least."""
POD: Final = 24
HATCH: Final = 9
SIGN: Final = 17
BESIDE: Final = 18
"""What stands free about a pod, its label and its sign, up to the next lane."""
DIGIT: Final = 0.57
"""Width of a figure against its size."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Size:
    """Pixels of the picture: its width, least height, where the lanes begin, and the size of its numbers."""

    width: float
    height: float
    left: float
    number: float


LAPTOP: Final = Size(width=624, height=576, left=62, number=34)
PHONE: Final = Size(width=358, height=604, left=52, number=26)


@dataclass(frozen=True, slots=True)
class _Drawn:
    cell: Cell
    x: float
    y: float
    label_y: float
    dots: Pod
    mark: int


def yardstick(
    chart: Chart,
    found: Meaning,
    unit: DistanceUnit,
    size: Size = LAPTOP,
    *,
    links: Mapping[Shot, str] | None = None,
    chosen: Shot | None = None,
) -> str:
    """The picture as SVG. With `links` each shot leads somewhere; `chosen` is framed."""
    lane = max((size.width - size.left) / len(chart.clubs), 2.6 * size.number)
    width = size.left + lane * len(chart.clubs)
    most = max(sum(cell.club == club for cell in chart.cells) for club in chart.clubs)
    height = max(size.height, HEAD + FOOT + ROOM * most)
    scale = _scale(chart, unit, height)
    lofts = [next(cell.loft_deg for cell in chart.cells if cell.club == club) for club in chart.clubs]
    shapes = _staff(scale, size, width, unit)
    drawn: list[_Drawn] = []
    for place, (club, mark) in enumerate(zip(chart.clubs, wedge_marks(lofts), strict=True)):
        mine = _lane(chart, club, scale, unit, size.left + lane * place + 6, mark)
        shapes += _stem(club, mark, mine, size.left + lane * place + 6, lane, size)
        drawn += mine
    shapes = [*_gaps(found, scale, unit, size, (lane, width), drawn), *shapes]
    at = {(one.cell.club, one.cell.swing): one for one in drawn}
    for pairs, sure in ((found.doubles, True), (found.undecided[:SHOWN_UNDECIDED], False)):
        shapes += [_tie(pair, at, size, sure=sure) for pair in pairs]
    for one in drawn:
        shot = (one.cell.club, one.cell.swing)
        shapes.append(_shot(one, unit, lane, size, (links or {}).get(shot), chosen=shot == chosen))
    title = _("The yardstick: every shot at its carry in {unit}, nearest at the bottom").format(
        unit=words.unit_word(unit)
    )
    return svg.picture(width, height, title, ladder_picture.sentence(found, unit), shapes, parts=bool(links))


def _scale(chart: Chart, unit: DistanceUnit, height: float) -> svg.Scale:
    ends = [from_metres(v, unit) for cell in chart.cells for v in (cell.next90_m.low, cell.next90_m.high)]
    low, high = np.floor((min(ends) - 2) / 5) * 5, np.ceil((max(ends) + 2) / 5) * 5
    more = max(0.0, LEAST_SPAN - (high - low))
    low = max(0.0, low - 5 * np.ceil(more / 10))
    return svg.Scale(float(low), float(max(high, low + LEAST_SPAN)), height - FOOT, HEAD)


def _staff(scale: svg.Scale, size: Size, width: float, unit: DistanceUnit) -> list[str]:
    """The staff itself: black and white by fives, a number every ten."""
    right = size.left - 10
    shapes = [
        f'<rect x="{right - 8:g}" y="{scale(scale.high):.1f}" width="8" height="{scale(scale.low) - scale(scale.high):.1f}"'
        ' fill="none" stroke="currentColor"/>'
    ]
    for value in range(round(scale.low), round(scale.high) + 1):
        y = scale(value)
        if value % 10 == 0:
            shapes += [
                svg.line(right, y, right + 8, y, width=1.6),
                f'<path class="hair" d="M{size.left:g} {y:.1f}H{width:g}"/>',
                svg.text(right - 12, y + 5.5, value, size=16, anchor="end", weight=600),
            ]
        elif value % 5 == 0 or scale(0) - scale(1) > 4:
            shapes.append(svg.line(right, y, right + (6 if value % 5 == 0 else 3.5), y))
        if value % 10 == 5 and value + 5 <= scale.high:
            shapes.append(_box(right - 8, scale(value + 5), 8, scale(value) - scale(value + 5)))
    return [*shapes, svg.text(right - 12, 14, unit, size=14, anchor="end", fade=0.8)]


def _box(x: float, y: float, width: float, height: float) -> str:
    """A filled box."""
    return f'<rect x="{x:.1f}" y="{y:.1f}" width="{width:g}" height="{height:.1f}" fill="currentColor"/>'


def _lane(chart: Chart, club: str, scale: svg.Scale, unit: DistanceUnit, x: float, mark: int) -> list[_Drawn]:
    cells = sorted((cell for cell in chart.cells if cell.club == club), key=lambda cell: -cell.stock_carry_m)
    ys = [scale(from_metres(cell.stock_carry_m, unit)) for cell in cells]
    labels = _spread([float(y) for y in ys], HEAD + ROOM / 2, scale.left - ROOM / 2 + FOOT)
    pods = [
        pod([scale(from_metres(float(m), unit)) for m in ten_balls_m(cell, chart.tail_df)], LARGEST) for cell in cells
    ]
    return [
        _Drawn(cell, x + POD / 2, float(y), label, dots, mark)
        for cell, y, label, dots in zip(cells, ys, labels, pods, strict=True)
    ]


def _spread(ys: list[float], first: float, last: float) -> list[float]:
    """Labels from the top down, each `ROOM` below the one before, as near to their shots as that lets them."""
    found: list[float] = []
    for y in ys:
        found.append(max(y, found[-1] + ROOM if found else first))
    end = last
    for i in range(len(found) - 1, -1, -1):
        found[i] = min(found[i], end)
        end = found[i] - ROOM
    return found


def _stem(club: str, mark: int, mine: list[_Drawn], x: float, lane: float, size: Size) -> list[str]:
    top, bottom = min(one.dots.low for one in mine), max(one.dots.high for one in mine)
    name, points = svg.fitting(club, lane - 10, size.number * 0.5)
    return [
        svg.text(x, 14, name, size=points, weight=800),
        f'<g class="w{mark}" transform="translate({x:.1f} 20)">{wedge_line(mark, min(44, lane - 12))}</g>',
        f'<g class="w{mark}" transform="translate({x + POD / 2 - 5:.1f} {top:.1f})">'
        f"{wedge_line(mark, max(1.0, bottom - top), upright=True, width=3.4)}</g>",
    ]


def _shot(one: _Drawn, unit: DistanceUnit, lane: float, size: Size, link: str | None, *, chosen: bool) -> str:
    cell, dots = one.cell, one.dots
    hit = cell.balls > 0
    frame = (
        f'<rect class="pod{" chosen" if chosen else ""}" x="{one.x - POD / 2:.1f}" y="{dots.low:.1f}" width="{POD}"'
        f' height="{dots.high - dots.low:.1f}" rx="9"/>'
    )
    ink = 'fill="currentColor"' if hit else 'fill="none" stroke="currentColor" stroke-width="1.4"'
    radius = dots.size / 2 - (0 if hit else 0.7)
    marks = "".join(
        f'<circle cx="{one.x + (4.8 if file else -4.8):.1f}" cy="{y:.1f}" r="{radius:g}" {ink}/>'
        for y, file in dots.dots
    )
    x, y = one.x + POD / 2 + 6, one.label_y
    carry, doubt = words.rounded(cell.stock_carry_m, unit), words.doubt(cell.stock90_m, unit)
    wide = size.number * DIGIT * len(str(carry))
    swing, points = svg.fitting(cell.swing, lane - POD - SIGN - BESIDE, 15)
    leader = svg.line(one.x + POD / 2, one.y, x - 1, y - 6, width=1.2, fade=0.6) if abs(one.y - y) > 6 else ""
    name = _("{shot}: {carry} ± {doubt} {unit}, {balls}").format(
        shot=words.shot(cell),
        carry=carry,
        doubt=doubt,
        unit=unit,
        balls=words.balls(cell.balls) if hit else _("not hit"),
    )
    inside = (
        f'<rect class="{"target chosen" if chosen else "target"}" x="{x - 5:.1f}" y="{y - ROOM / 2:.1f}"'
        f' width="{min(lane - POD - 6, 4.4 * size.number):.1f}" height="{ROOM}" rx="3"/><g class="w{one.mark}">{frame}{marks}</g>{leader}'
        f"{svg.text(x, y + 4, carry, size=size.number, weight=800 if hit else 400, fade=1 if hit else 0.85)}"
        f"{svg.text(x + wide + 3, y + 4, f'±{doubt}', size=15, fade=0.85)}"
        f'<g transform="translate({x:.1f} {y + 7:.1f})">{sign(arm_of(cell.swing), SIGN)}</g>'
        f"{svg.text(x + SIGN + 4, y + 22, swing, size=points)}"
    )
    if link is None:
        return f"<g>{inside}</g>"
    current = ' aria-current="true"' if chosen else ""
    return f'<a href="{escape(link)}" class="shot" aria-label="{escape(name)}"{current}>{inside}</a>'


def _gaps(
    found: Meaning, scale: svg.Scale, unit: DistanceUnit, size: Size, wide: tuple[float, float], drawn: list[_Drawn]
) -> list[str]:
    """Each gap as a band of slanted lines across all lanes, its numbers where no label of a shot stands. `wide` is a lane, and the
    picture."""
    shapes, (lane, width) = [], wide
    for gap in found.gaps:
        low, high = from_metres(gap.low_m, unit), from_metres(gap.high_m, unit)
        top, bottom = scale(high), scale(low)
        slants = "".join(
            _slant(x, top, bottom, size.left, width) for x in np.arange(size.left - (bottom - top), width, HATCH)
        )
        says, y = _("gap {low}-{high}").format(low=round(low), high=round(high)), (top + bottom) / 2
        free = [x for x in dict.fromkeys(one.x for one in drawn) if all(_clear(one, y) for one in drawn if one.x == x)]
        x = (free[-1] if free else drawn[-1].x) + POD / 2 + 4
        says, points = svg.fitting(says, 0.85 * (lane - POD - 12), 15)
        room = 0.6 * points * len(says) + 6
        shapes += [
            f'<path class="gap" d="{slants}"/>',
            f'<rect class="behind" x="{x:.1f}" y="{y - 11:.1f}" width="{room:.1f}" height="22"/>',
            svg.text(x + 3, y + 5, says, size=points, weight=800),
        ]
    return shapes


def _clear(one: _Drawn, y: float) -> bool:
    return abs(one.label_y - y) > ROOM * 0.7


def _slant(x: float, top: float, bottom: float, left: float, right: float) -> str:
    """One slanted line of a hatch, cut off at both ends of the band."""
    high = bottom - top
    start, end = max(x, left), min(x + high, right)
    return f"M{start:.1f} {bottom - (start - x):.1f}L{end:.1f} {bottom - (end - x):.1f}" if end > start else ""


def _tie(pair: Pair, at: Mapping[Shot, _Drawn], size: Size, *, sure: bool) -> str:
    """Two lines between a double, dots between what cannot be told apart; between lanes only."""
    ends = sorted((at[one.club, one.swing] for one in (pair.first, pair.second)), key=lambda one: one.x)
    left, right = ends
    if left.x == right.x:
        return ""
    x1 = left.x + POD / 2 + 12 + size.number * DIGIT * 2 + 24
    x2 = right.x - POD / 2 - 2
    if x2 - x1 < 8:
        x1 = x2 - 8
    y1, y2 = left.label_y - 6, right.y
    if sure:
        paths = "".join(
            f"M{x1:.1f} {y1 + off:.1f}C{(x1 + x2) / 2:.1f} {y1 + off:.1f} {(x1 + x2) / 2:.1f} {y2 + off:.1f} {x2:.1f} {y2 + off:.1f}"
            for off in (-2.5, 2.5)
        )
        return f'<path class="tie" d="{paths}"/>'
    path = f"M{x1:.1f} {y1:.1f}C{(x1 + x2) / 2:.1f} {y1:.1f} {(x1 + x2) / 2:.1f} {y2:.1f} {x2:.1f} {y2:.1f}"
    return f'<path class="tie undecided" d="{path}"/>'
