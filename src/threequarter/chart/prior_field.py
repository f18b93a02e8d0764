"""The joint Gaussian prior of all cell-and-day centres: loft line, clubs, swing lengths, rests, days.

The state is [centre of cell c on day d for all d, c] followed by the warm-up coefficient.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from threequarter.chart import priors
from threequarter.chart.prepare import CellName, Readings

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class Field:
    """Prior mean, shape (J + 1,), and covariance, shape (J + 1, J + 1), of the centres and the warm-up."""

    mean: Floats
    covariance: Floats

    @property
    def precision(self) -> Floats:
        """Inverse of the covariance."""
        return np.asarray(np.linalg.inv(self.covariance), dtype=float)


def base_covariance(names: Sequence[CellName]) -> tuple[Floats, Floats]:
    """Mean (cells,) and covariance (cells, cells) of the log centres of cells on any one day."""
    clubs, swings = list(dict.fromkeys(n.club for n in names)), list(dict.fromkeys(n.swing for n in names))
    loft = np.array([name.loft_prior_deg[0] for name in names]) - priors.LOFT_REF_DEG
    loft_sd = np.array([name.loft_prior_deg[1] for name in names])
    club = np.array([clubs.index(name.club) for name in names])
    swing = np.array([swings.index(name.swing) for name in names])
    own = np.array([name.length.reach is None for name in names])
    reach = np.array([name.length.reach or priors.OWN_SWING_REACH for name in names])
    clock = np.array([name.length.kind == "clock" for name in names])
    named_sd = (
        np.where(clock, priors.CLOCK_SD, priors.SWING_SD) * np.sqrt(1 - np.minimum(reach, 1)) + priors.SWING_SD_FLOOR
    )
    swing_sd = np.where(own, priors.OWN_SWING_SD, named_sd)
    club_var = priors.CLUB_SD**2 + (priors.SLOPE_PER_DEG * loft_sd) ** 2
    covariance = priors.FULL_54_SD**2 + priors.SLOPE_SD**2 * np.outer(loft, loft)
    covariance = covariance + (swing[:, None] == swing) * np.outer(swing_sd, swing_sd)
    covariance = covariance + (club[:, None] == club) * np.sqrt(np.outer(club_var, club_var))
    covariance = covariance + np.diag(np.where(own, priors.OWN_CELL_SD, priors.CELL_SD) ** 2)
    return priors.FULL_54_LOG_M + priors.SLOPE_PER_DEG * loft + np.log(reach), covariance


def prior_field(readings: Readings) -> Field:
    """The prior of a session's centres; days share everything but their own shifts."""
    names, days = readings.names, readings.days
    mean, base = base_covariance(names)
    swing = np.array([readings.swings.index(name.swing) for name in names])
    shift = priors.DAY_SD**2 + priors.DAY_SWING_SD**2 * (swing[:, None] == swing)
    if days == 1:  # one day's shift cannot be told from the player's own lengths; its stock carry includes it
        shift = np.zeros_like(shift)
    whole = np.tile(base, (days, days)) + np.kron(np.eye(days), shift)
    size = days * len(names) + 1
    covariance = np.zeros((size, size))
    covariance[:-1, :-1] = whole + 1e-9 * np.eye(size - 1)
    covariance[-1, -1] = priors.WARM_UP[1] ** 2
    return Field(mean=np.append(np.tile(mean, days), priors.WARM_UP[0]), covariance=covariance)
