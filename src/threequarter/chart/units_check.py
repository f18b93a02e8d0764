"""Mixed units: a run of balls that all lie at 0.914 or 1.094 of where the others put them.

A change-point test: the log likelihood gained by moving a run of successive balls by the ratio of yard and metre, in a
Gaussian model of the session (loft line, clubs, lengths, cells, drift; mishits made light).
"""

from typing import Final

import numpy as np
from numpy.typing import NDArray

from threequarter.chart import priors
from threequarter.chart.posterior import Posterior, ball_time
from threequarter.chart.prepare import Readings
from threequarter.chart.prior_field import base_covariance
from threequarter.golf.message import Message
from threequarter.golf.units import YARD_M

Floats = NDArray[np.float64]

MOST_BALLS: Final = 240
"""More balls than this are looked at by every so many-th."""
MOST_EDGES: Final = 30
LEAST_RUN: Final = 6
GAIN: Final = 1.5
GAIN_ASKED: Final = -2.3
"""Log likelihood that a run must gain, beyond the log of how many runs there are, to be called another unit or to be asked for. Of 126 players
without the fault 3 came above the second, of 30 with the last third in metres 9 (`benchmarks/chart_checks.py`, 22 kinds, seeds 21 and 22)."""
MISHIT_SD: Final = 0.3
CLUB_SD, CELL_SD = 0.012, 0.017


def other_unit(readings: Readings, posterior: Posterior) -> tuple[float, Message | None]:
    """The run of balls that looks most as if measured in another unit than the rest, and what that gains; None where there are too few."""
    if len(readings.cell) < 3 * LEAST_RUN:
        return -np.inf, None
    gained, start, end, move = best_run(readings, posterior)
    code = "chart.check.unit_short" if move < 0 else "chart.check.unit_long"
    return gained, Message(code, first_number=readings.numbers[start][0], last_number=readings.numbers[end][-1])


def best_run(readings: Readings, posterior: Posterior) -> tuple[float, int, int, float]:
    """The run that gains most by being moved: gain less the log of how many runs there are, first and last reading, move."""
    rows = np.argsort(readings.day * 1e6 + readings.order, kind="stable")
    rows = rows[:: max(1, -(-len(rows) // MOST_BALLS))]
    n = len(rows)
    mean, covariance = _session(readings, posterior, rows)
    inverse = np.linalg.inv(covariance)
    pull = np.concatenate([[0], np.cumsum(inverse @ (readings.log_carry[rows] - mean))])
    block = np.zeros((n + 1, n + 1))
    block[1:, 1:] = inverse.cumsum(axis=0).cumsum(axis=1)
    first, last = _runs(readings.cell[rows])
    own = np.diagonal(block)
    weight = own[last] + own[first] - 2 * block[first, last]
    best: tuple[float, int, int, float] = (-np.inf, 0, 0, 0.0)
    for move in (np.log(YARD_M), -np.log(YARD_M)):
        gain = move * (pull[last] - pull[first]) - 0.5 * move**2 * weight
        k = int(np.argmax(gain))
        best = max(
            best, (float(gain[k] - np.log(len(first))), int(rows[first[k]]), int(rows[last[k] - 1]), float(move))
        )
    return best


def _runs(cell: NDArray[np.intp]) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """First and last (exclusive) of runs from the start or to the end, and of those between changes of the shot."""
    n = len(cell)
    cut = np.arange(n + 1)
    edges = np.concatenate([[0], 1 + np.flatnonzero(np.diff(cell)), [n]])
    i, j = np.triu_indices(len(edges) if len(edges) <= MOST_EDGES else 0, 1)
    first = np.concatenate([np.zeros(n + 1, dtype=np.intp), cut, edges[i]])
    last = np.concatenate([cut, np.full(n + 1, n), edges[j]])
    fair = (last - first >= LEAST_RUN) & (last - first <= n - LEAST_RUN)
    return first[fair], last[fair]


def _session(readings: Readings, posterior: Posterior, rows: NDArray[np.intp]) -> tuple[Floats, Floats]:
    """Mean (n,) and covariance (n, n) of some readings before they are seen, mishits with a wide error of their own."""
    cell = readings.cell[rows]
    centre, base = base_covariance(readings.names, club_sd=CLUB_SD, cell_sd=CELL_SD)
    odd = np.abs(posterior.rest_mean.mean(axis=0)) > priors.OFF_FROM  # one cell off the line is no other unit
    covariance = (base + np.diag(odd * priors.FREE_SD**2))[np.ix_(cell, cell)]
    time, fade = ball_time(readings)[rows], np.exp(-readings.order[rows] / priors.WARM_UP_BALLS)
    covariance += priors.DRIFT_SD**2 * np.outer(time, time) + 0.02**2 * np.outer(fade, fade)
    day = readings.day[rows]
    if readings.days > 1:
        covariance += 0.02**2 * (day[:, None] == day)
    spread = np.exp(posterior.log_sd.mean(axis=0))[cell]
    bad = 1 - posterior.classes[rows, 0]
    noise = spread**2 / readings.count[rows] + readings.noise[rows] + bad * MISHIT_SD**2
    return centre[cell], covariance + np.diag(noise)
