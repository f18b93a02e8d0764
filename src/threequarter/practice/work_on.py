"""What to work on: at most three findings, each with the number behind it. It reports what was measured, no swing theory."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

from threequarter.chart.meaning import meaning, shot_name
from threequarter.chart.mishits import counted, likeliest, pooled_share
from threequarter.chart.result import Chart
from threequarter.golf.message import Message
from threequarter.swing.words import match

MOST: Final = 3
MANY_MISHITS: Final = 0.15
WIDE_TIMES: Final = 1.35
LEAST_BALLS: Final = 5
OFTEN: Final = 0.4


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkOn:
    """What stands out, and the number behind it."""

    sentence: Message
    behind: Message


def work_on(chart: Chart, swings: Sequence[Mapping[str, Any]] = ()) -> tuple[WorkOn, ...]:
    """The three things that stand out most, by how much they cost; fewer where less stands out."""
    found = [*_swings(swings), *_mishits(chart), *_spread(chart), *_gap(chart)]
    found.sort(key=lambda pair: -pair[0])
    return tuple(pair[1] for pair in found[:MOST])


def _mishits(chart: Chart) -> list[tuple[float, WorkOn]]:
    share = pooled_share(chart)
    if share is None or share < MANY_MISHITS:
        return []
    bad = [verdict for verdict in chart.verdicts if verdict.mishit]
    kinds = [verdict.noted or likeliest(verdict) for verdict in bad]
    worst = max(dict.fromkeys(kinds), key=kinds.count) if kinds else "fat"
    called, seen = counted(chart)
    behind = Message("work_on.mishit_count", mishits=called, balls=seen, mishit_share=share)
    code = f"work_on.mishits_{worst}"
    return [(2 * share, WorkOn(sentence=Message(code, mishit_one_in=share), behind=behind))]


def _spread(chart: Chart) -> list[tuple[float, WorkOn]]:
    hit = [cell for cell in chart.cells if cell.balls >= LEAST_BALLS]
    if len(hit) < 3:
        return []
    shares = sorted(cell.good_sd_m / cell.stock_carry_m for cell in hit)
    usual = shares[len(shares) // 2]
    worst = max(hit, key=lambda cell: cell.good_sd_m / cell.stock_carry_m)
    own = worst.good_sd_m / worst.stock_carry_m
    if own / usual < WIDE_TIMES:
        return []
    sentence = Message("work_on.spread", shot=shot_name(worst), low_m=worst.next90_m.low, high_m=worst.next90_m.high)
    behind = Message("work_on.spread_of", spread_share=own, usual_share=usual, balls=worst.balls)
    return [(0.3 * (own / usual - 1), WorkOn(sentence=sentence, behind=behind))]


def _gap(chart: Chart) -> list[tuple[float, WorkOn]]:
    gaps = meaning(chart).gaps
    if not gaps:
        return []
    gap = max(gaps, key=lambda one: one.high_m - one.low_m)
    fill = gap.fillers[0].message if gap.fillers else Message("gap.other_loft")
    sentence = Message("work_on.gap", low_m=gap.low_m, high_m=gap.high_m, fill=fill)
    behind = Message("work_on.sure", sure_share=gap.chance)
    return [(0.02 * (gap.high_m - gap.low_m), WorkOn(sentence=sentence, behind=behind))]


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
                sentence=Message("work_on.short_through", short=len(short), swings=len(compared)),
                behind=Message("work_on.short_through_by", by_deg=by),
            ),
        )
    ]
