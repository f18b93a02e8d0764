"""A player's stock carries on one short line, as small as a word: how far the shots reach and how close they stand."""

from typing import Final

from threequarter.chart.meaning import Meaning
from threequarter.golf.units import DistanceUnit, from_metres
from threequarter.language import words
from threequarter.language.localize import _, ngettext
from threequarter.paper.pictures import svg

WIDTH: Final = 240
HEIGHT: Final = 36
FROM: Final = 10
TO: Final = 120
"""The yards of the short game, in either unit: two players' lines can be held against each other."""
GROUND: Final = 29
TOP: Final = 6
MARKS: Final = ((3.0, "", "butt"), (1.6, "", "butt"), (4.5, "6 2.5", "butt"), (5.0, "0.1 6.5", "round"))
"""Width, dashes and ends of the mark of each wedge from the lowest loft up: solid, double, dashes, dots."""
DOUBLE: Final = 1


def yards_picture(meaning: Meaning, clubs: tuple[str, ...], unit: DistanceUnit) -> str:
    """The stock carries of a chart as an SVG line of 240 by 36 pixels; `clubs` from least to most loft."""
    carries = [from_metres(cell.stock_carry_m, unit) for cell in meaning.ladder]
    scale = svg.Scale(min(FROM, *carries), max(TO, *carries), 5, WIDTH - 5)
    shapes = [svg.line(0, GROUND, WIDTH, GROUND, width=1.5, fade=0.6)]
    shapes += [svg.line(scale(v), GROUND, scale(v), GROUND + 5, fade=0.6) for v in range(FROM, TO + 1, 10)]
    for cell, carry in zip(meaning.ladder, carries, strict=True):
        shapes.append(_mark(scale(carry), clubs.index(cell.club)))
    title = _("Stock carries, in {unit}").format(unit=words.unit_word(unit))
    return svg.picture(WIDTH, HEIGHT, title, _says(meaning, unit), shapes)


def reach(meaning: Meaning, unit: DistanceUnit) -> str:
    """From the shortest to the longest stock carry: "35–98 yd"."""
    near, far = (words.rounded(meaning.ladder[place].stock_carry_m, unit) for place in (0, -1))
    return f"{near} {unit}" if near == far else f"{near}–{far} {unit}"


def _mark(x: float, club: int) -> str:
    place = club % len(MARKS)
    width, dashes, ends = MARKS[place]
    lines = (x - 2, x + 2) if place == DOUBLE else (x,)
    path = "".join(f"M{at:.1f} {GROUND}V{TOP}" for at in lines)
    dash = f' stroke-dasharray="{dashes}"' if dashes else ""
    return f'<path class="wedge-{place + 1}" d="{path}" fill="none" stroke="currentColor" stroke-width="{width:g}" stroke-linecap="{ends}"{dash}/>'


def _says(meaning: Meaning, unit: DistanceUnit) -> str:
    count = len(meaning.ladder)
    return ngettext("{count} shot, {reach}.", "{count} shots, {reach}.", count).format(
        count=count, reach=reach(meaning, unit)
    )
