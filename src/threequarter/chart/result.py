"""What a chart is: cells with honest doubt, a verdict for each ball, and joint draws for what builds on it.

Intervals are central 90 % posterior intervals. Distances in metres.
"""

from dataclasses import dataclass, replace
from typing import Final, Literal

import numpy as np
from numpy.typing import NDArray

from threequarter.golf.message import Message

Sign = Literal["good", "doubtful", "called"]

CALLED_BELOW: Final = 0.5
"""A ball is called a mishit where it is likelier to be one than not."""
DOUBTFUL_BELOW: Final = 0.75
"""A ball is doubtful where it is good, but with more than one chance in four of being a mishit."""
USABLE: Final = frozenset({"good", "heavy"})
"""Noted strikes that are no mishit."""
FREED_FROM: Final = 0.45
"""Chance of disagreeing from which a cell is freed from the others and shown as it was hit."""
SURE_FROM: Final = 0.8
"""Chance of disagreeing from which it is said that the cell does not fit."""


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
    """One club with one swing length, hit or not.

    `stock_carry_m` is the centre of the good, warmed-up strikes over the recorded days; `stock90_m` its doubt;
    `next90_m` holds the next good ball of those days 90 % of the time; `good_sd_m` is the ball-to-ball standard deviation
    of good strikes. `another_day90_m` holds the stock carry of another day, `next_another_day90_m` its next good ball:
    what a card and a shot on the course go by. `mishit_rate` is the share of this cell's balls that are not good,
    `mishit_rate90` its doubt. `balls` counts the balls read for this cell (all balls of a pile), `readings` the
    independent readings. `disagree_chance`: how likely the cell lies more than 4.5 % off the line of the other shots;
    `as_hit`: it was freed from them and is shown as it was hit. `two_swings_m` holds both centres where two swings were
    found under one name. `told` is what a coach should know about this cell.
    """

    club: str
    swing: str
    loft_deg: float | None
    balls: int
    readings: int
    stock_carry_m: float
    stock90_m: Interval
    next90_m: Interval
    another_day90_m: Interval
    next_another_day90_m: Interval
    good_sd_m: float
    mishit_rate: float
    mishit_rate90: Interval
    disagree_chance: float = 0.0
    as_hit: bool = False
    two_swings_m: tuple[float, float] | None = None
    told: tuple[Message, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Verdict:
    """How one ball was struck, as probabilities that add up to 1; `heavy` was noted by the player and is usable.

    `noted` is what was noted ("fat", "good", ...), None where nothing was; `why` says what speaks against the ball:
    short or long, to the side, launch, spin.
    """

    number: int
    good: float
    fat: float
    thin: float
    toe: float
    heavy: bool = False
    noted: str | None = None
    why: tuple[Message, ...] = ()

    @property
    def sign(self) -> Sign:
        """A probability in one of three words: "called" a mishit, "doubtful", "good"; what was noted goes before it."""
        if self.noted is not None:
            return "good" if self.noted in USABLE else "called"
        if self.good < CALLED_BELOW:
            return "called"
        return "doubtful" if self.good < DOUBTFUL_BELOW else "good"

    @property
    def mishit(self) -> bool:
        """Whether the ball is called a mishit."""
        return self.sign == "called"


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Chart:
    """A distance chart. `clubs` from least to most loft, `swings` from shortest to longest, as first written.

    `draws_log_carry`, shape (draws, cells): joint posterior draws of the log of the stock carry in metres, cells in
    the order of `cells`. `draws_log_sd`, the same shape: the log of the relative ball-to-ball SD of good strikes;
    `draws_mishit_rate`, the same shape: the cell's share of mishits.
    `shared_sd`, shape (cells,): the part of that doubt which all balls share (a step length, how firm the ground was), as a
    relative SD; no number of balls lowers it. `tail_df`: degrees of freedom of the Student t of good strikes.
    `another_day_sd`: relative SD of what another day adds to the stock carry of a cell.
    `drift90`: how much the carries changed from the first ball to the last, relative (-0.06 is 6 % shorter), None where
    the order of the balls cannot tell it (every shot hit in one block).
    `checks`: what in the balls does not look like one player hitting these shots; a chart with one is not good enough.
    `notes`: what to know about the whole chart.
    """

    cells: tuple[Cell, ...]
    verdicts: tuple[Verdict, ...]
    clubs: tuple[str, ...]
    swings: tuple[str, ...]
    draws_log_carry: NDArray[np.float64]
    draws_log_sd: NDArray[np.float64]
    draws_mishit_rate: NDArray[np.float64]
    shared_sd: NDArray[np.float64]
    tail_df: float
    another_day_sd: float
    drift90: Interval | None = None
    checks: tuple[Message, ...] = ()
    notes: tuple[Message, ...] = ()

    def worlds(self, count: int) -> NDArray[np.intp]:
        """Indices of `count` of the joint draws, spread evenly over them: the worlds that a computation plays through."""
        return np.linspace(0, len(self.draws_log_carry) - 1, count).astype(np.intp)

    def only(self, club: str, swing: str) -> "Chart":
        """The same chart with one of its cells alone, for looking at one shot; KeyError if there is none."""
        at = self.cells.index(self.cell(club, swing))
        draws = {
            name: getattr(self, name)[:, at : at + 1]
            for name in ("draws_log_carry", "draws_log_sd", "draws_mishit_rate")
        }
        shared = self.shared_sd[at : at + 1]
        return replace(self, cells=(self.cells[at],), clubs=(club,), swings=(swing,), shared_sd=shared, **draws)

    def on_another_day(self) -> "Chart":
        """The same chart for what is read on another day: the next ball of each cell is one of that day, as on the card."""
        return replace(self, cells=tuple(replace(cell, next90_m=cell.next_another_day90_m) for cell in self.cells))

    def cell(self, club: str, swing: str) -> Cell:
        """The cell of a club and a swing as they stand in `clubs` and `swings`; KeyError if there is none."""
        for cell in self.cells:
            if (cell.club, cell.swing) == (club, swing):
                return cell
        raise KeyError((club, swing))
