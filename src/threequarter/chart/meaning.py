"""What a chart means: the distances it covers, its gaps, its doubles, and what cannot be told apart yet.

A double is two shots for one number: their stock carries differ by less than the promise of the chart, and that is known. Gaps and
doubles are judged on the joint posterior draws, so each comes with its probability.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from threequarter.chart.gaps import Gap, gaps
from threequarter.chart.goal import promise_m
from threequarter.chart.result import Cell, Chart, Interval
from threequarter.golf.message import Message

FEW_READINGS: Final = 3
DOUBLE_FROM: Final = 0.75
"""Chance from which two shots are told as a double."""
SHOWN_UNDECIDED: Final = 3


@dataclass(frozen=True, slots=True, kw_only=True)
class Pair:
    """Two shots close to one number: the difference of their carries (first minus second) with its range, and the chance that they
    differ by less than the promise."""

    first: Cell
    second: Cell
    carry_m: float
    difference_m: float
    difference90_m: Interval
    chance: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Meaning:
    """Everything a chart means; `told` says it in messages, most useful first."""

    covered_m: Interval
    ladder: tuple[Cell, ...]
    gaps: tuple[Gap, ...]
    doubles: tuple[Pair, ...]
    undecided: tuple[Pair, ...]


def meaning(chart: Chart) -> Meaning:
    """Reads a chart. Cells never hit are in the ladder too: their uncertainty is part of the answer."""
    ladder = tuple(sorted(chart.cells, key=lambda cell: cell.stock_carry_m))
    doubles, undecided = _pairs(chart)
    return Meaning(
        covered_m=Interval(ladder[0].stock_carry_m, ladder[-1].stock_carry_m),
        ladder=ladder,
        gaps=gaps(chart),
        doubles=doubles,
        undecided=undecided,
    )


def _pairs(chart: Chart) -> tuple[tuple[Pair, ...], tuple[Pair, ...]]:
    carry: NDArray[np.float64] = np.exp(chart.draws_log_carry)
    order = np.argsort([cell.stock_carry_m for cell in chart.cells])
    doubles, undecided = [], []
    for place, i in enumerate(order):
        for j in order[place + 1 :]:
            middle = (chart.cells[i].stock_carry_m + chart.cells[j].stock_carry_m) / 2
            allowed = promise_m(middle)
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
                chance=float((np.abs(difference) <= allowed).mean()),
            )
            if pair.chance >= DOUBLE_FROM:
                doubles.append(pair)
            elif low < 0 < high:
                undecided.append(pair)
    return tuple(doubles), tuple(undecided)


def shot_name(cell: Cell) -> str:
    """A shot's name: "54 waist"."""
    return f"{cell.club} {cell.swing}".strip()


def told(found: Meaning) -> tuple[Message, ...]:
    """The findings, most useful first."""
    if len(found.ladder) == 1:
        return (Message("meaning.one_shot", carry_m=found.covered_m.low),)
    lines = [
        Message("meaning.span", shots=len(found.ladder), low_m=found.covered_m.low, high_m=found.covered_m.high),
        *gaps_told(found),
        *(double_told(pair) for pair in found.doubles),
    ]
    for pair in found.undecided[:SHOWN_UNDECIDED]:
        lines.append(
            Message(
                "meaning.undecided",
                first=shot_name(pair.first),
                second=shot_name(pair.second),
                apart_m=abs(pair.difference_m),
                half_m=pair.difference90_m.half,
            )
        )
    if len(found.undecided) > SHOWN_UNDECIDED:
        lines.append(Message("meaning.more_undecided", pairs=len(found.undecided) - SHOWN_UNDECIDED))
    return tuple(lines)


def gaps_told(found: Meaning) -> tuple[Message, ...]:
    """Each gap and what would fill it; that there is none, where there is none."""
    if not found.gaps:
        return (Message("meaning.no_gaps"),)
    lines = []
    for gap in found.gaps:
        lines.append(
            Message(
                "meaning.gap",
                low_m=gap.low_m,
                high_m=gap.high_m,
                below=shot_name(gap.below),
                above=shot_name(gap.above),
                sure_share=gap.chance,
            )
        )
        lines += [filler.message for filler in gap.fillers[:1]] or [Message("gap.other_loft")]
    return tuple(lines)


def double_told(pair: Pair) -> Message:
    """Two shots for one number."""
    return Message("meaning.double", first=shot_name(pair.first), second=shot_name(pair.second), carry_m=pair.carry_m)


def cell_told(cell: Cell) -> tuple[Message, ...]:
    """What a coach should know about one cell."""
    lines = list(cell.told)
    if cell.balls == 0:
        lines.append(Message("cell.never_hit"))
    elif cell.readings < FEW_READINGS:
        lines.append(Message("cell.few", balls=cell.balls))
    if cell.two_swings_m:
        first, second = cell.two_swings_m
        lines.append(Message("cell.two_swings", first_m=first, second_m=second))
    return tuple(lines)
