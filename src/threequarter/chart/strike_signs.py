"""What a ball tells of its strike beside its carry: where it lay to the side, how it launched, how much it spun.

Each sign gives a log factor by class, (n, 1 + kinds), with 0 where nothing was read. The player's own usual values are
taken from the session itself, robust against mishits.
"""

from typing import Final

import numpy as np
from numpy.typing import NDArray

from threequarter.chart import priors
from threequarter.chart.prepare import Readings

Floats = NDArray[np.float64]

DISBELIEF: Final = 0.02
LEAST_SEEN: Final = 4
LAUNCH_ROUNDS: Final = 6
SURE: Final = 6.0
"""The most, in log odds, that launch and spin together may say about one ball: a device misreads some."""


def side_factors(readings: Readings) -> Floats:
    """Log density of where each ball lay to the side (offline over the carry itself), by class.

    The divisor is the measured carry, not the unknown centre, so no Jacobian enters.
    """
    factor = np.zeros((len(readings.log_carry), 1 + len(priors.KINDS)))
    seen = np.isfinite(readings.side)
    if seen.sum() < LEAST_SEEN:
        return factor
    side = readings.side[seen]
    bias = float(np.median(side)) * seen.sum() / (seen.sum() + priors.SIDE_BALLS)
    robust = 1.4826 * float(np.median(np.abs(side - bias)))
    sd = np.sqrt((priors.SIDE_BALLS * priors.SIDE_SD**2 + seen.sum() * robust**2) / (priors.SIDE_BALLS + seen.sum()))
    off = side - bias
    factor[seen, 0] = _log_normal(off, 0.0, sd)
    for k, wider in enumerate(priors.KIND_SIDE_SD, start=1):
        if priors.KINDS[k - 1] == "toe":
            pair = [_log_normal(off, sign * priors.TOE_SIDE, sd * wider) for sign in (-1, 1)]
            factor[seen, k] = np.logaddexp(*pair) - np.log(2)
        else:
            factor[seen, k] = _log_normal(off, 0.0, sd * wider)
    return factor


def launch_factors(readings: Readings) -> Floats:
    """Log density of launch angle and log backspin beside what is usual for the shot, by class, the good one's taken off.

    A thin strike leaves lower and with less spin, turf or grass between face and ball takes spin, a toe strike a little
    (common practice, no source). What is usual is a plane over loft and length of the shot with a rest for each cell,
    fitted to the balls by their chance of being good.
    """
    factor = np.zeros((len(readings.log_carry), 1 + len(priors.KINDS)))
    seen = np.isfinite(readings.launch_deg) & np.isfinite(readings.log_spin)
    if seen.sum() < max(LEAST_SEEN, priors.LAUNCH_BALLS):
        return factor
    values = np.stack([readings.launch_deg[seen], readings.log_spin[seen]], axis=1)
    design, cell = _shot(readings, seen)
    residual, sd = _usual(values, design, cell, _likely_good(values, cell))
    log_f = factor[seen]
    for _ in range(LAUNCH_ROUNDS):
        log_f = _launch_classes(residual, sd)
        chance = log_f + np.log(np.append(0.8, 0.2 * priors.KIND_SHARE))
        good = np.exp(chance[:, 0] - np.logaddexp.reduce(chance, axis=1))
        residual, sd = _usual(values, design, cell, good)
    factor[seen] = np.clip(log_f - log_f[:, :1], -SURE, SURE)
    return factor


def noted_factors(readings: Readings) -> Floats:
    """Log factors by class for what the player noted: a noted strike is believed, forty-nine times in fifty."""
    factor = np.zeros((len(readings.known), 1 + len(priors.KINDS)))
    named = {1: "fat", 2: "thin", 3: "toe"}
    for code in np.unique(readings.known):
        rows = readings.known == code
        if code == 0:
            factor[rows, 1:] = np.log(DISBELIEF)
        elif code > 0:
            kinds = [0.0 if kind == named[int(code)] else np.log(DISBELIEF) for kind in priors.KINDS]
            factor[rows] = [np.log(DISBELIEF), *kinds]
    return factor


def _likely_good(values: Floats, cell: NDArray[np.intp]) -> Floats:
    """A first guess (n,): balls near the middle of their cell in launch, and not far below it in spin."""
    middle = {c: np.median(values[cell == c], axis=0) for c in np.unique(cell)}
    off = (values - np.array([middle[c] for c in cell])) / (3 * np.array(priors.LAUNCH_SD))
    return np.asarray(np.exp(-0.5 * (off**2).sum(1)) + 1e-3)


def _shot(readings: Readings, seen: NDArray[np.bool_]) -> tuple[Floats, NDArray[np.intp]]:
    """The plane's columns (seen, 3): one, loft, log of the cell's middle carry; and each ball's cell."""
    cell = readings.cell[seen]
    loft = np.array([readings.names[c].loft_prior_deg[0] for c in cell]) - priors.LOFT_REF_DEG
    middle = {c: float(np.median(readings.log_carry[readings.cell == c])) for c in np.unique(cell)}
    length = np.array([middle[c] for c in cell])
    return np.stack([np.ones(len(cell)), loft / 5, length - length.mean()], axis=1), cell


def _usual(values: Floats, design: Floats, cell: NDArray[np.intp], good: Floats) -> tuple[Floats, Floats]:
    """Residuals from what is usual, and their SD for good strikes, both for launch and log spin."""
    weighted = design * good[:, None]
    plane = np.linalg.solve(weighted.T @ design + 0.3 * np.eye(3), weighted.T @ values)
    residual = values - design @ plane
    for c in np.unique(cell):
        mine = cell == c
        n = good[mine].sum()
        residual[mine] -= (good[mine] @ residual[mine]) / (n + priors.LAUNCH_CELL_BALLS)
    n, before = good.sum(), priors.LAUNCH_BALLS
    variance = (before * np.array(priors.LAUNCH_SD) ** 2 + good @ residual**2) / (before + n)
    return residual, np.sqrt(variance)


def _launch_classes(residual: Floats, sd: Floats) -> Floats:
    """Log densities (n, 1 + kinds) of launch and spin residuals; more spin than usual speaks of no mishit."""
    residual = np.minimum(residual, [np.inf, 0.0])
    log_f = np.empty((len(residual), 1 + len(priors.KINDS)))
    log_f[:, 0] = _log_normal(residual, 0.0, sd).sum(1)
    for k, kind in enumerate(priors.KINDS, start=1):
        shift, wide = priors.LAUNCH_KINDS[kind]
        log_f[:, k] = _log_normal(residual, np.array(shift), np.hypot(sd, wide)).sum(1)
    return log_f


def _log_normal(x: Floats, mean: float | Floats, sd: float | Floats) -> Floats:
    return np.asarray(-0.5 * ((x - mean) / sd) ** 2 - np.log(sd) - 0.5 * np.log(2 * np.pi))
