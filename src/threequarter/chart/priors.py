"""What is believed before the first ball, and how well it is known.

The values describe players of the trade (common practice, no source) and were checked for coverage on simulated players
by `benchmarks/chart_calibration.py`. They are wide enough that a few balls outweigh them.
"""

from typing import Final

import numpy as np

FULL_54_LOG_M: Final = float(np.log(73.0))
"""Log of a full 54-degree carry in metres, and its SD: a child's forty yards and a long hitter's hundred and ten."""
FULL_54_SD: Final = 0.40
SLOPE_PER_DEG: Final = -0.030
"""Log carry per degree of loft: about 3 % a degree."""
SLOPE_SD: Final = 0.005
LOFT_REF_DEG: Final = 54.0

SWING_SD: Final = 0.09
CLOCK_SD: Final = 0.07
SWING_SD_FLOOR: Final = 0.01
"""SD of a swing length about its usual share of a full swing: this times the root of what is missing to a full swing,
plus the floor. Players differ more on shorter swings; a clock time says more than a body level."""
OWN_SWING_SD: Final = 0.45
"""A player's own name ("whisper") tells nothing about the share."""
OWN_SWING_REACH: Final = 0.65
CLUB_SD: Final = 0.014
CELL_SD: Final = 0.017
"""What a club, and a club with one swing, add to the loft line and the swing length."""
OWN_CELL_SD: Final = 0.020

DAY_SD: Final = 0.015
DAY_SWING_SD: Final = 0.009
WARM_UP: Final = (-0.02, 0.015)
"""Mean and SD of the log carry missing on the first ball; it fades over WARM_UP_BALLS balls."""
WARM_UP_BALLS: Final = 8.0

SPREAD_GRID: Final = np.geomspace(0.029, 0.145, 6)
"""Relative ball-to-ball SD of good strikes: the player's level."""
SPREAD_LOG: Final = (float(np.log(0.068)), 0.42)
CELL_SPREAD_SD: Final = 0.11
"""SD of the log of a cell's spread about the player's level."""
TAIL_DF: Final = 9.0

MISHIT_GRID: Final = np.array([0.004, 0.06, 0.14, 0.26, 0.42])
MISHIT_PRIOR: Final = np.array([0.10, 0.28, 0.30, 0.20, 0.12])
"""A share of mishits and how common it is; the first stands for players who do not mishit. At most a half."""

KINDS: Final = ("fat", "fat", "thin", "thin", "toe")
KIND_SHARE: Final = np.array([0.27, 0.23, 0.23, 0.08, 0.19])
KIND_SHIFT: Final = np.array([-0.20, -0.44, 0.16, -0.23, -0.07])
KIND_SD: Final = np.array([0.08, 0.16, 0.12, 0.13, 0.08])
"""Fat in two parts (many a little, some very), thin and long, thin and short, toe: log of the carry over a good one's, mean and SD beside the player's spread."""
KIND_SIDE_SD: Final = np.array([1.45, 1.45, 1.8, 1.3, 1.4])
"""Offline spread of each kind over a good strike's."""
TOE_SIDE: Final = 0.065
"""A toe strike starts this share of the carry to the side; to which side is not assumed."""
SIDE_SD: Final = 0.045
"""Relative offline SD of good strikes before any is seen, worth SIDE_BALLS balls."""
SIDE_BALLS: Final = 8
LAUNCH_SD: Final = (1.5, 0.07)
"""Launch angle (degrees) and log backspin of good strikes of one shot: SD before any is seen, worth LAUNCH_BALLS balls;
a cell's own rest from the plane is pulled to it as by LAUNCH_CELL_BALLS balls."""
LAUNCH_BALLS: Final = 8
LAUNCH_CELL_BALLS: Final = 1.0
LAUNCH_KINDS: Final = {
    "fat": ((0.0, -0.50), (2.5, 0.25)),
    "thin": ((-9.0, -0.25), (4.0, 0.18)),
    "toe": ((0.0, -0.13), (1.0, 0.06)),
}
"""What a mishit adds to launch (degrees) and log backspin, and the SD of it."""
PILE_FINE_M: Final = 0.9
"""Doubt of where the middle of a pile lies, when the reading tells none: about a yard."""
