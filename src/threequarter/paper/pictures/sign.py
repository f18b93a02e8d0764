"""Our sign: the lead arm from straight down to its angle, as the camera sees it; and the line that each wedge is drawn with.

Heavy on the way back, light on the way through, the ball below. Below 27 pixels both sides weigh the same and the ball goes.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from html import escape
from typing import Final

import numpy as np

from threequarter.chart.result import Chart
from threequarter.golf.swing_length import SwingLength, parse_swing

DRAWN_DEG: Final = {"knee": 30.0, "waist": 50.0, "chest": 78.0, "shoulder": 105.0, "full": 152.0}
"""Lead arm from straight down, for drawing only: no measure, and nothing is worked out from it."""
UNKNOWN_DEG: Final = 70.0
SMALL: Final = 26
BOX: Final = 48
MARKS: Final = 5
"""Wedges that can be told apart by their line: solid, double, dashes, dots, dash and dot."""
USUAL_LOFTS_DEG: Final = (46.0, 50.0, 54.0, 59.0)
"""The line a wedge is drawn with goes by the nearest of these, so that it stays when another wedge joins the bag."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Arm:
    """What is drawn: degrees of the lead arm from straight down, back and through; `clock` with hour ticks, `broken` where nobody
    knows the angle."""

    back_deg: float
    through_deg: float
    clock: bool = False
    broken: bool = False


def arm_of(swing: str) -> Arm:
    """The arm for a swing length as it is called."""
    length = parse_swing(swing)
    known = _angle_deg(length)
    angle = UNKNOWN_DEG if known is None else known
    return Arm(back_deg=angle, through_deg=angle, clock=length.kind == "clock", broken=known is None)


def _angle_deg(length: SwingLength) -> float | None:
    if length.hour is not None:
        return min(165.0, 30.0 * (length.hour - 6))
    if length.key in DRAWN_DEG:
        return DRAWN_DEG[length.key]
    if length.reach is None:
        return None
    names = {"knee": 0.37, "waist": 0.50, "chest": 0.62, "shoulder": 0.78, "full": 1.0}
    return float(np.interp(length.reach, list(names.values()), list(DRAWN_DEG.values())))


def sign(arm: Arm, size: float = 24, *, left_handed: bool = False, says: str = "") -> str:
    """The sign as SVG in the ink around it; a picture to a screen reader only where it `says` something."""
    shapes = _small(arm) if size <= SMALL else _large(arm)
    named = f'role="img" aria-label="{escape(says)}"' if says else 'aria-hidden="true" focusable="false"'
    turned = f'<g transform="translate({BOX} 0) scale(-1 1)">{"".join(shapes)}</g>' if left_handed else "".join(shapes)
    return (
        f'<svg class="sign" xmlns="http://www.w3.org/2000/svg" width="{size:g}" height="{size:g}" viewBox="0 0 {BOX} {BOX}"'
        f' {named} fill="none" stroke="currentColor">{turned}</svg>'
    )


def _end(middle: float, radius: float, angle_deg: float) -> tuple[float, float]:
    """Where the hands are: to the left of the body on the way back (positive angles)."""
    angle = np.radians(angle_deg)
    return BOX / 2 - radius * float(np.sin(angle)), middle + radius * float(np.cos(angle))


def _arc(middle: float, radius: float, from_deg: float, to_deg: float) -> str:
    (x1, y1), (x2, y2) = _end(middle, radius, from_deg), _end(middle, radius, to_deg)
    turn = abs(to_deg - from_deg)
    return f"M{x1:.1f} {y1:.1f}A{radius:g} {radius:g} 0 {int(turn > 180)} {int(to_deg > from_deg)} {x2:.1f} {y2:.1f}"


def _small(arm: Arm) -> list[str]:
    x, y = _end(24, 16.5, arm.back_deg)
    dashes = ' stroke-dasharray="5 4"' if arm.broken else ""
    pointer = "" if arm.broken else f'<path d="M24 24L{x:.1f} {y:.1f}" stroke-width="4" stroke-linecap="round"/>'
    return [
        f'<path d="{_arc(24, 16.5, arm.back_deg, -arm.through_deg)}" stroke-width="5.5" stroke-linecap="round"{dashes}/>',
        pointer,
        f'<circle cx="{x:.1f}" cy="{y:.1f}" r="6" fill="currentColor" stroke="none"/>',
    ]


