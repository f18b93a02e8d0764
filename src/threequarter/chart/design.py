"""The joint uncertainty of shots, and what imagined balls would do to it.

A further good ball with a shot is a noisy reading of its log centre; it lowers the uncertainty of every shot that shares a club, a
swing or the loft line (rank-one update of the joint Gaussian; expected value of sample information, Raiffa & Schlaifer 1961).
"""

from typing import Final

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

Z90: Final = 1.645
LEAST_BALLS: Final = 3
"""No shot is charted from fewer balls. Common practice, no source."""


def tail_cost(df: float) -> float:
    """Variance of one reading over what its Fisher information is worth, for a Student t of standard deviation 1 with `df` > 2
    degrees of freedom: (df - 2)(df + 3) / (df (df + 1)). Lange, Little & Taylor 1989, J. Am. Stat. Assoc. 84, 881-896."""
    return (df - 2) * (df + 3) / (df * (df + 1))


class Design:
    """Relative uncertainty of some shots, updated as imagined balls are hit.

    `covariance` (n, n): of the log stock carries, without what all balls share (`shared_sd`, (n,)). `reading` (n,): variance that one
    ball is worth. `goal` (n,): half of the range, relative, that is to hold the stock carry nine times in ten.
    """

    def __init__(self, covariance: Floats, reading: Floats, goal: Floats, shared_sd: Floats | float = 0.0) -> None:
        self.covariance, self.reading, self.goal = covariance.copy(), reading, goal
        self.shared_sd = np.broadcast_to(np.asarray(shared_sd, dtype=float), goal.shape)

    def copy(self) -> "Design":
        """The same, to imagine balls on."""
        return Design(self.covariance, self.reading, self.goal, self.shared_sd)

    def halves(self) -> Floats:
        """Half of the range that holds nine in ten, relative."""
        return np.asarray(Z90 * np.sqrt(np.diagonal(self.covariance) + self.shared_sd**2))

    def ratio(self) -> float:
        """Root mean square over the shots of uncertainty over goal: 1 or less is good enough."""
        return float(np.sqrt(np.mean((self.halves() / self.goal) ** 2)))

    def floor(self) -> float:
        """The same after any number of balls: what all of them share stays."""
        return float(np.sqrt(np.mean((Z90 * self.shared_sd / self.goal) ** 2)))

    def after(self, j: int, balls: int = 1) -> Floats:
        """Half ranges after so many more balls with shot j."""
        column = self.covariance[:, j]
        left = np.diagonal(self.covariance) - column**2 / (column[j] + self.reading[j] / balls)
        return np.asarray(Z90 * np.sqrt(np.maximum(left, 0.0) + self.shared_sd**2))

    def gains(self, balls: int = 1) -> Floats:
        """How much of the mean squared ratio so many more balls with each shot take away."""
        share = (self.covariance / self.goal[:, None]) ** 2
        own = np.diagonal(self.covariance) + self.reading / balls
        return np.asarray(Z90**2 * share.mean(axis=0) / own)

    def hit(self, j: int) -> None:
        """One more ball with shot j."""
        column = self.covariance[:, j].copy()
        self.covariance -= np.outer(column, column) / (column[j] + self.reading[j])

    def needs(self, had: NDArray[np.intp], most: int, least: int = LEAST_BALLS) -> NDArray[np.intp]:
        """Balls a shot still needs, each given to where it takes most away, until all is good enough or `most` are spent; never
        fewer than `least` a shot, `had` counted."""
        ahead, needs = self.copy(), np.maximum(least - had, 0)
        for j in np.repeat(np.arange(len(needs)), needs):
            ahead.hit(int(j))
        while ahead.ratio() > 1.0 and needs.sum() < most:
            best = int(np.argmax(ahead.gains()))
            ahead.hit(best)
            needs[best] += 1
        return needs
