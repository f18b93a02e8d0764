"""One shot lying down, for a row of a list: its pod on the scale of its wedge, near at the left."""

from collections.abc import Sequence
from typing import Final

import numpy as np

from threequarter.chart.result import Cell
from threequarter.chart.ten_balls import ten_balls_m
from threequarter.golf.units import DistanceUnit, from_metres
from threequarter.paper.pictures import svg
from threequarter.paper.pictures.pod import pod

HEIGHT: Final = 30
DOT: Final = 6.4
"""Pixels across; the narrowest phone shows a lane a twentieth smaller, and a dot is never under 6."""
LEAST_SPAN: Final = 20


def lane_scale(cells: Sequence[Cell], unit: DistanceUnit, width: float) -> svg.Scale:
    """The scale that all rows of a wedge share."""
    ends = [from_metres(v, unit) for cell in cells for v in (cell.next90_m.low, cell.next90_m.high)]
    low, high = float(np.floor(min(ends) / 5) * 5), float(np.ceil(max(ends) / 5) * 5)
    return svg.Scale(low, max(high, low + LEAST_SPAN), 16, width - 16)


def lane_picture(cell: Cell, unit: DistanceUnit, scale: svg.Scale, tail_df: float, *, axis: bool = False) -> str:
    """A pod of ten dots, lying, on hairlines every ten; with `axis` their numbers below."""
    width = scale.right + 16
    dots = pod([scale(from_metres(float(m), unit)) for m in ten_balls_m(cell, tail_df)], DOT)
    middle = HEIGHT / 2
    shapes = []
    for tick in np.arange(np.ceil(scale.low / 10) * 10, scale.high + 0.1, 10):
        shapes.append(f'<path class="hair" d="M{scale(float(tick)):.1f} 0V{HEIGHT}"/>')
        if axis:
            shapes.append(svg.text(scale(float(tick)), HEIGHT + 13, f"{tick:g}", anchor="middle", size=13))
    shapes.append(
        f'<rect class="pod" x="{dots.low:.1f}" y="{middle - 10:g}" width="{dots.high - dots.low:.1f}" height="20" rx="8"/>'
    )
    ink = 'fill="currentColor"' if cell.balls else 'fill="none" stroke="currentColor" stroke-width="1.2"'
    radius = DOT / 2 - (0 if cell.balls else 0.6)
    for x, file in dots.dots:
        shapes.append(f'<circle cx="{x:.1f}" cy="{middle + (3.8 if file else -3.8):g}" r="{radius:g}" {ink}/>')
    tall = HEIGHT + (18 if axis else 0)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width:g}" height="{tall}" viewBox="0 0 {width:g} {tall}"'
        f' aria-hidden="true" focusable="false">{"".join(shapes)}</svg>'
    )
