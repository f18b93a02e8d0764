"""What to work on: at most three plain sentences, each with the number behind it. It reports what was measured, no swing theory."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

from threequarter.chart import words
from threequarter.chart.meaning import meaning
from threequarter.chart.result import Chart, Interval
from threequarter.golf.language import N_, _, number
from threequarter.golf.units import DistanceUnit
from threequarter.swing.words import match

MOST: Final = 3
MANY_MISHITS: Final = 0.15
WIDE_TIMES: Final = 1.35
LEAST_BALLS: Final = 5
OFTEN: Final = 0.4


_NOT_GOOD: Final = {
    "fat": N_("{share} balls was not a good strike, most of them fat."),
    "thin": N_("{share} balls was not a good strike, most of them thin."),
    "toe": N_("{share} balls was not a good strike, most of them toe."),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkOn:
    """A sentence and the number behind it."""

    sentence: str
    behind: str


def work_on(chart: Chart, swings: Sequence[Mapping[str, Any]] = (), unit: DistanceUnit = "yd") -> tuple[WorkOn, ...]:
    """The three things that stand out most, by how much they cost; fewer where less stands out."""
    found = [*_swings(swings), *_mishits(chart), *_spread(chart, unit), *_hole(chart, unit)]
    found.sort(key=lambda pair: -pair[0])
    return tuple(pair[1] for pair in found[:MOST])


def _mishits(chart: Chart) -> list[tuple[float, WorkOn]]:
    cell = chart.cells[0]
    if cell.mishit_rate < MANY_MISHITS:
        return []
    kinds = {kind: sum(getattr(v, kind) for v in chart.verdicts) for kind in _NOT_GOOD}
    worst = max(kinds, key=lambda kind: kinds[kind])
    return [(2 * cell.mishit_rate, WorkOn(
        sentence=_(_NOT_GOOD[worst]).format(share=words.one_in(cell.mishit_rate).capitalize()),
        behind=_("{share} ({low} to {high}) of {count} balls").format(
            share=words.percent(cell.mishit_rate), low=words.percent(cell.mishit_rate90.low),
            high=words.percent(cell.mishit_rate90.high), count=len(chart.verdicts))))]  # fmt: skip


def _spread(chart: Chart, unit: DistanceUnit) -> list[tuple[float, WorkOn]]:
    hit = [cell for cell in chart.cells if cell.balls >= LEAST_BALLS]
    if len(hit) < 3:
        return []
    shares = sorted(cell.good_sd_m / cell.stock_carry_m for cell in hit)
    usual = shares[len(shares) // 2]
    worst = max(hit, key=lambda cell: cell.good_sd_m / cell.stock_carry_m)
    times = worst.good_sd_m / worst.stock_carry_m / usual
    if times < WIDE_TIMES:
        return []
    return [(0.3 * (times - 1), WorkOn(
        sentence=_("{shot} spreads more than your other shots: a good one lands at {span}.").format(
            shot=words.shot(worst), span=words.span(worst.next90_m, unit)),
        behind=_("{spread} % of the carry, your usual is {usual} %; {balls}").format(
            spread=number(100 * worst.good_sd_m / worst.stock_carry_m, 1), usual=number(100 * usual, 1),
            balls=words.balls(worst.balls))))]  # fmt: skip


def _hole(chart: Chart, unit: DistanceUnit) -> list[tuple[float, WorkOn]]:
    holes = meaning(chart).holes
    if not holes:
        return []
    hole = max(holes, key=lambda h: h.high_m - h.low_m)
    return [(0.02 * (hole.high_m - hole.low_m), WorkOn(
        sentence=_("No shot lands at {span}: learn one between {below} and {above}.").format(
            span=words.span(Interval(hole.low_m, hole.high_m), unit), below=words.shot(hole.below), above=words.shot(hole.above)),
        behind=_("{chance} sure").format(chance=words.percent(hole.chance))))]  # fmt: skip


def _swings(swings: Sequence[Mapping[str, Any]]) -> list[tuple[float, WorkOn]]:
    if not swings:
        return []
    compared = [found for found in map(match, swings) if found.by_deg is not None]
    short = [found for found in compared if found.kind == "shorter"]
    if len(short) < max(1, OFTEN * len(compared)):
        return []
    by = sorted(-(found.by_deg or 0.0) for found in short)[len(short) // 2]
    return [
        (
            0.35 * len(short) / len(compared),
            WorkOn(
                sentence=_("Through was shorter than back in {short} of {count} swings.").format(
                    short=len(short), count=len(compared)
                ),
                behind=_("the lead arm went about {degrees}° less far through than back").format(degrees=number(by)),
            ),
        )
    ]
