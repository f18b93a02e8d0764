"""The next ten good balls of a shot as ten places one can count."""

from typing import Final

import numpy as np
from numpy.typing import NDArray
from scipy.special import stdtrit

from threequarter.chart.result import Cell

LEVELS: Final = (np.arange(10) + 0.5) / 10
"""The middles of ten equal chances: 5, 15, ... 95 %."""


def ten_balls_m(cell: Cell, tail_df: float) -> NDArray[np.float64]:
    """Carries (10,) in metres, near to far, at the 5th, 15th ... 95th per cent of the next good ball.

    The ends are those of `next90_m`, the middle lies at the stock carry; between them the log of the carry goes as a Student t of
    `tail_df` degrees of freedom does, each side by its own width. Quantile dots: Kay, Kola, Hullman & Munson 2016.
    """
    low, high = np.log(cell.next90_m.low), np.log(cell.next90_m.high)
    share = stdtrit(tail_df, LEVELS) / stdtrit(tail_df, LEVELS[-1])
    middle = np.clip(np.log(cell.stock_carry_m), low + 0.1 * (high - low), high - 0.1 * (high - low))
    found: NDArray[np.float64] = np.exp(
        np.where(share < 0, middle + share * (middle - low), middle + share * (high - middle))
    )
    return found
