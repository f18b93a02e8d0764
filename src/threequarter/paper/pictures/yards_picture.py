"""A player's stock carries on one short line, as small as a word: how far the shots reach and how close they stand."""

from collections.abc import Mapping
from typing import Final

from threequarter.chart.meaning import Meaning
from threequarter.golf.units import DistanceUnit, from_metres
from threequarter.language import words
from threequarter.language.localize import _, ngettext
from threequarter.paper.pictures import svg
from threequarter.paper.pictures.sign import wedge_line

WIDTH: Final = 240
HEIGHT: Final = 36
FROM: Final = 10
TO: Final = 120
"""The yards of the short game, in either unit: two players' lines can be held against each other."""
GROUND: Final = 29
TOP: Final = 6


def yards_picture(meaning: Meaning, wedges: Mapping[str, int], unit: DistanceUnit) -> str:
    """The stock carries of a chart as an SVG line of 240 by 36 pixels; `wedges` tells the line of each club (1 to 5)."""
    carries = [from_metres(cell.stock_carry_m, unit) for cell in meaning.ladder]
    scale = svg.Scale(min(FROM, *carries), max(TO, *carries), 5, WIDTH - 5)
    shapes = [svg.line(0, GROUND, WIDTH, GROUND, width=1.5, fade=0.6)]
    shapes += [svg.line(scale(v), GROUND, scale(v), GROUND + 5, fade=0.6) for v in range(FROM, TO + 1, 10)]
    for cell, carry in zip(meaning.ladder, carries, strict=True):
        shapes.append(_mark(scale(carry), wedges[cell.club]))
    title = _("Stock carries, in {unit}").format(unit=words.unit_word(unit))
    return svg.picture(WIDTH, HEIGHT, title, _says(meaning, unit), shapes)


def reach(meaning: Meaning, unit: DistanceUnit) -> str:
    """From the shortest to the longest stock carry: "35–98 yd"."""
    near, far = (words.rounded(meaning.ladder[place].stock_carry_m, unit) for place in (0, -1))
    return f"{near} {unit}" if near == far else f"{near}–{far} {unit}"


def _mark(x: float, mark: int) -> str:
    line = wedge_line(mark, GROUND - TOP, upright=True, width=3.5)
    return f'<g class="w{mark}" transform="translate({x - 5:.1f} {TOP})">{line}</g>'


def _says(meaning: Meaning, unit: DistanceUnit) -> str:
    count = len(meaning.ladder)
    return ngettext("{count} shot, {reach}.", "{count} shots, {reach}.", count).format(
        count=count, reach=reach(meaning, unit)
    )
