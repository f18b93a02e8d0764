"""What the cells of a chart have in common before the first ball, as a Gaussian: for planning a session."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from threequarter.chart import priors
from threequarter.chart.prepare import CellName

Floats = NDArray[np.float64]


def base_covariance(
    names: Sequence[CellName], *, club_sd: float = priors.CLUB_SD, cell_sd: float = priors.CELL_SD
) -> tuple[Floats, Floats]:
    """Mean (cells,) and covariance (cells, cells) of the log centres of cells on any one day."""
    clubs, swings = list(dict.fromkeys(n.club for n in names)), list(dict.fromkeys(n.swing for n in names))
    loft = np.array([name.loft_prior_deg[0] for name in names]) - priors.LOFT_REF_DEG
    loft_sd = np.array([name.loft_prior_deg[1] for name in names])
    club = np.array([clubs.index(name.club) for name in names])
    swing = np.array([swings.index(name.swing) for name in names])
    own = np.array([name.length.reach is None for name in names])
    reach = np.array([name.length.reach or priors.OWN_SWING_REACH for name in names])
    clock = np.array([name.length.kind == "clock" for name in names])
    named_sd = np.where(clock, priors.CLOCK_SD, priors.SWING_SD) * np.sqrt(1 - np.minimum(reach, 1))
    named_sd = named_sd + np.where(clock, priors.CLOCK_SD_FLOOR, priors.SWING_SD_FLOOR)
    bend = np.where(clock, priors.CLOCK_POWER_SD * np.log(reach), 0.0)
    swing_sd = np.where(own, priors.OWN_SWING_SD, named_sd)
    club_var = club_sd**2 + (priors.SLOPE_PER_DEG * loft_sd) ** 2
    covariance = priors.FULL_54_SD**2 + priors.SLOPE_SD**2 * np.outer(loft, loft)
    covariance = covariance + np.outer(bend, bend) + (swing[:, None] == swing) * np.outer(swing_sd, swing_sd)
    covariance = covariance + (club[:, None] == club) * np.sqrt(np.outer(club_var, club_var))
    covariance = covariance + cell_sd**2 * np.eye(len(names))
    return priors.FULL_54_LOG_M + priors.SLOPE_PER_DEG * loft + np.log(reach), covariance
