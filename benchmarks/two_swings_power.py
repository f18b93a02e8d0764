"""How often are two swings under one name found, by the gap between their centres; and how often are normal cells called?

python benchmarks/two_swings_power.py [--sessions 120]
"""

import argparse

import numpy as np
from worlds.old import KINDS, Simulated, simulate

from threequarter.chart.posterior import infer
from threequarter.chart.prepare import prepare
from threequarter.chart.two_swings import BAR, find_two_swings


def gains(session: Simulated, bar: float) -> tuple[list[bool], list[bool]]:
    """Whether each two-swing cell was found, and whether each normal cell with enough balls was called."""
    readings = prepare(session.balls)
    called = {readings.names[found.cell] for found in find_two_swings(readings, infer(readings), bar)}
    keys = {(name.club, name.swing) for name in called}
    enough = [cell for cell in session.cells if cell.balls >= 8]
    two = [(c.club, c.swing) in keys for c in enough if c.second_m is not None]
    normal = [(c.club, c.swing) in keys for c in enough if c.second_m is None]
    return two, normal


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--sessions", type=int, default=120)
    parser.add_argument("--bar", type=float, default=BAR)
    chosen = parser.parse_args()
    rng = np.random.default_rng(5)
    print(f"{'gap in spreads':>15s} {'balls':>6s} {'cells':>6s} {'found':>8s}")
    for gap in (2.0, 2.5, 3.0, 3.5, 4.0, 5.0):
        for balls in (8, 10, 20):
            found: list[bool] = []
            for _ in range(chosen.sessions // 6):
                found += gains(simulate(rng, "two_swings", balls, gap_spreads=gap), chosen.bar)[0]
            print(f"{gap:15.1f} {balls:6d} {len(found):6d} {100 * np.mean(found):7.0f} %")
    normal: list[bool] = []
    for i in range(chosen.sessions):
        kinds = [kind for kind in KINDS if kind not in ("identical", "one_ball")]
        normal += gains(simulate(rng, kinds[i % len(kinds)], 10), chosen.bar)[1]
    print(f"normal cells called: {sum(normal)} of {len(normal)} ({100 * np.mean(normal):.2f} %)")


if __name__ == "__main__":
    main()
