"""Do the chart's 90 % intervals hold 90 % of the time, on simulated players of every kind? Prints a row a kind.

    python benchmarks/chart_calibration.py [--sessions 400] [--seed 1] [--launch]

The players are simulated (see worlds/old.py); the binomial 90 % interval stands beside each share.
"""

import argparse
import time

import numpy as np
from scipy.stats import t as student
from worlds.old import KINDS, Simulated, coverage, many

from threequarter.chart.fit import fit_chart


def rows(session: Simulated) -> tuple[list[dict[str, float]], int, int, int]:
    chart = fit_chart(session.balls, also=[(c.club, c.swing) for c in session.cells])
    found = []
    scale = np.sqrt((session.tail_df - 2) / session.tail_df)
    for true in session.cells:
        if true.second_m is not None:
            continue
        cell = chart.cell(true.club, true.swing)
        ends = (np.array([cell.next90_m.low, cell.next90_m.high]) - true.next_m) / (true.sd_m * scale)
        found.append(
            {
                "error": cell.stock_carry_m / true.stock_m - 1,
                "held": cell.stock90_m.low <= true.stock_m <= cell.stock90_m.high,
                "next": float(np.diff(student.cdf(ends, session.tail_df))[0]),
                "width": (cell.stock90_m.high - cell.stock90_m.low) / true.stock_m,
                "hit": true.balls > 0,
            }
        )
    called = {v.number for v in chart.verdicts if v.mishit}
    hits = len(called & session.mishits)
    return found, hits, len(called - session.mishits), len(session.mishits - called)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--sessions", type=int, default=400)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--launch", action="store_true", help="every ball has a launch angle and a backspin")
    chosen = parser.parse_args()
    start = time.perf_counter()
    lot = many(chosen.seed, chosen.sessions, launch=chosen.launch)
    by_kind: dict[str, list[dict[str, float]]] = {}
    counts = np.zeros(3)
    for session in lot:
        found, *marks = rows(session)
        counts += marks
        for row in found:
            by_kind.setdefault(session.kind, []).append(row)
            by_kind.setdefault("never hit" if not row["hit"] else "all hit", []).append(row)
    print(
        f"{'kind':12s} {'cells':>6s} {'error %':>8s} {'width %':>8s} {'90 % interval held':>26s} {'next good ball':>15s}"
    )
    for kind in ("all hit", "never hit", *KINDS):
        if found := by_kind.get(kind):
            held, low, high = coverage(np.array([row["held"] for row in found]))
            error = 100 * np.sqrt(np.mean([row["error"] ** 2 for row in found]))
            following = 100 * np.mean([row["next"] for row in found])
            width = 100 * np.mean([row["width"] for row in found])
            print(
                f"{kind:12s} {len(found):6d} {error:8.2f} {width:8.2f} {held:10.1f} ({low:.1f} to {high:.1f}) {following:15.1f}"
            )
    print(
        f"mishits: F1 {2 * counts[0] / (2 * counts[0] + counts[1] + counts[2]):.3f}; {time.perf_counter() - start:.0f} s"
    )


if __name__ == "__main__":
    main()
