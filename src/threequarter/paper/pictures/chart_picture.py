"""The chart as a picture: every ball a dot, the doubt of each stock carry as twenty dots, mishits as crosses.

Quantile dotplots let laypeople count their chances (Kay, Kola, Hullman & Munson 2016; Fernandes et al. 2018).
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from html import escape
from typing import Final

import numpy as np

from threequarter.chart.result import Cell, Chart
from threequarter.golf.ball import Ball, shot_key
from threequarter.golf.units import DistanceUnit, from_metres
from threequarter.language import words
from threequarter.language.localize import _, ngettext
from threequarter.paper.pictures import svg

DOTS: Final = 20
ROW: Final = 54
STACK: Final = 34
HEAD: Final = 30
LEGEND: Final = 74
LANE: Final = 8.0
MOST_LANES: Final = 8
"""More balls in one place than this stand closer together."""
CHOSEN: Final = ' stroke="currentColor" stroke-width="1.6"'


@dataclass(frozen=True, slots=True, kw_only=True)
class Mark:
    """Where touching a ball leads, what it is called, and whether it is the one looked at."""

    href: str
    label: str
    chosen: bool = False


def chart_picture(
    chart: Chart,
    balls: Sequence[Ball],
    unit: DistanceUnit,
    *,
    width: int = 760,
    marks: Mapping[int, Mark] | None = None,
) -> str:
    """The picture as SVG, `width` pixels wide (360 for a phone). With `marks` (by ball number) every ball can be touched, those that
    were set aside too."""
    narrow = width < 500
    label = 84 if narrow else 130
    shown = [ball for ball in balls if ball.use or marks]
    carries = [from_metres(ball.distance_m, unit) for ball in shown]
    ends = [from_metres(v, unit) for cell in chart.cells for v in (cell.next90_m.low, cell.next90_m.high)]
    low, high = min([*carries, *ends]), max([*carries, *ends])
    scale = svg.Scale(np.floor(low / 10) * 10, np.ceil(high / 10) * 10, label, width - (40 if narrow else 96))
    mishit = {verdict.number: verdict.mishit for verdict in chart.verdicts}
    of_shot: dict[tuple[str, str], list[Ball]] = {}
    for ball in shown:
        of_shot.setdefault(ball.shot, []).append(ball)
    rows, top = [], float(HEAD)
    for row, cell in enumerate(chart.cells):
        mine = of_shot.get(shot_key(cell.club, cell.swing, cell.loft_deg), [])
        lanes = _lanes([scale(from_metres(ball.distance_m, unit)) for ball in mine])
        step = min(LANE, MOST_LANES * LANE / (1 + max(lanes, default=0)))
        rows += _row(chart, row, cell, scale, unit, top + ROW - 16, narrow, step * max(lanes, default=0))
        for ball, lane in zip(mine, lanes, strict=True):
            x, y = scale(from_metres(ball.distance_m, unit)), top + ROW - 10.5 + step * lane
            rows.append(_ball(x, y, ball.use, mishit.get(ball.number, False), (marks or {}).get(ball.number)))
        top += ROW + step * max(lanes, default=0)
    shapes = [*_axis(scale, unit, HEAD, top, 4 if narrow else 10), *rows, *_legend(top + 26, width)]
    title = _("Carry of every ball and shot, in {unit}").format(unit=words.unit_word(unit))
    return svg.picture(width, top + LEGEND, title, sentence(chart, unit), shapes, parts=bool(marks))


def _lanes(xs: Sequence[float]) -> list[int]:
    """The lane of each ball, so that none hides another: the first in which there is room."""
    free: list[float] = []
    lanes = [0] * len(xs)
    for i in sorted(range(len(xs)), key=lambda i: xs[i]):
        lane = next((k for k, end in enumerate(free) if end <= xs[i]), len(free))
        if lane == len(free):
            free.append(0.0)
        free[lane] = xs[i] + LANE
        lanes[i] = lane
    return lanes


def _ball(x: float, y: float, used: bool, mishit: bool, mark: Mark | None) -> str:
    shape = svg.cross(x, y, 3.2) if mishit and used else svg.dot(x, y, 3, filled=False)
    if not used:
        shape = (
            f'<g opacity="0.55">{svg.dot(x, y, 3, filled=False)}{svg.line(x - 4, y + 4, x + 4, y - 4, width=1.2)}</g>'
        )
    if mark is None:
        return shape
    around = f'<circle cx="{x:.1f}" cy="{y:.1f}" r="{7 if mark.chosen else 5}" fill="transparent"{CHOSEN if mark.chosen else ""}/>'
    return f'<a href="{escape(mark.href)}" class="touch" aria-label="{escape(mark.label)}">{around}{shape}</a>'


def sentence(chart: Chart, unit: DistanceUnit) -> str:
    """The picture in one sentence."""
    ladder = sorted(chart.cells, key=lambda cell: cell.stock_carry_m)
    count = sum(cell.balls for cell in chart.cells)
    if len(ladder) == 1:
        return _("{balls}, all {shot}: {carry} (90 % doubt).").format(
            balls=words.balls(count), shot=words.shot(ladder[0]), carry=words.carry(ladder[0], unit)
        )
    return ngettext(
        "{count} ball with {shots} shots, from {first} at {first_carry} to {last} at {last_carry} (90 % doubt).",
        "{count} balls with {shots} shots, from {first} at {first_carry} to {last} at {last_carry} (90 % doubt).",
        count,
    ).format(
        count=count,
        shots=len(chart.cells),
        first=words.shot(ladder[0]),
        first_carry=words.carry(ladder[0], unit),
        last=words.shot(ladder[-1]),
        last_carry=words.carry(ladder[-1], unit),
    )


def _axis(scale: svg.Scale, unit: DistanceUnit, top: float, bottom: float, most: int) -> list[str]:
    shapes = []
    for tick in svg.ticks(scale.low, scale.high, most):
        x = scale(tick)
        shapes += [svg.line(x, top, x, bottom, fade=0.18), svg.text(x, top - 8, f"{tick:g}", anchor="middle", fade=0.8)]
    return [*shapes, svg.text(scale.right + 12, top - 8, unit, fade=0.8)]


def _row(
    chart: Chart, row: int, cell: Cell, scale: svg.Scale, unit: DistanceUnit, base: float, narrow: bool, lanes: float
) -> list[str]:
    first = row == 0 or chart.cells[row - 1].club != cell.club
    shapes = [svg.line(0, base - ROW + 17, scale.right, base - ROW + 17, fade=0.5)] if first and row else []
    if first:
        shapes.append(svg.text(2, base - 22, cell.club[: 12 if narrow else 18], weight=700, size=14))
    shapes.append(svg.text(2, base - 4, cell.swing[: 13 if narrow else 20], size=13))

    def at(metres: float) -> float:
        return scale(from_metres(metres, unit))

    shapes.append(svg.band(at(cell.next90_m.low), at(cell.next90_m.high), base + 1, 9 + lanes, round_=4.5))
    draws = np.exp(np.quantile(chart.draws_log_carry[:, row], (np.arange(DOTS) + 0.5) / DOTS))
    size = 5.0 if narrow else 6.0
    stack = svg.stacked([at(float(d)) for d in draws], size)
    step = min(size, STACK / (1 + max(level for _, level in stack)))
    for x, level in stack:
        shapes.append(svg.dot(x, base - 4 - step * level, min(size, step * 1.15) * 0.46))
    if not narrow:
        shapes.append(svg.text(scale.right + 12, base, words.carry(cell, unit), size=13, weight=700))
    else:
        shapes.append(svg.text(scale.right + 6, base, words.rounded(cell.stock_carry_m, unit), size=14, weight=700))
    return shapes


def _legend(y: float, width: float) -> list[str]:
    parts = [
        (svg.dot(6, -4, 2.8), _("one of 20 equal chances for the stock carry")),
        (svg.dot(6, -4, 3, filled=False), _("a ball")),
        (svg.cross(6, -4, 3.2), _("likely a mishit")),
        (svg.band(0, 14, -9, 9), _("where nine good balls in ten land")),
    ]
    shapes, x, line = [], 2.0, 0
    for mark, said in parts:
        wide = 24 + 6.6 * len(said)
        if x > 2 and x + wide > width:
            x, line = 2.0, line + 1
        shapes.append(
            f'<g transform="translate({x:.0f} {y + 18 * line:.0f})">{mark}{svg.text(20, 0, said, size=12.5)}</g>'
        )
        x += wide
    return shapes
