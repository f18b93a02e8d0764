"""The posterior of a session: readings to the sampler's input, its answer to named arrays.

Gibbs sampling with mishit classes, tail weights and cell deviations as latent values (Geman & Geman 1984, IEEE Trans.
Pattern Anal. 6, 721-741; partially collapsed, van Dyk & Park 2008, J. Am. Stat. Assoc. 103, 790-796). The sampler is
`threequarter/core/*.c`; the model stands in docs/chart-model.md.
"""

from collections.abc import Collection
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr

from threequarter import core
from threequarter.chart import priors
from threequarter.chart.prepare import Readings
from threequarter.chart.strike_signs import launch_factors, noted_factors, side_factors

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]

KEEP: Final = 400
WORK: Final = 66_000
MOST_SWEEPS: Final = 2000
PART_SWEEPS: Final = 120
JUMPS: Final = 3
SEED: Final = 54
PER_CELL: Final = ("centre", "variance", "drawn", "last_day", "log_sd", "mishits", "rest_mean", "rest_variance")
PER_SWEEP: Final = ("soft", "cell_scale", "drift", "warm_up", "day_sd", "level")
CLASSES: Final = 2 + len(priors.KINDS)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Posterior:
    """Kept sweeps of one session.

    Shape (kept, cells): `centre` and `variance` of each cell's log stock centre given the rest of a sweep, `drawn` the joint
    draw, `last_day` what the last day adds to it, `log_sd` the log spread, `mishits` the rate, `rest_mean` and
    `rest_variance` those of the cell's own deviation. Shape (kept,): `soft` the share of soft good strikes, `cell_scale`,
    `drift` (log carry per hundred balls), `warm_up`, `day_sd`, `level`. `classes` (n, 1 + kinds): probability of good and
    of each kind of mishit for every reading; `shift` (n,): what day, warm-up and drift add to each reading.
    """

    centre: Floats
    variance: Floats
    drawn: Floats
    last_day: Floats
    log_sd: Floats
    mishits: Floats
    rest_mean: Floats
    rest_variance: Floats
    soft: Floats
    cell_scale: Floats
    drift: Floats
    warm_up: Floats
    day_sd: Floats
    level: Floats
    classes: Floats
    shift: Floats

    def disagreeing(self) -> Floats:
        """Chance (cells,) that a cell's own deviation is larger than `priors.OFF_FROM`."""
        sd = np.sqrt(self.rest_variance)
        return np.asarray(
            1 - (ndtr((priors.OFF_FROM - self.rest_mean) / sd) - ndtr((-priors.OFF_FROM - self.rest_mean) / sd)).mean(0)
        )

    def others_m(self) -> Floats:
        """Where (cells,) the other shots would have each cell, in metres."""
        return np.asarray(np.exp(np.median(self.centre - self.rest_mean, axis=0)))


def infer(
    readings: Readings, *, warm: bool | None = None, freed: Collection[int] = (), part: bool = False, seed: int = SEED
) -> Posterior:
    """The posterior of all centres, spreads and mishit rates of a session.

    `warm`: whether balls were hit before the first one, None where it is not known. `freed`: cells that are not held near
    the others. `part`: a short run, for a look at part of a session.
    """
    run = _run(readings, part)
    keep = run[1]
    order, groups = _groups(readings)
    numbers = np.concatenate(
        [
            _head(readings, [len(groups), *run, seed], warm),
            *_cells(readings, freed),
            *_balls(readings, order, groups),
        ]
    )
    cells, n, days = len(readings.names), len(order), readings.days
    sizes = len(PER_CELL) * keep * cells, len(PER_SWEEP) * keep, CLASSES * n, days * len(readings.swings)
    answer = core.call("run", np.ascontiguousarray(numbers, dtype=np.float64), sum(sizes))
    by_cell, by_sweep, chances, by_day = np.split(answer, np.cumsum(sizes)[:-1])
    named = dict(zip(PER_CELL, by_cell.reshape(len(PER_CELL), keep, cells), strict=True))
    named |= dict(zip(PER_SWEEP, by_sweep.reshape(len(PER_SWEEP), keep), strict=True))
    sorted_classes = chances.reshape(CLASSES, n).T
    classes = np.empty((n, 1 + len(priors.KINDS)))
    classes[order, 0] = sorted_classes[:, 0] + sorted_classes[:, 1]
    classes[order, 1:] = sorted_classes[:, 2:]
    shift = by_day.reshape(days, -1)[readings.day, _swing(readings)[readings.cell]]
    shift = shift + named["warm_up"].mean() * _fade(readings) + named["drift"].mean() * ball_time(readings)
    return Posterior(**named, classes=classes, shift=shift)


def _run(readings: Readings, part: bool) -> tuple[int, int, int, int]:
    """Sweeps before the first is kept, sweeps kept, sweeps they are kept of, and cells that try a jump in each sweep.

    A session of few balls has more modes, and a sweep of it costs less.
    """
    if part:
        return PART_SWEEPS // 3, PART_SWEEPS, PART_SWEEPS, JUMPS
    cells, balls = len(np.unique(readings.cell)), len(readings.cell)
    sweeps = int(np.clip(WORK / (balls + 4 * cells + 20), KEEP, MOST_SWEEPS))
    return sweeps // 4, KEEP, sweeps, JUMPS


def _believed(readings: Readings) -> priors.Believed:
    """What is believed of a session by how many shots it holds, and whether they are full swings."""
    hit = np.unique(readings.cell).tolist()
    if len(hit) > priors.FEW_SHOTS:
        return priors.MANY
    full = all((readings.names[i].length.reach or 0) >= 1 for i in hit)
    return priors.FEW_FULL if full else priors.FEW


