"""What is believed before the first ball, and how well it is known.

The values describe players of the trade (common practice, no source) and were checked for coverage on simulated players
by `benchmarks/chart_calibration.py`. They are wide enough that a few balls outweigh them.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

FULL_54_LOG_M: Final = float(np.log(73.0))
"""Log of a full 54-degree carry in metres, and its SD: a child's forty yards and a long hitter's hundred and ten."""
FULL_54_SD: Final = 0.40
SLOPE_PER_DEG: Final = -0.030
"""Log carry per degree of loft: about 3 % a degree."""
SLOPE_SD: Final = 0.005
LOFT_REF_DEG: Final = 54.0
BENDS_BELOW_DEG: Final = 30.0
BEND: Final = 0.45
LESS_KNOWN_BELOW_DEG: Final = 42.0
LESS_KNOWN: Final = 0.13
"""Below this loft a degree less adds only so much of what it adds to a wedge (amateurs' irons and woods; common practice, no
source), and each degree below the other adds that many degrees of doubt."""


def loft_line(loft_deg: float) -> tuple[float, float]:
    """The loft that stands for a club on the wedges' loft line, and its SD, both in degrees: exact for wedges.

    >>> loft_line(54.0)
    (54.0, 0.0)
    """
    bent = loft_deg if loft_deg >= BENDS_BELOW_DEG else BENDS_BELOW_DEG - BEND * (BENDS_BELOW_DEG - loft_deg)
    return bent, LESS_KNOWN * max(0.0, LESS_KNOWN_BELOW_DEG - loft_deg)


CLOCK_POWER_SD: Final = 0.25
"""Clock times share a law that bends: log of the usual share times 1 + this, for every time of a player."""

SWING_SD: Final = 0.09
CLOCK_SD: Final = 0.07
SWING_SD_FLOOR: Final = 0.01
CLOCK_SD_FLOOR: Final = 0.03
"""SD of a swing length about its usual share of a full swing: this times the root of what is missing to a full swing,
plus the floor. Players differ more on shorter swings; a clock time says more than a body level."""
OWN_SWING_SD: Final = 0.45
"""A player's own name ("whisper") tells nothing about the share."""
OWN_SWING_REACH: Final = 0.65
SWING_SCALES: Final = np.array([0.7, 1.5, 3.0])
SWING_SCALE_PRIOR: Final = np.array([0.85, 0.10, 0.05])
"""How much more or less than that this player's lengths leave the usual share (Student t, 4 degrees of freedom)."""
CLUB_SD: Final = 0.014
"""What a club adds to the loft line: scale of a Student t with 4 degrees of freedom."""
CELL_SCALES: Final = np.array([0.006, 0.009, 0.012, 0.016, 0.022, 0.032, 0.047, 0.07])
CELL_SCALE_LOG: Final = (float(np.log(0.013)), 0.45)
"""What a club with one swing adds: scale of a Student t with 3 degrees of freedom, learned from the session."""
CELL_SD: Final = 0.017
FREE_SD: Final = 0.13
"""SD of a cell that was freed because it disagrees with the others."""
OFF_SHARE: Final = 0.03
"""Share of cells that lie off the line anyhow, that far. Set by `benchmarks/players_by_others.py` (dose_+16, seed 0) and its price in
`worlds/old.py` (seed 71: none that 60 sessions tell)."""
OFF_FROM: Final = 0.045
"""A cell disagrees where it lies more than this far off the others."""

DAY_SDS: Final = np.array([0.010, 0.015, 0.025, 0.040])
DAY_SD_PRIOR: Final = np.array([0.25, 0.40, 0.25, 0.10])
DAY_SWING_PART: Final = 0.6
"""What a day adds to all carries, learned where there are several days, and to one swing length as a part of it."""
DAY_SD: Final = 0.015
DAY_SWING_SD: Final = 0.009
WARM_UP: Final = {None: (-0.01, 0.02), False: (-0.02, 0.015), True: (0.0, 0.006)}
"""Mean and SD of the log carry missing on the first ball, by whether balls were hit before; it fades over WARM_UP_BALLS."""
WARM_UP_BALLS: Final = 8.0
DRIFT_SD: Final = 0.045
"""Change of the log carry over a hundred balls: tired, or learning. Set by `benchmarks/players_by_others.py` (tuned half): at 3.5 % the
interval held too seldom where each shot was hit in one block."""

