"""Does the recheck keep its error rates, and with how many balls? Beside a plain t test in the same run.

    python benchmarks/recheck.py [--players 80] [--seed 2]

Old charts are fitted to simulated players; new balls come one by one from the same player, unchanged or 5 % longer or shorter, with
a day's own shift. The recheck looks after every ball and stops at its verdict (or at 60 balls). The t test takes a fixed number of
good balls, the mean that the recheck took, and compares log carries over the old chart's with zero at 5 %.
"""

import argparse

import numpy as np
from scipy.stats import ttest_1samp
from worlds.old import Simulated, simulate

from threequarter.chart.fit import fit_chart
from threequarter.chart.result import Chart
from threequarter.golf.ball import Ball
from threequarter.practice.recheck import DAY_SD, recheck

MOST = 60


def new_balls(session: Simulated, rng: np.random.Generator, move: float, spread_times: float) -> list[Ball]:
    day = rng.normal(0, DAY_SD)
    balls = []
    for number in range(1, MOST + 1):
        cell = session.cells[int(rng.integers(len(session.cells)))]
        log = (
            np.log(cell.stock_m)
            + np.log1p(move)
            + day
            + spread_times * cell.sd_m / cell.stock_m * rng.standard_t(9) * np.sqrt(7 / 9)
        )
        if rng.random() < cell.rate:
            log += rng.normal(-0.25, 0.2)
        balls.append(
            Ball(
                number=number,
                club=cell.club,
                swing=cell.swing,
                loft_deg=float(cell.club),
                distance_m=float(np.exp(log)),
            )
        )
    return balls


def sequential(old: Chart, balls: list[Ball]) -> tuple[str, int]:
    for n in range(3, MOST + 1):
        verdict = recheck(old, balls[:n]).verdict
        if verdict != "not known yet":
            return verdict, n
    return "not known yet", MOST


def plain(old: Chart, balls: list[Ball], count: int) -> bool:
    """Whether a t test on `count` balls, wild ones left out, says that the chart moved."""
    off = np.log([b.distance_m / old.cell(b.club, b.swing).stock_carry_m for b in balls[:count]])
    good = off[np.abs(off - np.median(off)) < 0.2]
    return bool(ttest_1samp(good, 0.0).pvalue < 0.05)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--players", type=int, default=80)
    parser.add_argument("--seed", type=int, default=2)
    chosen = parser.parse_args()
    rng = np.random.default_rng(chosen.seed)
    players = [simulate(rng, "plain", 10) for _ in range(chosen.players)]
    charts = [fit_chart(session.balls) for session in players]
    spread = [float(np.median([c.sd_m / c.stock_m for c in s.cells])) for s in players]
    print(
        f"{'new balls':34s} {'said moved':>11s} {'said holds':>11s} {'not known':>10s} {'balls':>6s} {'t test says moved':>18s}"
    )
    for name, move, times in (
        ("unchanged", 0.0, 1.0),
        ("unchanged, spread a quarter wider", 0.0, 1.25),
        ("5 % longer", 0.05, 1.0),
        ("5 % shorter", -0.05, 1.0),
    ):
        lots = [new_balls(session, rng, move, times) for session in players]
        found = [sequential(old, balls) for old, balls in zip(charts, lots, strict=True)]
        taken = float(np.mean([n for _, n in found]))
        share = {word: 100 * np.mean([v == word for v, _ in found]) for word in ("moved", "holds", "not known yet")}
        tested = 100 * np.mean([plain(old, balls, round(taken)) for old, balls in zip(charts, lots, strict=True)])
        print(
            f"{name:34s} {share['moved']:10.1f}% {share['holds']:10.1f}% {share['not known yet']:9.1f}% {taken:6.1f} {tested:17.1f}%"
        )
        for low, high in ((0.0, 0.06), (0.06, 0.2)):
            mine = [n for (_, n), s in zip(found, spread, strict=True) if low <= s < high]
            if mine:
                print(
                    f"    spread {100 * low:.0f} to {100 * high:.0f} %: {np.mean(mine):.1f} balls, {len(mine)} players"
                )


if __name__ == "__main__":
    main()
