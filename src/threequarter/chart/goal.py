"""How well a stock carry is to be known before it is good enough.

A number need not be known better than the player can hit it: the goal is the looser of the promise (2 yards or 3 %) and a third of
the way to where nine good balls in ten land. Above about one mishit in four more balls are the wrong cure; then half of that way
will do, and the strike comes first. All three shares are common practice, no source.
"""

from typing import Final

import numpy as np
from numpy.typing import NDArray

from threequarter.chart.result import Cell, Chart
from threequarter.golf.message import Message
from threequarter.golf.units import YARD_M

Floats = NDArray[np.float64]

PROMISE_M: Final = 2 * YARD_M
PROMISE_SHARE: Final = 0.03
OF_SPREAD: Final = 1 / 3
OF_SPREAD_STRIKE_FIRST: Final = 1 / 2
WIDE: Final = 1.645
"""Half of a range that holds nine in ten, in SDs."""


def goal_told() -> Message:
    """The goal of a chart, to be said."""
    return Message("advice.goal", promise_m=PROMISE_M)


def promise_m(carry_m: float) -> float:
    """The looser of 2 yards and 3 % of a carry, metres."""
    return max(PROMISE_M, PROMISE_SHARE * carry_m)


def goals_m(chart: Chart, of_spread: float = OF_SPREAD) -> tuple[float, ...]:
    """For each cell of the chart, in its order, how near (metres) its stock carry is to be known, nine times in ten."""
    spread = np.exp(np.median(chart.draws_log_sd, axis=0))
    return tuple(_goal(cell, float(sd), of_spread) for cell, sd in zip(chart.cells, spread, strict=True))


def _goal(cell: Cell, spread: float, of_spread: float) -> float:
    return max(promise_m(cell.stock_carry_m), of_spread * WIDE * spread * cell.stock_carry_m)