def _head(readings: Readings, run: list[int], warm: bool | None) -> Floats:
    """The single numbers, in the order of `enum Input` in core/model.h."""
    clock = any(name.length.kind == "clock" for name in readings.names)
    counts = (len(readings.log_carry), len(readings.names), len(readings.clubs), len(readings.swings), readings.days)
    believed = _believed(readings)
    warm_up = believed.warm_up if warm is None else priors.WARM_UP[warm]
    scale_prior = -0.5 * ((np.log(priors.CELL_SCALES) - priors.CELL_SCALE_LOG[0]) / priors.CELL_SCALE_LOG[1]) ** 2
    return np.concatenate(
        [
            [*counts, *run, clock],
            [priors.FULL_54_SD, priors.SLOPE_SD, priors.CLOCK_POWER_SD, *warm_up, priors.DRIFT_SD],
            [priors.CLUB_SD, priors.DAY_SWING_PART, priors.FREE_SD, priors.OFF_SHARE],
            [*believed.spread_log, priors.SPREAD_CLUB_SD, priors.SPREAD_SLOPE_SD, priors.CELL_SPREAD_SD],
            [priors.MISHIT_CLUB_SD, priors.MISHIT_SWING_SD, priors.MISHIT_CELL_SD],
            [*believed.soft_beta, priors.SOFT_SHIFT, priors.SOFT_SD],
            *(priors.CELL_SCALES, scale_prior, priors.SWING_SCALES, np.log(priors.SWING_SCALE_PRIOR)),
            *(priors.DAY_SDS, np.log(priors.DAY_SD_PRIOR)),
            *(np.log(priors.MISHIT_GRID / (1 - priors.MISHIT_GRID)), np.log(believed.mishit_prior)),
            *(priors.MISHIT_SCALES, np.log(priors.MISHIT_SCALE_PRIOR)),
            *(priors.KIND_SHIFT, priors.KIND_SD, priors.KIND_SHARE),
        ]
    )


def _swing(readings: Readings) -> Ints:
    """Index (cells,) of each cell's swing length."""
    return np.arange(len(readings.names)) % len(readings.swings)


def _cells(readings: Readings, freed: Collection[int]) -> list[Floats]:
    """The arrays of cells, clubs and swings; clubs x swings in the order of `readings.names`."""
    names, swings = readings.names, len(readings.swings)
    club = np.arange(len(names)) // swings
    loft = np.array([name.loft_prior_deg[0] for name in names]) - priors.LOFT_REF_DEG
    own = np.array([name.length.reach is None for name in names])
    reach = np.array([name.length.reach or priors.OWN_SWING_REACH for name in names])
    clock = np.array([name.length.kind == "clock" for name in names])
    places = np.arange(len(names))
    first = np.concatenate([[0], np.cumsum(np.bincount(_cell_of_groups(readings), minlength=len(names)))])
    middle = np.zeros(len(names))
    for cell in np.unique(readings.cell):
        middle[cell] = np.median(readings.log_carry[readings.cell == cell])
    log_reach = np.log(reach)
    length = np.where(own, 0.0, log_reach - log_reach[~own].mean()) if not own.all() else np.zeros(len(names))
    sd = np.where(clock, priors.CLOCK_SD, priors.SWING_SD) * np.sqrt(1 - np.minimum(reach, 1))
    sd = np.where(own, priors.OWN_SWING_SD, sd + np.where(clock, priors.CLOCK_SD_FLOOR, priors.SWING_SD_FLOOR))
    guessed = (priors.SLOPE_PER_DEG * np.array([name.loft_prior_deg[1] for name in names])) ** 2
    offset = priors.FULL_54_LOG_M + priors.SLOPE_PER_DEG * loft + log_reach
    return [
        *(club, _swing(readings), first, offset, loft, np.where(clock, log_reach, 0.0), length),
        *(np.isin(places, list(freed)).astype(float), middle, guessed[::swings], sd[:swings]),
    ]


def _groups(readings: Readings) -> tuple[Ints, Ints]:
    """The order that puts balls of one cell and day in a row, and how many balls each such group has."""
    key = readings.cell * readings.days + readings.day
    order = np.argsort(key, kind="stable")
    return order, np.unique(key, return_counts=True)[1]


def _cell_of_groups(readings: Readings) -> Ints:
    return np.unique(readings.cell * readings.days + readings.day) // readings.days


def _fade(readings: Readings) -> Floats:
    return np.asarray(np.exp(-readings.order / priors.WARM_UP_BALLS))


def ball_time(readings: Readings) -> Floats:
    """Hundreds of balls from the middle of each day's balls."""
    time = np.empty(len(readings.order))
    for day in range(readings.days):
        mine = readings.day == day
        time[mine] = (readings.order[mine] - (readings.order[mine].min() + readings.order[mine].max()) / 2) / 100
    return time


def _balls(readings: Readings, order: Ints, counts: Ints) -> list[Floats]:
    """The arrays of groups and balls."""
    key = np.unique(readings.cell * readings.days + readings.day)
    signs = side_factors(readings) + launch_factors(readings) + noted_factors(readings)
    signs = np.exp(signs - signs.max(axis=1, keepdims=True))[order].T
    start = np.concatenate([[0], np.cumsum(counts)])
    return [
        *(key // readings.days, key % readings.days, start),
        *(_fade(readings)[order], ball_time(readings)[order], readings.noise[order], 1 / readings.count[order]),
        *(signs.ravel(), readings.log_carry[order]),
    ]
