"""The chart as a picture: every ball a dot, the doubt of each stock carry as twenty dots, mishits as crosses.

Quantile dotplots let laypeople count their chances (Kay, Kola, Hullman & Munson 2016; Fernandes et al. 2018).
"""

from collections.abc import Sequence
from typing import Final

import numpy as np

from threequarter.chart import words
from threequarter.chart.result import Cell, Chart
from threequarter.golf.ball import Ball
from threequarter.golf.club import club_key
from threequarter.golf.language import _, ngettext
from threequarter.golf.swing_length import parse_swing
from threequarter.golf.units import DistanceUnit, from_metres
from threequarter.paper.pictures import svg

DOTS: Final = 20
ROW: Final = 54
STACK: Final = 34
HEAD: Final = 30
LEGEND: Final = 74


def chart_picture(chart: Chart, balls: Sequence[Ball], unit: DistanceUnit, *, width: int = 760) -> str:
    """The picture as SVG, `width` pixels wide (360 for a phone)."""
    narrow = width < 500
    label = 84 if narrow else 130
    carries = [from_metres(ball.distance_m, unit) for ball in balls if ball.use]
    ends = [from_metres(v, unit) for cell in chart.cells for v in (cell.next90_m.low, cell.next90_m.high)]
    low, high = min([*carries, *ends]), max([*carries, *ends])
    scale = svg.Scale(np.floor(low / 10) * 10, np.ceil(high / 10) * 10, label, width - (40 if narrow else 96))
    shapes = _axis(scale, unit, HEAD, HEAD + ROW * len(chart.cells), 4 if narrow else 10)
    mishit = {verdict.number: verdict.mishit for verdict in chart.verdicts}
    for row, cell in enumerate(chart.cells):
        shapes += _row(chart, row, cell, balls, mishit, scale, unit, HEAD + ROW * (row + 1) - 16, narrow)
    height = HEAD + ROW * len(chart.cells) + LEGEND
    shapes += _legend(height - LEGEND + 26, width)
    title = _("Carry of every ball and shot, in {unit}").format(unit=words.unit_word(unit))
    return svg.picture(width, height, title, sentence(chart, unit), shapes)


def sentence(chart: Chart, unit: DistanceUnit) -> str:
    """The picture in one sentence."""
    ladder = sorted(chart.cells, key=lambda cell: cell.stock_carry_m)
    count = sum(cell.balls for cell in chart.cells)
    return ngettext(
        "{count} ball with {shots} shots, from {first} at {first_carry} to {last} at {last_carry} (90 % doubt).",
        "{count} balls with {shots} shots, from {first} at {first_carry} to {last} at {last_carry} (90 % doubt).",
        count,
    ).format(
        count=count, shots=len(chart.cells), first=words.shot(ladder[0]), first_carry=words.carry(ladder[0], unit),
        last=words.shot(ladder[-1]), last_carry=words.carry(ladder[-1], unit),
    )  # fmt: skip


def _axis(scale: svg.Scale, unit: DistanceUnit, top: float, bottom: float, most: int) -> list[str]:
    shapes = []
    for tick in svg.ticks(scale.low, scale.high, most):
        x = scale(tick)
        shapes += [svg.line(x, top, x, bottom, fade=0.18), svg.text(x, top - 8, f"{tick:g}", anchor="middle", fade=0.8)]
    return [*shapes, svg.text(scale.right + 12, top - 8, unit, fade=0.8)]


def _row(
    chart: Chart, row: int, cell: Cell, balls: Sequence[Ball], mishit: dict[int, bool], scale: svg.Scale, unit: DistanceUnit,
    base: float, narrow: bool,
) -> list[str]:  # fmt: skip
    first = row == 0 or chart.cells[row - 1].club != cell.club
    shapes = [svg.line(0, base - ROW + 17, scale.right, base - ROW + 17, fade=0.5)] if first and row else []
    if first:
        shapes.append(svg.text(2, base - 22, cell.club[: 12 if narrow else 18], weight=700, size=14))
    shapes.append(svg.text(2, base - 4, cell.swing[: 13 if narrow else 20], size=13))

    def at(metres: float) -> float:
        return scale(from_metres(metres, unit))

    shapes.append(svg.band(at(cell.next90_m.low), at(cell.next90_m.high), base + 1, 9))
    draws = np.exp(np.quantile(chart.draws_log_carry[:, row], (np.arange(DOTS) + 0.5) / DOTS))
    size = 5.0 if narrow else 6.0
    stack = svg.stacked([at(float(d)) for d in draws], size)
    step = min(size, STACK / (1 + max(level for _, level in stack)))
    for x, level in stack:
        shapes.append(svg.dot(x, base - 4 - step * level, min(size, step * 1.15) * 0.46))
    key = (club_key(cell.club, cell.loft_deg), parse_swing(cell.swing).key)
    for ball in balls:
        if ball.use and (club_key(ball.club, ball.loft_deg), parse_swing(ball.swing).key) == key:
            x = at(ball.distance_m)
            shapes.append(
                svg.cross(x, base + 5.5, 3.2) if mishit.get(ball.number) else svg.dot(x, base + 5.5, 3, filled=False)
            )
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
