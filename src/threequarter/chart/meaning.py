"""What a chart means: the distances it covers, its holes, its doubles, and what cannot be told apart yet.

A hole is a stretch of numbers that no shot's next good ball would reach nine times in ten. A double is two shots for
one number: their stock carries differ by less than the goal of the chart, and that is known. Both are judged on the joint
posterior draws, so each comes with its probability.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from threequarter.chart import words
from threequarter.chart.result import Cell, Chart, Interval
from threequarter.golf.language import _, ngettext, number
from threequarter.golf.units import YARD_M, DistanceUnit, from_metres

GOAL_M: Final = 2 * YARD_M
GOAL_SHARE: Final = 0.03
LEAST_HOLE_M: Final = 2 * YARD_M
FEW_READINGS: Final = 3
WIDE: Final = 1.6
"""A 90 % ball reaches this many SDs to either side (a Student t with 8 degrees of freedom scaled to SD 1: 1.61)."""


def goal_m(carry_m: float) -> float:
    """How well a stock carry is to be known: the looser of 2 yards and 3 %."""
    return max(GOAL_M, GOAL_SHARE * carry_m)


@dataclass(frozen=True, slots=True, kw_only=True)
class Hole:
    """Numbers no shot covers, from `low_m` to `high_m`; `chance` that a gap is there at all; the shots beside it."""

    low_m: float
    high_m: float
    chance: float
    below: Cell
    above: Cell


@dataclass(frozen=True, slots=True, kw_only=True)
class Pair:
    """Two shots close to one number: the difference of their carries (first minus second) with its doubt."""

    first: Cell
    second: Cell
    carry_m: float
    difference_m: float
    difference90_m: Interval


@dataclass(frozen=True, slots=True, kw_only=True)
class Meaning:
    """Everything a chart means, with one plain sentence for each finding (`say`)."""

    covered_m: Interval
    ladder: tuple[Cell, ...]
    holes: tuple[Hole, ...]
    doubles: tuple[Pair, ...]
    undecided: tuple[Pair, ...]


def meaning(chart: Chart) -> Meaning:
    """Reads a chart. Cells never hit are in the ladder too: their doubt is part of the answer."""
    ladder = tuple(sorted(chart.cells, key=lambda cell: cell.stock_carry_m))
    doubles, undecided = _pairs(chart)
    return Meaning(
        covered_m=Interval(ladder[0].stock_carry_m, ladder[-1].stock_carry_m),
        ladder=ladder,
        holes=_holes(chart),
        doubles=doubles,
        undecided=undecided,
    )


def _holes(chart: Chart) -> tuple[Hole, ...]:
    order = np.argsort([cell.stock_carry_m for cell in chart.cells])
    centre = np.exp(chart.draws_log_carry)
    reach = WIDE * np.exp(chart.draws_log_sd)
    low, high = centre * np.exp(-reach), centre * np.exp(reach)
    tops = np.maximum.accumulate(high[:, order], axis=1)
    holes = []
    for k in range(len(order) - 1):
        below, above = chart.cells[order[k]], chart.cells[order[k + 1]]
        bottoms = low[:, order[k + 1 :]].min(axis=1)
        gap = bottoms - tops[:, k]
        chance = float((gap > LEAST_HOLE_M).mean())
        if chance >= 0.5:
            holes.append(
                Hole(
                    low_m=float(np.median(tops[:, k])),
                    high_m=float(np.median(bottoms)),
                    chance=chance,
                    below=below,
                    above=above,
                )
            )
    return tuple(holes)


def _pairs(chart: Chart) -> tuple[tuple[Pair, ...], tuple[Pair, ...]]:
    carry: NDArray[np.float64] = np.exp(chart.draws_log_carry)
    order = np.argsort([cell.stock_carry_m for cell in chart.cells])
    doubles, undecided = [], []
    for place, i in enumerate(order):
        for j in order[place + 1 :]:
            middle = (chart.cells[i].stock_carry_m + chart.cells[j].stock_carry_m) / 2
            allowed = goal_m(middle)
            if chart.cells[j].stock_carry_m - chart.cells[i].stock_carry_m > 3 * allowed:
                break
            difference = carry[:, i] - carry[:, j]
            low, high = np.quantile(difference, [0.05, 0.95])
            pair = Pair(
                first=chart.cells[i],
                second=chart.cells[j],
                carry_m=middle,
                difference_m=float(np.median(difference)),
                difference90_m=Interval(float(low), float(high)),
            )
            if float((np.abs(difference) <= allowed).mean()) >= 0.75:
                doubles.append(pair)
            elif low < 0 < high:
                undecided.append(pair)
    return tuple(doubles), tuple(undecided)


def say(meaning: Meaning, unit: DistanceUnit) -> list[str]:
    """The findings as sentences, most useful first."""
    lines = [
        _("Stock shots from {span}, {count} of them.").format(
            span=words.span(meaning.covered_m, unit), count=len(meaning.ladder)
        )
    ]
    for hole in meaning.holes:
        lines.append(
            _("Hole: nothing lands at {span}, between {below} and {above} ({chance} sure).").format(
                span=words.span(Interval(hole.low_m, hole.high_m), unit), below=words.shot(hole.below),
                above=words.shot(hole.above), chance=words.percent(hole.chance),
            )
        )  # fmt: skip
    for pair in meaning.doubles:
        lines.append(
            _(
                "Double: {first} and {second} both carry about {carry} {unit}; choose by flight: more loft is higher and stops"
                " sooner."
            ).format(
                first=words.shot(pair.first), second=words.shot(pair.second), carry=words.rounded(pair.carry_m, unit), unit=unit
            )
        )  # fmt: skip
    for pair in meaning.undecided:
        lines.append(
            _("Not told apart yet: {first} and {second} differ by {apart} ± {doubt} {unit}.").format(
                first=words.shot(pair.first), second=words.shot(pair.second), unit=unit,
                apart=number(from_metres(abs(pair.difference_m), unit)), doubt=number(words.half_width(pair.difference90_m, unit)),
            )
        )  # fmt: skip
    if not meaning.holes:
        lines.append(_("No holes: a good ball of some shot reaches every number in between."))
    return lines


def cell_words(cell: Cell, unit: DistanceUnit) -> list[str]:
    """What a coach should know about one cell."""
    lines: list[str] = []
    if cell.balls == 0:
        lines.append(_("Never hit: worked out from the other shots."))
    elif cell.readings < FEW_READINGS:
        lines.append(
            ngettext(
                "Only {count} ball: the rest comes from the other shots.",
                "Only {count} balls: the rest comes from the other shots.",
                cell.balls,
            ).format(count=cell.balls)
        )
    if cell.two_swings_m:
        first, second = (words.rounded(centre, unit) for centre in cell.two_swings_m)
        lines.append(
            _("Two swings under one name: one carries about {first}, the other about {second} {unit}.").format(
                first=first, second=second, unit=unit
            )
        )
    return lines
