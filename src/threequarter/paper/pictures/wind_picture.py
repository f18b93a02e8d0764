"""What one wind does to one shot, from eight sides, seen from above: grasped at a glance."""

from collections.abc import Sequence
from typing import Final

import numpy as np

from threequarter.answers.day import side_words
from threequarter.golf.units import DistanceUnit, from_metres
from threequarter.language import measures, words
from threequarter.language.localize import _
from threequarter.paper.pictures import svg

SIZE: Final = 360
TALL: Final = 390
CENTRE: Final = 180.0
MIDDLE: Final = 210.0
OUTER: Final = 128.0


def wind_picture(
    shot: str, wind_mps: float, changes_m: Sequence[float], sides_m: Sequence[float], unit: DistanceUnit
) -> str:
    """Eight arrows as SVG, for winds from 0, 45, ... 315 degrees clockwise from straight ahead; what each adds to the carry and
    where it puts the ball. The player stands in the middle and looks up the page."""
    speed = measures.speed(wind_mps)
    name = _("{shot}, wind {speed}").format(shot=shot, speed=speed)
    shapes = [
        svg.text(CENTRE, 18, name, anchor="middle", weight=700, size=15),
        svg.dot(CENTRE, MIDDLE, 5),
        svg.line(CENTRE, MIDDLE - 8, CENTRE, MIDDLE - 46, width=1.5, dash="3 3"),
        svg.text(CENTRE, MIDDLE + 22, _("flag: straight up"), anchor="middle", size=11, fade=0.8),
    ]
    for k, (change, side) in enumerate(zip(changes_m, sides_m, strict=True)):
        angle = np.radians(45 * k)
        ux, uy = float(np.sin(angle)), float(-np.cos(angle))
        shapes.append(_arrow(CENTRE + 112 * ux, MIDDLE + 112 * uy, CENTRE + 62 * ux, MIDDLE + 62 * uy))
        x, y = CENTRE + OUTER * 1.12 * ux, MIDDLE + OUTER * 1.12 * uy
        longer = words.signed(from_metres(change, unit))
        shapes.append(svg.text(x, y, longer, anchor="middle", weight=700, size=19))
        off = round(from_metres(side, unit))
        if off:
            shapes.append(svg.text(x, y + 14, side_words(off), anchor="middle", size=11))
    title = _("Wind of {speed} from eight sides").format(speed=speed)
    return svg.picture(SIZE, TALL, title, sentence(shot, wind_mps, changes_m, sides_m, unit), shapes)


def _arrow(x1: float, y1: float, x2: float, y2: float) -> str:
    angle = np.arctan2(y2 - y1, x2 - x1)
    ends = [(x2 - 9 * np.cos(angle + t), y2 - 9 * np.sin(angle + t)) for t in (0.45, -0.45)]
    head = " ".join(f"L{x:.1f} {y:.1f} M{x2:.1f} {y2:.1f}" for x, y in ends)
    return f'<path d="M{x1:.1f} {y1:.1f}L{x2:.1f} {y2:.1f}{head}" stroke="currentColor" stroke-width="2" fill="none" stroke-linecap="round"/>'


def sentence(
    shot: str, wind_mps: float, changes_m: Sequence[float], sides_m: Sequence[float], unit: DistanceUnit
) -> str:
    """The picture in one sentence."""
    ahead, behind = (round(abs(from_metres(changes_m[k], unit))) for k in (0, 4))
    side = round(abs(from_metres(sides_m[6], unit)))
    return _(
        "A head wind of {speed} takes {ahead} {unit} off the {shot}, a tail wind changes it by {behind}, a side "
        "wind moves it {side} sideways."
    ).format(
        speed=measures.speed(wind_mps), ahead=ahead, unit=words.unit_word(unit), shot=shot, behind=behind, side=side
    )
