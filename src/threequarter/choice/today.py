"""The shots a player has for one number today: the chart moved to the day, the lie, and swings in between two of the chart."""

import itertools
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, Literal

import numpy as np
from numpy.typing import NDArray

from threequarter.chart import priors
from threequarter.chart.day import DayChart, move_chart
from threequarter.chart.result import Chart
from threequarter.choice.shot import WORLDS, ShotModel
from threequarter.flight.ground import Firmness
from threequarter.flight.weather import Weather
from threequarter.golf.ball import Ball

Floats = NDArray[np.float64]
LieNow = Literal["fairway", "wet", "rough", "bare"]


@dataclass(frozen=True, slots=True, kw_only=True)
class LieEffect:
    """What a lie does: log carry and its doubt, spread and mishits times, run-out times and metres more with its doubt."""

    carry: float
    carry_sd: float
    spread: float
    mishits: float
    run_times: float
    run_more_m: float


LIES: Final[dict[LieNow, LieEffect]] = {
    "fairway": LieEffect(carry=0.0, carry_sd=0.0, spread=1.0, mishits=1.0, run_times=1.0, run_more_m=0.0),
    "wet": LieEffect(carry=0.0, carry_sd=0.02, spread=1.1, mishits=1.1, run_times=1.3, run_more_m=1.0),
    "rough": LieEffect(carry=-0.03, carry_sd=0.04, spread=1.3, mishits=1.3, run_times=1.6, run_more_m=2.0),
    "bare": LieEffect(carry=0.0, carry_sd=0.01, spread=1.1, mishits=1.5, run_times=1.0, run_more_m=0.0),
}
"""Common practice, no source: wet or grassy faces take spin, so the ball runs; rough takes some speed and is less sure."""
UNHIT_SPREAD: Final = 1.3
BETWEEN_CENTRE: Final = 0.2
"""A swing that nobody has hit yet is this much wider, and one between two others may land a fifth of the step between them (SD) from
where it is meant to. Common practice, no source."""
LEAST_SIDES: Final = 6
MOST_MISHITS: Final = 0.6
SEED_BETWEEN: Final = 23


def shot_models(
    chart: Chart,
    balls: Sequence[Ball],
    made: Weather,
    day: Weather,
    *,
    firmness: Firmness = "normal",
    lie: LieNow = "fairway",
    to_m: float | None = None,
) -> tuple[list[ShotModel], DayChart]:
    """Every shot of the chart as it flies today, and with `to_m` a swing between two neighbours that bracket the number."""
    moved = move_chart(chart, balls, made, day, firmness=firmness, worlds=WORLDS)
    at = chart.worlds(WORLDS)
    effect = LIES[lie]
    rng = np.random.default_rng(17)
    grass = effect.carry + effect.carry_sd * rng.standard_normal(WORLDS)
    side_sd = side_spread(chart, balls)
    rate = np.minimum(MOST_MISHITS, chart.draws_mishit_rate[at] * effect.mishits)
    another_day = chart.another_day_sd * rng.standard_normal(WORLDS)
    models = [
        ShotModel(
            club=cell.club,
            swing=cell.swing,
            log_carry=chart.draws_log_carry[at, i] + moved.log_ratio[:, i] + grass + another_day,
            log_sd=chart.draws_log_sd[at, i] + np.log(effect.spread * (1.0 if cell.balls else UNHIT_SPREAD)),
            tail_df=chart.tail_df,
            mishit_rate=rate[:, i],
            side_sd=side_sd,
            side_m=moved.side_m[:, i],
            run_m=effect.run_times * moved.run_m[:, i] + effect.run_more_m,
            never_hit=cell.balls == 0,
        )
        for i, cell in enumerate(chart.cells)
    ]
    if to_m is not None:
        models += _between(chart, models, to_m)
    return models, moved


def side_spread(chart: Chart, balls: Sequence[Ball]) -> float:
    """Relative SD of how far good balls end to the side, from the balls where they tell, else as usual."""
    good = {verdict.number for verdict in chart.verdicts if not verdict.mishit}
    sides = np.array([b.offline_m / b.distance_m for b in balls if b.offline_m is not None and b.number in good])
    if len(sides) < LEAST_SIDES:
        return priors.SIDE_SD
    robust = 1.4826 * float(np.median(np.abs(sides - np.median(sides))))
    n, before = len(sides), priors.SIDE_BALLS
    return float(np.sqrt((before * priors.SIDE_SD**2 + n * robust**2) / (before + n)))


def _between(chart: Chart, models: Sequence[ShotModel], to_m: float) -> list[ShotModel]:
    """For each club the swing between the two next to the number in carry plus run, swung so that it ends there."""
    ends = [float(np.median(np.exp(model.log_carry) + model.run_m)) for model in models]
    found = []
    for club in chart.clubs:
        mine = sorted((i for i, model in enumerate(models) if model.club == club), key=lambda i: ends[i])
        for short, long in itertools.pairwise(mine):
            gap = ends[long] - ends[short]
            if not ends[short] < to_m < ends[long] or gap < 4.0:
                continue
            share = (to_m - ends[short]) / gap
            if 0.2 < share < 0.8:
                found.append(_mixed(models[short], models[long], share))
    return found


def _mixed(short: ShotModel, long: ShotModel, share: float) -> ShotModel:
    def mix(a: Floats, b: Floats) -> Floats:
        return np.asarray((1 - share) * a + share * b)

    step = float(np.median(long.log_carry - short.log_carry))
    off = BETWEEN_CENTRE * abs(step) * np.random.default_rng(SEED_BETWEEN).standard_normal(len(short.log_carry))
    return ShotModel(
        club=short.club,
        swing=f"{short.swing}-{long.swing}",
        log_carry=mix(short.log_carry, long.log_carry) + off,
        log_sd=mix(short.log_sd, long.log_sd) + np.log(UNHIT_SPREAD),
        tail_df=short.tail_df,
        mishit_rate=mix(np.asarray(short.mishit_rate), np.asarray(long.mishit_rate)),
        side_sd=short.side_sd,
        side_m=mix(short.side_m, long.side_m),
        run_m=mix(short.run_m, long.run_m),
        between=(short.swing, long.swing),
        never_hit=True,
    )
