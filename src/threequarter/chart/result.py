"""What a chart is: cells with honest doubt, a verdict for each ball, and joint draws for what builds on it.

Intervals are central 90 % posterior intervals. Distances in metres.
"""

from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

CALLED_BELOW: Final = 0.7


@dataclass(frozen=True, slots=True)
class Interval:
    """A 90 % interval, both ends in the unit of what it bounds."""

    low: float
    high: float

    @property
    def half(self) -> float:
        """Half the width."""
        return (self.high - self.low) / 2


@dataclass(frozen=True, slots=True, kw_only=True)
class Cell:
    """One wedge with one swing length, hit or not.

    `stock_carry_m` is the centre of the good, warmed-up strikes over the recorded days; `stock90_m` its doubt;
    `next90_m` holds the next good ball 90 % of the time; `good_sd_m` is the ball-to-ball standard deviation of
    good strikes; `mishit_rate` the share of balls that are not good, `mishit_rate90` its doubt.
    `balls` counts the balls read for this cell (all balls of a pile), `readings` the independent readings.
    `two_swings_m` holds both centres where two swings were found under one name.
    `words` says in plain words what a coach should know about this cell.
    """

    club: str
    swing: str
    loft_deg: float | None
    balls: int
    readings: int
    stock_carry_m: float
    stock90_m: Interval
    next90_m: Interval
    good_sd_m: float
    mishit_rate: float
    mishit_rate90: Interval
    two_swings_m: tuple[float, float] | None = None
    words: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Verdict:
    """How one ball was struck, as probabilities that add up to 1; `heavy` was noted by the player and is usable."""

    number: int
    good: float
    fat: float
    thin: float
    toe: float
    heavy: bool = False

    @property
    def mishit(self) -> bool:
        """Called a mishit from a chance of three in ten on, which misses and miscalls about equally many (best F1 on
        simulated players). A probability, not a verdict: show `good` beside it."""
        return self.good < CALLED_BELOW


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Chart:
    """A distance chart. `clubs` from least to most loft, `swings` from shortest to longest, as first written.

    `draws_log_carry`, shape (draws, cells): joint posterior draws of the log of the stock carry in metres, cells in
    the order of `cells`. `draws_log_sd`, the same shape: the log of the relative ball-to-ball SD of good strikes.
    `shared_sd`, shape (cells,): the part of that doubt which all balls share (a step length, how firm the ground was), as a
    relative SD; no number of balls lowers it. `tail_df`: degrees of freedom of the Student t of good strikes.
    `notes`: plain words about the whole chart.
    """

    cells: tuple[Cell, ...]
    verdicts: tuple[Verdict, ...]
    clubs: tuple[str, ...]
    swings: tuple[str, ...]
    draws_log_carry: NDArray[np.float64]
    draws_log_sd: NDArray[np.float64]
    shared_sd: NDArray[np.float64]
    tail_df: float
    notes: tuple[str, ...] = ()

    def worlds(self, count: int) -> NDArray[np.intp]:
        """Indices of `count` of the joint draws, spread evenly over them: the worlds that a computation plays through."""
        return np.linspace(0, len(self.draws_log_carry) - 1, count).astype(np.intp)

    def only(self, club: str, swing: str) -> "Chart":
        """The same chart with one of its cells alone, for looking at one shot; KeyError if there is none."""
        at = self.cells.index(self.cell(club, swing))
        return replace(
            self, cells=(self.cells[at],), clubs=(club,), swings=(swing,), draws_log_carry=self.draws_log_carry[:, at : at + 1],
            draws_log_sd=self.draws_log_sd[:, at : at + 1], shared_sd=self.shared_sd[at : at + 1],
        )  # fmt: skip

    def cell(self, club: str, swing: str) -> Cell:
        """The cell of a club and a swing as they stand in `clubs` and `swings`; KeyError if there is none."""
        for cell in self.cells:
            if (cell.club, cell.swing) == (club, swing):
                return cell
        raise KeyError((club, swing))