SPREAD_LOG: Final = (float(np.log(0.068)), 0.45)
"""Relative ball-to-ball SD of good strikes, log: the player's level."""
SPREAD_CLUB_SD: Final = 0.35
SPREAD_SLOPE_SD: Final = 0.3
CELL_SPREAD_SD: Final = 0.12
"""Log spread by club, by log of the swing's share, by cell."""
TAIL_DF: Final = 9.0
SOFT_SHIFT: Final = -0.4
SOFT_SD: Final = 1.2
"""Soft strikes are good ones, usable and a little short: shifted by so many spreads, so many spreads wide, without a tail of their own."""

MISHIT_GRID: Final = np.array([0.004, 0.03, 0.06, 0.10, 0.14, 0.20, 0.26, 0.34, 0.42])
MISHIT_PRIOR: Final = np.array([0.12, 0.12, 0.14, 0.15, 0.15, 0.12, 0.09, 0.07, 0.04])
"""A player's share of mishits and how common it is; the first stands for players who do not mishit."""
MISHIT_CLUB_SD: Final = 0.6
MISHIT_SWING_SD: Final = 0.85
MISHIT_CELL_SD: Final = 0.3
"""What club, swing and cell add to the log odds of a mishit. The swing's was set by `benchmarks/players_by_others.py`
(mishits_on_full_only and five other tuned kinds, seed 31): at 0.7 a player who mishits on the full swing only held too seldom."""
MISHIT_SCALES: Final = np.array([0.3, 0.8, 2.0])
MISHIT_SCALE_PRIOR: Final = np.array([0.35, 0.35, 0.3])
"""How many times that this player's clubs, or swings, differ by, learned from the session. Set by `benchmarks/players_by_others.py`
(one_club_better, mishits_on_full_only, nominal_three_clubs; one_club_much_better of the other half was looked at too; seed 5)."""

KINDS: Final = ("fat", "fat", "thin", "thin", "toe")
KIND_SHARE: Final = np.array([0.30, 0.25, 0.14, 0.09, 0.22])
KIND_SHIFT: Final = np.array([-0.20, -0.44, 0.16, -0.23, -0.07])
KIND_SD: Final = np.array([0.08, 0.16, 0.12, 0.13, 0.08])
"""Fat in two parts (many a little, some very), thin and long, thin and short, toe: log of the carry over a good one's, mean and SD beside the player's spread.
Thin and long one in seven: of 222 real balls clear of a cut none is long (tests/data/real)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Believed:
    """What goes by how many shots a session holds: log of the spread of good strikes, a Beta for the share of soft ones (0: there are
    none), weights of MISHIT_GRID, and the warm-up where nobody was asked (mean and SD each)."""

    spread_log: tuple[float, float]
    soft_beta: tuple[float, float]
    mishit_prior: NDArray[np.float64]
    warm_up: tuple[float, float]


FEW_SHOTS: Final = 2
MANY: Final = Believed(
    spread_log=SPREAD_LOG,
    soft_beta=(0.0, 1.0),
    mishit_prior=MISHIT_PRIOR,
    warm_up=WARM_UP[None],
)
FEW: Final = Believed(
    spread_log=(float(np.log(0.085)), 0.6),
    soft_beta=(6.0, 2.0),
    mishit_prior=np.array([0.18, 0.18, 0.16, 0.14, 0.12, 0.09, 0.07, 0.04, 0.02]),
    warm_up=(0.0, 0.015),
)
FEW_FULL: Final = Believed(
    spread_log=FEW.spread_log,
    soft_beta=(12.0, 3.0),
    mishit_prior=np.array([0.40, 0.20, 0.13, 0.10, 0.07, 0.05, 0.03, 0.01, 0.01]),
    warm_up=FEW.warm_up,
)
"""Up to FEW_SHOTS shots nothing in the session tells the player's spread and strikes apart, and what is believed first is what real full
swings look like: wider, flatter, leaning to the short side (most good strikes are soft ones), fewer mishits, and no warm-up that would not
be seen. FEW_FULL where all shots are full swings: there the balls speak of mishits too. Set on the tuned players of
tests/data/real/full_swings.csv by `benchmarks/real_balls_by_others.py` (40 draws a size, seeds 1 and 2) and held to the median's error on
single shots of the simulated players, who mishit more. With more shots the session tells it."""
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
