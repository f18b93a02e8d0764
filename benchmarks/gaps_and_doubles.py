"""Are gaps and doubles there as often as the chart says, on players made apart from the model?

    python benchmarks/gaps_and_doubles.py [--kinds NAME,...] [--players 10] [--seed 0]

Every pair of shots that may be one number, and every step between neighbouring stock carries, by the chance that was said; beside it the share that
truly is one by the player's true stock carries of those days and his true spread. "told": doubles and gaps as the chart names them.
"""

import argparse
from collections.abc import Iterable
from itertools import pairwise

import numpy as np
from players_by_others import balls
from worlds.players import half, make
from worlds.players_truth import Session

from threequarter.chart.fit import fit_chart
from threequarter.chart.gaps import LEAST_GAP_M, TOLD_FROM, openings
from threequarter.chart.goal import promise_m
from threequarter.chart.meaning import DOUBLE_FROM
from threequarter.chart.result import Chart
from threequarter.golf.errors import UserError

BINS = (0.0, 0.02, 0.1, 0.25, 0.5, 0.75, 0.9, 1.001)
Said = tuple[float, bool]


def doubles(chart: Chart, session: Session) -> Iterable[Said]:
    """Chance that two shots are one number, and whether they are; pairs that the chart looks at."""
    carry = np.exp(chart.draws_log_carry)
    true = [session.cells[cell.club, cell.swing].stock_m for cell in chart.cells]
    for i, one in enumerate(chart.cells):
        for j in range(i + 1, len(chart.cells)):
            allowed = promise_m((one.stock_carry_m + chart.cells[j].stock_carry_m) / 2)
            if abs(one.stock_carry_m - chart.cells[j].stock_carry_m) <= 3 * allowed:
                yield float((np.abs(carry[:, i] - carry[:, j]) <= allowed).mean()), abs(true[i] - true[j]) <= allowed


def steps(chart: Chart, session: Session) -> Iterable[Said]:
    """Chance of a gap above each shot but the longest, and whether it is there."""
    order = np.argsort([cell.stock_carry_m for cell in chart.cells])
    cells = [session.cells[chart.cells[i].club, chart.cells[i].swing] for i in order]
    true = np.array([[cell.stock_m for cell in cells]])
    spread = float(np.median([cell.good_sd_m / cell.stock_m for cell in cells]))
    said = openings(np.exp(chart.draws_log_carry)[:, order], float(np.exp(np.median(chart.draws_log_sd))))
    there = openings(true, spread)
    for k in range(len(order) - 1):
        chance = float((said[1][:, k + 1] - said[0][:, k] > LEAST_GAP_M).mean())
        yield chance, bool(there[1][0, k + 1] - there[0][0, k] > LEAST_GAP_M)


def table(what: str, said: list[Said], told_from: float) -> str:
    """Said and true by the chance that was said, and of those that are told."""
    chance, true = np.array(said, dtype=float).T
    lines = [f"{what}: {len(said)} looked at, chance said {chance.mean():.3f}, true {true.mean():.3f}"]
    for low, high in pairwise(BINS):
        at = (chance >= low) & (chance < high)
        if at.any():
            lines.append(
                f"  {low:4.2f} to {min(high, 1):4.2f}: {at.sum():5d}  said {chance[at].mean():.2f}  true {true[at].mean():.2f}"
            )
    at = chance >= told_from
    lines.append(
        f"  told: {at.sum()}, of which true {true[at].mean():.2f} (said {chance[at].mean():.2f}); of the true ones told {at[true > 0].mean():.2f}"
    )
    base = true.mean()
    lines.append(f"  Brier skill {1 - ((chance - true) ** 2).mean() / (base * (1 - base)):+.2f}")
    return "\n".join(lines)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--kinds", default="")
    parser.add_argument("--half", choices=("tuned", "reported", "all"), default="reported")
    parser.add_argument("--players", type=int, default=4)
    parser.add_argument("--seed", type=int, default=0)
    chosen = parser.parse_args()
    pairs: list[Said] = []
    gaps: list[Said] = []
    for kind in chosen.kinds.split(",") if chosen.kinds else half(chosen.half):
        for number in range(chosen.players):
            session = make(kind, number, chosen.seed)
            try:
                chart = fit_chart(balls(session))
                pairs += doubles(chart, session)
                gaps += steps(chart, session)
            except (UserError, KeyError):
                continue
    print(table("doubles", pairs, DOUBLE_FROM))
    print(table("gaps", gaps, TOLD_FROM))


if __name__ == "__main__":
    main()