def _large(arm: Arm) -> list[str]:
    x, y = _end(22, 17, arm.back_deg)
    dashes = ' stroke-dasharray="3.4 3.2"' if arm.broken else ""
    shapes = []
    for hour in range(7, 12) if arm.clock else ():
        (x1, y1), (x2, y2) = (_end(22, radius, 30.0 * (hour - 6)) for radius in (20.4, 23.2))
        shapes.append(f'<path d="M{x1:.1f} {y1:.1f}L{x2:.1f} {y2:.1f}" stroke-width="1.8"/>')
    shapes += [
        f'<path d="{_arc(22, 17, 0, -arm.through_deg)}" stroke-width="2"{dashes}/>',
        f'<path d="{_arc(22, 17, 0, arm.back_deg)}" stroke-width="5"{dashes}/>',
    ]
    if not arm.broken:
        shapes += [
            f'<path d="M24 22L{x:.1f} {y:.1f}" stroke-width="2.4"/>',
            '<circle cx="24" cy="22" r="2.6" fill="currentColor" stroke="none"/>',
        ]
    return [
        *shapes,
        f'<circle cx="{x:.1f}" cy="{y:.1f}" r="4" fill="currentColor" stroke="none"/>',
        '<circle cx="24" cy="45" r="2.3" stroke-width="1.6"/>',
    ]


def wedge_marks(lofts_deg: Sequence[float | None]) -> list[int]:
    """The line (1 to 5) of each wedge of a bag, given from least to most loft: by its loft; in the order of loft where two would
    share one or a loft is not known."""
    if all(loft is not None for loft in lofts_deg):
        near = [int(np.argmin([abs(loft - usual) for usual in USUAL_LOFTS_DEG])) + 1 for loft in lofts_deg if loft]
        if len(set(near)) == len(lofts_deg):
            return near
    return [min(place, MARKS) for place in range(1, len(lofts_deg) + 1)]


def wedges_of(chart: Chart) -> dict[str, int]:
    """The line of each wedge of a chart."""
    lofts = {cell.club: cell.loft_deg for cell in chart.cells}
    return dict(zip(chart.clubs, wedge_marks([lofts[club] for club in chart.clubs]), strict=True))


def wedge_line(mark: int, length: float, *, upright: bool = False, width: float = 4.5) -> str:
    """The line of a wedge, as the inside of an SVG `length` long (and 10 the other way), in the ink around it."""
    middle = 5
    path = f"M{middle} 0V{length:g}" if upright else f"M0 {middle}H{length:g}"
    if mark == 2:
        gap = 2.2
        at = (middle - gap, middle + gap)
        path = "".join(f"M{x:g} 0V{length:g}" if upright else f"M0 {x:g}H{length:g}" for x in at)
        return f'<path d="{path}" fill="none" stroke="currentColor" stroke-width="{width * 0.44:g}"/>'
    lead = width / 2 if mark >= 4 else 0.0  # a round end reaches beyond its line
    if lead:
        path = f"M{middle} {lead:g}V{length - lead:g}" if upright else f"M{lead:g} {middle}H{length - lead:g}"
    dashes = _whole_dashes(mark, length - 2 * lead)
    round_ = ' stroke-linecap="round"' if mark >= 4 else ""
    dashed = f' stroke-dasharray="{dashes}"' if dashes else ""
    return f'<path d="{path}" fill="none" stroke="currentColor" stroke-width="{width:g}"{round_}{dashed}/>'


def _whole_dashes(mark: int, length: float) -> str:
    """The dashes of a line, stretched a little so that it ends with a whole one."""
    pattern = {3: (9.0, 4.0), 4: (0.1, 7.0), 5: (9.0, 4.0, 0.1, 4.0)}.get(mark)
    if pattern is None:
        return ""
    gap = pattern[-1]
    times = max(1, round((length + gap) / sum(pattern)))
    stretch = length / (times * sum(pattern) - gap)
    return " ".join(f"{part * stretch if part > 1 else part:.3g}" for part in pattern)


def wedge_key(mark: int, length: float = 44) -> str:
    """The line of a wedge as a small picture beside its name."""
    return (
        f'<svg class="wedge w{mark}" width="{length:g}" height="10" viewBox="0 0 {length:g} 10" aria-hidden="true"'
        f' focusable="false">{wedge_line(mark, length)}</svg>'
    )
