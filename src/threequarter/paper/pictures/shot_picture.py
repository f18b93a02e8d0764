"""What one shot is made of: each of its balls on a line, the stock carry a stroke, a band where nine good balls in ten land."""

from collections.abc import Sequence
from typing import Final

import numpy as np

from threequarter.chart.result import Cell, Chart
from threequarter.golf.ball import Carried
from threequarter.golf.units import DistanceUnit, from_metres
from threequarter.language import words
from threequarter.language.localize import _
from threequarter.paper.pictures import svg

WIDTH: Final = 430
BALL: Final = 8.0
LINE: Final = 62


def balls_of(cell: Cell, balls: Sequence[Carried]) -> list[Carried]:
    """The balls of a shot, the ones set aside too."""
    return [ball for ball in balls if (ball.club, ball.swing) == (cell.club, cell.swing)]


def shot_picture(chart: Chart, cell: Cell, balls: Sequence[Carried], unit: DistanceUnit) -> str:
    """One shot as SVG. A ring is a ball, a cross in it a mishit, a stroke in it a doubtful one, a broken ring one set aside."""
    signs = {verdict.number: verdict.sign for verdict in chart.verdicts}
    mine = sorted(balls_of(cell, balls), key=lambda ball: ball.distance_m)
    seen = [from_metres(ball.distance_m, unit) for ball in mine]
    low, high, stock = (from_metres(v, unit) for v in (cell.next90_m.low, cell.next90_m.high, cell.stock_carry_m))
    first, last = np.floor((min([low, *seen]) - 1) / 5) * 5, np.ceil((max([high, *seen]) + 1) / 5) * 5
    scale = svg.Scale(float(first), float(last), 12, WIDTH - 12)
    xs = [scale(value) for value in seen]
    levels = _levels(xs)
    top = max(LINE, 24 + (2 * BALL + 2) * (1 + max(levels, default=0)))
    shapes = [svg.band(scale(low), scale(high), 6, top - 14, fade=0.12, round_=3)]
    for ball, x, level in zip(mine, xs, levels, strict=True):
        y = top - 16 - (2 * BALL + 1.5) * level
        shapes.append(_ring(x, y, signs.get(ball.number, "good") if ball.use else "aside"))
    shapes += [
        svg.line(scale(stock), 2, scale(stock), top - 4, width=2.6),
        svg.line(12, top, WIDTH - 12, top, width=1.5),
    ]
    for tick in svg.ticks(scale.low, scale.high, 6):
        shapes += [
            svg.line(scale(tick), top, scale(tick), top + 5),
            svg.text(scale(tick), top + 20, f"{tick:g}", anchor="middle", size=15),
        ]
    title = _("The balls of {shot}, in {unit}").format(shot=words.shot(cell), unit=words.unit_word(unit))
    says = _("{carry}, nine good balls in ten land at {span}; {balls}").format(
        carry=words.carry(cell, unit), span=words.span(cell.next90_m, unit), balls=words.balls(cell.balls)
    )
    return svg.picture(WIDTH, top + 26, title, says, shapes)


def _levels(xs: Sequence[float]) -> list[int]:
    """How high each ball is piled so that none hides another; `xs` from left to right."""
    ends: list[float] = []
    found = []
    for x in xs:
        level = next((k for k, end in enumerate(ends) if x - end >= 2 * BALL), len(ends))
        if level == len(ends):
            ends.append(x)
        ends[level] = x
        found.append(level)
    return found


def _ring(x: float, y: float, sign: str) -> str:
    dashed = ' stroke-dasharray="2.5 2.5"' if sign == "aside" else ""
    ring = f'<circle class="ring" cx="{x:.1f}" cy="{y:.1f}" r="{BALL - 1:g}" stroke="currentColor" stroke-width="1.8"{dashed}/>'
    if sign == "called":
        return ring + svg.cross(x, y, 3.6)
    return ring + svg.line(x, y - 4, x, y + 4, width=2.2) if sign == "doubtful" else ring
