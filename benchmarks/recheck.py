"""Does the recheck keep its error rates, and does it answer? On players with known truth, made apart from the model.

    python benchmarks/recheck.py [--kinds nominal_any_bag,...] [--players 30] [--seed 0]

New balls of another day come in mixed order, each day with its own form; the recheck looks at 8, 16 and 24 balls. Beside it what a careful
person without a model finds at the same false alarms (median of log ratios). "yet": told so at this look or one before. The bounds MOVED_AT,
HOLDS_AT and EARLY of `practice/recheck.py` are set here on seed 1; other seeds test them.
"""

import argparse
from collections.abc import Sequence

from players_by_others import as_ball
from worlds.next_days import RecheckSaid, judge_recheck
from worlds.players_truth import Row

from threequarter.chart.fit import fit_chart
from threequarter.chart.result import Chart
from threequarter.practice.recheck import recheck

USUAL = "nominal_any_bag,nominal_three_clubs,day_sd_1.5,mishits_40,wild_15,spread_by_club"
CHARTS: dict[tuple[float, ...], Chart] = {}


def chart_of(rows: Sequence[Row]) -> Chart:
    """The chart of old rows, fitted once for all shifts and looks."""
    key = tuple(row.read_m for row in rows)
    if key not in CHARTS:
        CHARTS[key] = fit_chart([as_ball(row) for row in rows])
    return CHARTS[key]


def said(old: Sequence[Row], new: Sequence[Row]) -> RecheckSaid:
    """The recheck in the judge's terms."""
    found = recheck(chart_of(old), [as_ball(row) for row in new])
    verdict = "not known" if found.verdict == "not known yet" else found.verdict
    return RecheckSaid(verdict=verdict, shift90=(found.whole.ratio90.low, found.whole.ratio90.high))


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--kinds", default=USUAL)
    parser.add_argument("--players", type=int, default=30)
    parser.add_argument("--seed", type=int, default=0)
    chosen = parser.parse_args()
    print(
        f"{'kind':24s} {'shift':>6s} {'balls':>5s} {'moved':>6s} {'holds':>6s} {'open':>6s} {'90 % holds':>10s} {'plain moved':>11s} {'moved yet':>9s} {'holds yet':>9s}"
    )
    for kind in chosen.kinds.split(","):
        for one in judge_recheck(kind, said, players=chosen.players, seed=chosen.seed):
            print(
                f"{kind:24s} {one.shift:+6.2f} {one.balls:5d} {one.moved:6.2f} {one.holds:6.2f} {one.not_known:6.2f} "
                f"{one.interval_held:10.2f} {one.plain_moved:11.2f} {one.moved_yet:9.2f} {one.holds_yet:9.2f}",
                flush=True,
            )


if __name__ == "__main__":
    main()
