"""Following the advice until it says stop: balls, changes of club, what was promised and kept, and whether the forecast of balls was right.

    python benchmarks/advice.py [--kinds nominal,...] [--players 20] [--most 200]

Players with known truth are those of `benchmarks/worlds`, made apart from the chart's model. Each begins with one ball a shot; then the
advice is followed block by block. "kept": shots no further off than the advice's own goal; "promise": no further off than 2 yards or 3 %.
"forecast": balls to go said half-way through what was then really hit, over what was hit. "changes/60": changes of club in 60 balls of the whole
session, whose first ball of each shot comes in an order that is drawn, not advised; "asked/60": those that the advice asked for in 60 of its balls.
"""

import argparse
from collections.abc import Sequence
from itertools import pairwise

import numpy as np
from players_by_others import as_ball
from worlds.next_days import Asked, Followed, follow
from worlds.players_kinds import KINDS
from worlds.players_truth import Row

from threequarter.chart.fit import fit_chart
from threequarter.chart.goal import promise_m
from threequarter.chart.next_ball import Advice, advise
from threequarter.golf.ball import Ball


def balls_of(rows: Sequence[Row]) -> list[Ball]:
    """Rows of the simulated world as balls."""
    return [as_ball(row) for row in rows]


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--kinds", default="")
    parser.add_argument("--players", type=int, default=12)
    parser.add_argument("--most", type=int, default=200)
    chosen = parser.parse_args()
    kinds = [kind for kind in chosen.kinds.split(",") if kind] or list(KINDS)
    print(
        f"{'kind':34s} {'balls 10/50/90 %':>18s} {'stop':>5s} {'changes/60':>10s} {'asked/60':>8s} {'held':>5s} {'kept':>5s} {'promise':>7s} {'forecast':>8s}"
    )
    for kind in kinds:
        print(f"{kind:34s} {line(kind, chosen.players, chosen.most)}", flush=True)


def line(kind: str, players: int, most: int) -> str:
    balls, stops, changes, held, kept, promised, forecast = [], [], [], [], [], [], []
    asked_for, advised = 0, 0
    for number in range(players):
        said: list[tuple[int, Advice]] = []

        def asked(rows: Sequence[Row], said: list[tuple[int, Advice]] = said) -> Asked | None:
            hit = balls_of(rows)
            advice = advise(fit_chart(hit), hit)
            said.append((len(hit), advice))
            if advice.stop or not advice.suggestions:
                return None
            first = advice.suggestions[0]
            return Asked(club=first.cell.club, swing=first.cell.swing, balls=first.balls)

        followed = follow(kind, number, asked, most=most)
        count, last = said[-1]
        stops.append(last.stop)
        balls.append(len(followed.session.rows))
        changes.append(60 * followed.club_changes / len(followed.session.rows))
        rows = followed.session.rows[said[0][0] - 1 :]
        asked_for, advised = asked_for + sum(a.club != b.club for a, b in pairwise(rows)), advised + len(rows) - 1
        if last.stop:
            a, b, c = judged(followed, last)
            held.append(a), kept.append(b), promised.append(c)
            start = said[0][0]
            middle = min(said, key=lambda one: abs(one[0] - (start + count) / 2))
            if count - middle[0] >= 6:
                forecast.append((middle[1].balls_to_go, count - middle[0]))
    told = np.array(forecast, dtype=float).reshape(-1, 2).sum(axis=0)
    low, mid, high = np.quantile(balls, [0.1, 0.5, 0.9])
    return (
        f"{low:5.0f} {mid:5.0f} {high:5.0f}   {np.mean(stops):5.2f} {np.mean(changes):10.1f} {60 * asked_for / max(advised, 1):8.1f} {_mean(held):5.2f} {_mean(kept):5.2f} {_mean(promised):7.2f} "
        f"{told[0] / told[1] if told[1] else np.nan:8.2f}"
    )


def judged(followed: Followed, last: Advice) -> tuple[float, float, float]:
    """Shares of the shots whose range holds the truth, that are as near as the advice's goal, and as near as 2 yards or 3 %."""
    rows = []
    for cell, goal in zip(last.plan, last.goals_m, strict=True):
        truth = followed.session.cells.get((cell.club, cell.swing))
        if truth is None or truth.second_m is not None:
            continue
        error = abs(cell.stock_carry_m - truth.stock_m)
        inside = cell.stock90_m.low <= truth.stock_m <= cell.stock90_m.high
        rows.append((inside, error <= goal, error <= promise_m(cell.stock_carry_m)))
    a, b, c = np.array(rows, dtype=float).mean(axis=0)
    return float(a), float(b), float(c)


def _mean(values: Sequence[float]) -> float:
    return float(np.mean(values)) if values else float("nan")


if __name__ == "__main__":
    main()
