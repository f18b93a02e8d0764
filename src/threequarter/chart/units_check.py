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
LEAST_RUN: Final = 6
GAIN: Final = 7.0
"""Log likelihood that a run must gain, beyond the log of how many runs there are."""
MISHIT_SD: Final = 0.3
CLUB_SD, CELL_SD = 0.022, 0.025


def other_unit(readings: Readings, posterior: Posterior) -> Message | None:
    """The run of balls that looks measured in another unit than the rest, if there is one."""
    rows = np.argsort(readings.day * 1e6 + readings.order, kind="stable")
    rows = rows[:: max(1, -(-len(rows) // MOST_BALLS))]
    n = len(rows)
    if n < 3 * LEAST_RUN:
        return None
    mean, covariance = _session(readings, posterior, rows)
    inverse = np.linalg.inv(covariance)
    pull = np.concatenate([[0], np.cumsum(inverse @ (readings.log_carry[rows] - mean))])
    block = np.zeros((n + 1, n + 1))
    block[1:, 1:] = inverse.cumsum(axis=0).cumsum(axis=1)
    own = np.diagonal(block)
    first, last = np.triu_indices(n + 1, LEAST_RUN)
    fair = last - first <= n - 2 * LEAST_RUN
    first, last = first[fair], last[fair]
    weight = own[last] + own[first] - 2 * block[first, last]
    best: tuple[float, int, int, float] = (0.0, 0, 0, 0.0)
    for move in (np.log(YARD_M), -np.log(YARD_M)):
        gain = move * (pull[last] - pull[first]) - 0.5 * move**2 * weight
        k = int(np.argmax(gain))
        best = max(best, (float(gain[k]), int(first[k]), int(last[k]), float(move)))
    gained, start, end, move = best
    if gained < GAIN + np.log(n):
        return None
    numbers = readings.numbers
    return Message(
        "chart.check.unit_short" if move < 0 else "chart.check.unit_long",
        first_number=numbers[rows[start]][0], last_number=numbers[rows[end - 1]][-1],
    )  # fmt: skip


def _session(readings: Readings, posterior: Posterior, rows: NDArray[np.intp]) -> tuple[Floats, Floats]:
    """Mean (n,) and covariance (n, n) of some readings before they are seen, mishits with a wide error of their own."""
    cell = readings.cell[rows]
    centre, base = base_covariance(readings.names, club_sd=CLUB_SD, cell_sd=CELL_SD)
    covariance = base[np.ix_(cell, cell)]
    time, fade = ball_time(readings)[rows], np.exp(-readings.order[rows] / priors.WARM_UP_BALLS)
    covariance += priors.DRIFT_SD**2 * np.outer(time, time) + 0.02**2 * np.outer(fade, fade)
    day = readings.day[rows]
    if readings.days > 1:
        covariance += 0.02**2 * (day[:, None] == day)
    spread = np.exp(posterior.log_sd.mean(axis=0))[cell]
    bad = 1 - posterior.classes[rows, 0]
    noise = spread**2 / readings.count[rows] + readings.noise[rows] + bad * MISHIT_SD**2
    return centre[cell], covariance + np.diag(noise)
