"""What does the first shot of a choice cost against the best one, on players made apart from the model?

    python benchmarks/choosing_by_others.py [--kinds nominal_any_bag,...] [--players 20] [--seed 0]

Each player is charted as his kind says and plays another day, mishits and all, to three numbers within his reach on greens drawn at random, half of
them with sand on one side. The oracle knows what each of his shots costs on that very day (4 000 balls). "lost" is what the first shot named costs
more; "knows him" what the choice costs of one who knows the player's long run, spread and mishits, but not the day: the least that can be had;
"nearest" what the shot of the nearest median does. No run and no wind, so that nothing but the chart is judged, and no swing between two.
"""

import argparse
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from players_by_others import as_ball
from worlds.next_days import Name, ShotCase, ShotFigures, ShotSaid, judge_shots, shot_case
from worlds.players import rng_of
from worlds.players_hit import sample_with_sides
from worlds.players_kinds import KINDS
from worlds.players_law import draw_law
from worlds.players_truth import Row

from threequarter.chart.fit import fit_chart
from threequarter.chart.result import Chart
from threequarter.choice.green import Green, Trouble, ends
from threequarter.choice.shot import WORLDS, ShotModel, choose
from threequarter.choice.today import MOST_MISHITS, UNHIT_SPREAD, side_spread

USUAL = "nominal_any_bag,nominal_three_clubs,mishits_40,wild_11,spread_by_club,spread_ladder,cells_off_6,one_club_better,one_club_much_better,mishits_on_full_only"
SIDES = ("short", "long", "left", "right")
FROM_M, TO_M = 35.0, 75.0
NUMBERS = 3


DAYS, BALLS_A_DAY = 24, 600


@dataclass(frozen=True, slots=True)
class Faced:
    """A player with a green before him; what he would take who knows the player and not the day."""

    case: ShotCase
    green: Green
    knows_him: Name


def models(chart: Chart, rows: Sequence[Row]) -> list[ShotModel]:
    """Every shot of the chart as it flies on another day in still air."""
    at = chart.worlds(WORLDS)
    another = chart.another_day_sd * np.random.default_rng(17).standard_normal(WORLDS)
    side_sd, nothing = side_spread(chart, [as_ball(row) for row in rows]), np.zeros(WORLDS)
    return [
        ShotModel(
            club=cell.club,
            swing=cell.swing,
            log_carry=chart.draws_log_carry[at, i] + another,
            log_sd=chart.draws_log_sd[at, i] + (0.0 if cell.balls else np.log(UNHIT_SPREAD)),
            tail_df=chart.tail_df,
            mishit_rate=np.minimum(MOST_MISHITS, chart.draws_mishit_rate[at, i]),
            side_sd=side_sd,
            side_m=nothing,
            run_m=nothing,
            never_hit=cell.balls == 0,
        )
        for i, cell in enumerate(chart.cells)
    ]


def faced(kind: str, number: int, turn: int, seed: int) -> Faced:
    """Player `number` of a kind before the green of this `turn`."""
    rng = np.random.default_rng([seed, number, turn])
    trouble = (Trouble(side=SIDES[int(rng.integers(4))], kind="sand"),) if rng.random() < 0.5 else ()  # type: ignore[arg-type]
    green = Green(to_pin_m=float(rng.uniform(FROM_M, TO_M)), pin_m=float(rng.uniform(5, 20)), trouble=trouble)

    def strokes(landed: NDArray[np.float64], _name: Name) -> NDArray[np.float64]:
        return ends(green, landed[:, 0], landed[:, 1], "club").strokes

    case = shot_case(kind, number, green.to_pin_m, strokes, seed=seed)
    law = draw_law(KINDS[kind], rng_of(kind, number, seed))
    cost = {}
    for i, cell in enumerate(law.cells):
        usual = case.session.cells[cell.club, cell.swing].long_run_m / law.heavy_mean
        shifts = [float(law.day_shift(rng)[i]) for _ in range(DAYS)]
        landed = [sample_with_sides(law, i, usual * np.exp(x), rng, mishits=True, count=BALLS_A_DAY) for x in shifts]
        cost[cell.club, cell.swing] = float(strokes(np.concatenate(landed), ("", "")).mean())
    return Faced(case, green, min(sorted(cost), key=lambda name: cost[name]))


def figures(kind: str, players: int, seed: int) -> tuple[ShotFigures, float]:
    """What the first shot costs over all players and numbers of one kind, and what that of one who knows the player does."""
    every, said, knows = [], {}, []
    for number in range(players):
        shots: list[ShotModel] = []
        for turn in range(NUMBERS):
            one = faced(kind, number, turn, seed)
            rows = one.case.session.rows
            if not shots:
                shots = models(fit_chart([as_ball(row) for row in rows]), rows)
            options = choose(shots, one.green, rng=np.random.default_rng(1))
            order = tuple(((o.club, o.swing), o.expected_strokes) for o in options)
            said[one.case.to_m] = ShotSaid(order=order, tied=frozenset((o.club, o.swing) for o in options if o.tied))
            every.append(one.case)
            knows.append(one.case.true_strokes[one.knows_him] - one.case.best)
    return judge_shots(kind, every, lambda _rows, to_m: said[to_m]), float(np.mean(knows))


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--kinds", default=USUAL)
    parser.add_argument("--players", type=int, default=20)
    parser.add_argument("--seed", type=int, default=0)
    chosen = parser.parse_args()
    print(
        f"{'kind':24s} {'shots':>5s} {'lost ± error':>14s} {'knows him':>9s} {'nearest':>8s} {'first is best':>13s} {'said over true':>14s}"
    )
    for kind in chosen.kinds.split(","):
        f, knows = figures(kind, chosen.players, chosen.seed)
        lost = f"{f.lost:.3f} ± {f.lost_error:.3f}"
        print(
            f"{kind:24s} {f.shots - f.no_answer:5d} {lost:>14s} {knows:9.3f} {f.nearest_lost:8.3f} {f.first_is_best:13.2f} {f.said_over_true:+14.3f}",
            flush=True,
        )


if __name__ == "__main__":
    main()
