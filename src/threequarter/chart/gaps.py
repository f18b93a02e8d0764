"""Gaps: numbers that no stock shot serves, and what a coach would put there.

A number is in a gap where the best shot's chance to end near it (within the looser of 3 yards and 5 %) is less than half of what a
stock shot of that very number would have. The chance is reckoned with a steady player's spread at most, so a wilder player has as
many gaps as a steadier one with the same stock numbers.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Final, Literal

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr

from threequarter.chart.result import Cell, Chart, Interval
from threequarter.golf.message import Message
from threequarter.golf.units import YARD_M

Floats = NDArray[np.float64]

NEAR_M: Final = 3 * YARD_M
NEAR_SHARE: Final = 0.05
HALF: Final = 0.5
STEADY_SPREAD: Final = 0.06
LEAST_GAP_M: Final = 2 * YARD_M
"""A narrower one is no gap."""
TOLD_FROM: Final = 0.5
"""Chance above which a gap is told."""
GRIP_DOWN: Final = (0.06, 0.03)
"""What gripping down to the end of the grip takes off the carry: mean and SD, as a share. Common practice, no source."""
GRIP_REACH: Final = (0.02, 0.11)
GRIP_WORDS: Final = ("grip down", "gripped down", "choke", "kurz gegriffen", "griff kurz")
"""So a swing length is named that was hit with the hands further down; what it takes off is then learned."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Filler:
    """What would serve a gap: a swing between two of one club, or gripping down; where it should land, metres, nine times in ten."""

    kind: Literal["between", "grip_down"]
    club: str
    swings: tuple[str, ...]
    carry_m: float
    carry90_m: Interval
    learned: bool = False

    @property
    def message(self) -> Message:
        """What to do, in one line."""
        code = f"gap.{self.kind}" + ("_learned" if self.learned else "")
        half = self.carry90_m.half
        if self.kind == "between":
            low, high = self.swings
            return Message(code, club=self.club, low=low, high=high, carry_m=self.carry_m, half_m=half)
        return Message(
            code, shot=f"{self.club} {self.swings[0]}", off_share=GRIP_DOWN[0], carry_m=self.carry_m, half_m=half
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Gap:
    """Numbers that no shot serves, from `low_m` to `high_m`; `chance` that the gap is there at all; the shots beside it, and what would
    fill it, best first."""

    low_m: float
    high_m: float
    chance: float
    below: Cell
    above: Cell
    fillers: tuple[Filler, ...] = ()


def near_m(number_m: Floats | float) -> Floats:
    """How near counts as served: the looser of 3 yards and 5 %, metres."""
    return np.maximum(NEAR_M, NEAR_SHARE * np.asarray(number_m, dtype=float))


def reach_m(carry_m: Floats, spread: float) -> Floats:
    """How far from a stock carry (metres, any shape) a number may be before the shot's chance to end near it is halved; for a player of
    this relative ball-to-ball spread."""
    spread = min(spread, STEADY_SPREAD)
    grid = np.linspace(2.0, 260.0, 130)
    near, sd = near_m(grid), spread * grid
    wanted = HALF * (2 * ndtr(near / sd) - 1)
    low, high = np.zeros_like(grid), near + 4 * sd
    for _step in range(40):
        middle = (low + high) / 2
        more = ndtr((near - middle) / sd) - ndtr((-near - middle) / sd) > wanted
        low, high = np.where(more, middle, low), np.where(more, high, middle)
    return np.interp(carry_m, grid, low)


def gaps(chart: Chart) -> tuple[Gap, ...]:
    """The gaps of a chart between its shortest and its longest stock carry, each likelier than not."""
    order = np.argsort([cell.stock_carry_m for cell in chart.cells])
    carry = np.exp(chart.draws_log_carry)[:, order]
    spread = float(np.exp(np.median(chart.draws_log_sd)))
    tops, bottoms = openings(carry, spread)
    found = []
    for k in range(len(order) - 1):
        wide = bottoms[:, k + 1] - tops[:, k]
        chance = float((wide > LEAST_GAP_M).mean())
        if chance > TOLD_FROM:
            low, high = float(np.median(tops[:, k])), float(np.median(bottoms[:, k + 1]))
            below, above = chart.cells[order[k]], chart.cells[order[k + 1]]
            fillers = fill(chart, (low + high) / 2)
            found.append(Gap(low_m=low, high_m=high, chance=chance, below=below, above=above, fillers=fillers))
    return tuple(found)


def openings(carry_m: Floats, spread: float) -> tuple[Floats, Floats]:
    """For shots in their order (draws, shots): the longest number that each or one before it serves, the shortest that each or one after
    it does. Between the first of a shot and the second of the next lies a gap."""
    reach = reach_m(carry_m, spread)
    tops = np.maximum.accumulate(carry_m + reach, axis=1)
    return tops, np.minimum.accumulate((carry_m - reach)[:, ::-1], axis=1)[:, ::-1]


def share_served(carries_m: Floats, numbers_m: Floats, spread: float) -> Floats:
    """Share of the numbers (n,) that are served by stock carries (..., shots), shape (...)."""
    off = np.abs(numbers_m - carries_m[..., None])
    return np.asarray((off <= reach_m(carries_m, spread)[..., None]).any(axis=-2).mean(axis=-1))


def fill(chart: Chart, number_m: float) -> tuple[Filler, ...]:
    """What would serve a number: gripping down on the shot just above it, a swing between two of one club; the surest first."""
    found = [*_gripped(chart, number_m), *_between(chart, number_m)]
    near = float(near_m(number_m))
    return tuple(sorted(found, key=lambda one: abs(one.carry_m - number_m) / near + one.carry90_m.half / number_m)[:2])


def _gripped(chart: Chart, number_m: float) -> list[Filler]:
    mean, sd, learned = _grip_down(chart)
    found = []
    for i, cell in enumerate(chart.cells):
        off = 1 - number_m / cell.stock_carry_m
        if cell.balls == 0 or _is_gripped(cell.swing) or not GRIP_REACH[0] <= off <= GRIP_REACH[1]:
            continue
        log = chart.draws_log_carry[:, i]
        middle = cell.stock_carry_m * (1 - mean)
        half = 1.645 * middle * float(np.hypot(log.std(), sd))
        found.append(
            Filler(
                kind="grip_down",
                club=cell.club,
                swings=(cell.swing,),
                carry_m=middle,
                carry90_m=Interval(middle - half, middle + half),
                learned=learned,
            )
        )
    found.sort(key=lambda one: abs(one.carry_m - number_m))
    return found[:1]


def _between(chart: Chart, number_m: float) -> list[Filler]:
    """Swings of one club next to each other whose carries bracket the number, closest together first."""
    found = []
    for club in chart.clubs:
        mine = sorted((c for c in chart.cells if c.club == club and c.balls), key=lambda c: c.stock_carry_m)
        for short, long in pairwise(mine):
            if short.stock_carry_m < number_m < long.stock_carry_m:
                step = long.stock_carry_m - short.stock_carry_m
                half = float(np.hypot(max(short.stock90_m.half, long.stock90_m.half), 0.35 * step))
                found.append(
                    (
                        step,
                        Filler(
                            kind="between",
                            club=club,
                            swings=(short.swing, long.swing),
                            carry_m=number_m,
                            carry90_m=Interval(number_m - half, number_m + half),
                        ),
                    )
                )
    return [filler for _step, filler in sorted(found, key=lambda pair: pair[0])[:1]]


def _is_gripped(swing: str) -> bool:
    return any(word in swing.casefold() for word in GRIP_WORDS)


def _grip_down(chart: Chart) -> tuple[float, float, bool]:
    """What gripping down takes off, its SD, and whether the player's own balls told it (pooled with what is usual)."""
    mean, variance, learned = GRIP_DOWN[0], GRIP_DOWN[1] ** 2, False
    for i, cell in enumerate(chart.cells):
        if not (cell.balls and _is_gripped(cell.swing)):
            continue
        plain = _plain_of(chart.cells, cell)
        if plain is not None:
            off = 1 - np.exp(chart.draws_log_carry[:, i] - chart.draws_log_carry[:, plain])
            weight = variance / (variance + float(off.var()))
            mean, variance, learned = mean + weight * (float(off.mean()) - mean), variance * (1 - weight), True
    return mean, float(np.sqrt(variance)), learned


def _plain_of(cells: Sequence[Cell], gripped: Cell) -> int | None:
    """The same swing with the same club and the whole grip: its name is the longest that the gripped one begins or ends with."""
    name = gripped.swing.casefold()
    mine = [
        i
        for i, c in enumerate(cells)
        if c.club == gripped.club and not _is_gripped(c.swing) and c.balls and c.swing and c.swing.casefold() in name
    ]
    return max(mine, key=lambda i: len(cells[i].swing)) if mine else None
