"""How often each check of the chart speaks, kind by kind: where there is a fault, and where there is none.

    python benchmarks/chart_checks.py [--sessions 20] [--seed 7] [--kinds NAME,NAME]

Sets the bounds in threequarter/chart/checks.py and units_check.py: a session without a fault is to fail a check seldom.
"""

import argparse
import collections

from players_by_others import balls
from worlds.players import make

from threequarter.chart.fit import fit_chart

EVEN = ("nominal_by_club", "nominal_random_order", "wild_15", "spread_by_club", "mishits_40", "clock_other_shares")
FAULTY = (
    *("dose_-16", "dose_+24", "swapped_pair", "third_in_metres", "drops_under_35", "drops_under_45"),
    "fatigue_8",
    "fatigue_8_by_club",
)


def main() -> None:
    ask = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    ask.add_argument("--sessions", type=int, default=20)
    ask.add_argument("--seed", type=int, default=7)
    ask.add_argument("--kinds", default=",".join(EVEN + FAULTY))
    told = ask.parse_args()
    for kind in told.kinds.split(","):
        spoke: collections.Counter[str] = collections.Counter()
        for number in range(told.sessions):
            chart = fit_chart(balls(make(kind, number, told.seed)))
            drift = [
                note.code for note in chart.notes if note.code in ("chart.shorter", "chart.longer", "chart.blocks")
            ]
            asked = [f"asked {note.code}" for note in chart.notes if note.code.startswith("chart.check.")]
            spoke.update({*(check.code for check in chart.checks), *drift, *asked})
        shares = ", ".join(f"{code} {count / told.sessions:.2f}" for code, count in sorted(spoke.items()))
        print(f"{kind:24s} {shares or 'nothing'}", flush=True)


if __name__ == "__main__":
    main()
