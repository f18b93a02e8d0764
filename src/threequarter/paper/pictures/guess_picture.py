"""Guesses over the days: each a dot, how far it was from what was measured; a bar for the mean of each day."""

from typing import Final

import numpy as np

from threequarter.golf.units import DistanceUnit, from_metres
from threequarter.language import localize, words
from threequarter.language.localize import _
from threequarter.paper.pictures import svg
from threequarter.practice.guessing import Guessing

HEIGHT: Final = 300
TOP: Final = 26
BOTTOM: Final = HEIGHT - 40
DATE_ROOM: Final = 92


def guess_picture(found: Guessing, unit: DistanceUnit, *, width: int = 760) -> str:
    """The guesses as SVG; above the line the player thought that the ball went further."""
    errors = [from_metres(guess.error_m, unit) for guess in found.errors]
    reach = max(2.0, float(np.ceil(np.abs(errors).max() / 5) * 5))
    up = svg.Scale(-reach, reach, BOTTOM, TOP)
    days = [one.day.toordinal() for one in found.days]
    across = svg.Scale(days[0] - 0.5, max(days[-1], days[0] + 1) + 0.5, 56, width - 20)
    shapes = []
    for tick in svg.ticks(-reach, reach, 5):
        shapes += [
            svg.line(44, up(tick), across.right, up(tick), fade=0.6 if tick == 0 else 0.18),
            svg.text(38, up(tick) + 4, localize.number(tick, sign=True), anchor="end", fade=0.8),
        ]
    shapes += [
        svg.text(46, TOP - 10, _("guessed too long"), size=12, fade=0.8),
        svg.text(46, BOTTOM + 14, _("guessed too short"), size=12, fade=0.8),
    ]
    shapes += [
        svg.dot(across(guess.day.toordinal()), up(error), 3.4, fade=0.45)
        for guess, error in zip(found.errors, errors, strict=True)
    ]
    for one in found.days:
        x, y = across(one.day.toordinal()), up(from_metres(one.mean_error_m, unit))
        shapes.append(svg.line(x - 11, y, x + 11, y, width=3))
    free = -np.inf
    for one in found.days:
        x = min(max(across(one.day.toordinal()), 44 + DATE_ROOM / 2), across.right - DATE_ROOM / 2 + 16)
        if x >= free:
            shapes.append(svg.text(x, HEIGHT - 6, localize.day(one.day), anchor="middle", size=12, fade=0.8))
            free = x + DATE_ROOM
    title = _("Guess minus carry, in {unit}").format(unit=words.unit_word(unit))
    says = _("{count} guesses on {days} days. Dot: one guess; bar: the mean of a day.").format(
        count=len(errors), days=len(days)
    )
    return svg.picture(width, HEIGHT, title, says, shapes)
