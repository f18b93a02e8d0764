"""Two swings under one name: balls of one cell that gather about two centres instead of one.

For a cell with enough readings the evidence for one centre is weighed against that for two (marginal likelihoods on a
grid; Kass & Raftery 1995, J. Am. Stat. Assoc. 90, 773-795), mishits allowed in both, the spread free within what the
player's other cells make likely. What the other cells say about this one counts too: one centre must lie where they put
it, of two centres one must. The bar was set on simulated sessions so that under 2 % of normal cells are called;
`benchmarks/two_swings_power.py` prints the power curve.
"""

from collections.abc import Collection
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray
from scipy.special import gammaln

from threequarter.chart import priors
from threequarter.chart.posterior import Posterior, infer
from threequarter.chart.prepare import Readings

Floats = NDArray[np.float64]

LEAST_READINGS: Final = 8
LEAST_SHARE: Final = 0.2
LEAST_GAP: Final = 2.0
"""Centres nearer than this many spreads are not told apart from one wide swing."""
BAR: Final = 1.2
BAR_APART: Final = 3.4
"""The bar for a cell that lies off the others as a whole: they say nothing of where its centres lie, and such cells look like two more often."""
SUSPECT: Final = 0.5
SPREADS: Final = np.array([0.8, 1.0, 1.25])
SPREAD_DOUBT: Final = 0.16
SHARES: Final = np.array([0.3, 0.5, 0.7])
STEPS: Final = 27
WIDE: Final = 1.35
"""Cells whose balls reach less than this many usual spreads are not looked at: two swings make a cell wide."""
KIND_SHIFT: Final = priors.KIND_SHIFT[:, None, None]
KIND_VARIANCE: Final = priors.KIND_SD[:, None, None] ** 2
KIND_LOG_SHARE: Final = np.log(priors.KIND_SHARE)[:, None, None] - 0.5 * np.log(2 * np.pi)
SECOND_RANGE: Final = 1.2
"""Where the second centre may lie: anywhere within this range of log carry."""
PREDICTION_FLOOR: Final = 0.022


@dataclass(frozen=True, slots=True, kw_only=True)
class TwoSwings:
    """A cell (index) with two centres (m) and the gain in log likelihood over one."""

    cell: int
    centres_m: tuple[float, float]
    gain: float

    @property
    def half_gap(self) -> float:
        """Half of the distance between the two centres, as a share of the carry."""
        return float(np.log(self.centres_m[1] / self.centres_m[0]) / 2)


def find_two_swings(
    readings: Readings, posterior: Posterior, bar: float = BAR, *, apart: Collection[int] = ()
) -> tuple[TwoSwings, ...]:
    """Cells in which two swings seem to hide under one name; for those `apart`, off the line as a whole, the others do not count."""
    found = []
    spread = np.exp(posterior.log_sd.mean(axis=0))
    for cell in range(len(readings.names)):
        mine = (readings.cell == cell) & (readings.count == 1)
        if mine.sum() < LEAST_READINGS or cell in readings.piles:
            continue
        level = _usual_spread(readings, spread, cell, float(readings.noise[mine].mean()))
        rate = float(posterior.mishits[:, cell].mean())
        y = readings.log_carry[mine] - posterior.shift[mine]
        low, high = np.quantile(y, [0.1, 0.9])
        if (high - low) / 2.563 < WIDE * level or weigh(y, level, rate, None, quick=True)[0] < SUSPECT:
            continue
        gain, centres = weigh(y, level, rate, None if cell in apart else _others_say(readings, cell))
        if gain >= (max(bar, BAR_APART) if cell in apart else bar):
            low, high = np.exp(centres)
            found.append(TwoSwings(cell=cell, centres_m=(float(low), float(high)), gain=gain))
    return tuple(found)


def _usual_spread(readings: Readings, spread: Floats, cell: int, noise: float) -> float:
    """The spread that the club's other shots make likely for a cell, the readings' own error in it."""
    swings, hit = len(readings.swings), np.bincount(readings.cell, minlength=len(spread)) > 0
    others = hit & (np.arange(len(spread)) // swings == cell // swings)
    others[cell] = False
    usual = float(np.median(spread[others] if others.sum() >= 2 else spread[hit]))
    return float(np.hypot(usual, np.sqrt(noise)))


def _others_say(readings: Readings, cell: int) -> tuple[float, float] | None:
    """Mean and SD of a cell's log centre by the other cells alone; None where there are none."""
    rest = readings.without(cell)
    if not len(rest.log_carry):
        return None
    drawn = infer(rest, part=True).drawn[:, cell]
    return float(drawn.mean()), float(np.hypot(drawn.std(), PREDICTION_FLOOR))


def weigh(
    y: Floats, level: float, rate: float, others: tuple[float, float] | None, *, quick: bool = False
) -> tuple[float, tuple[float, float]]:
    """Log Bayes factor of two centres over one for log carries `y`, and the likeliest two centres.

    `quick` looks with one spread and equal shares only.
    """
    spreads, shares = (SPREADS[1:2], SHARES[1:2]) if quick else (SPREADS, SHARES)
    centres = np.linspace(y.min() - 0.05, y.max() + 0.05, STEPS)
    step = centres[1] - centres[0]
    placed = np.full(STEPS, -np.log(SECOND_RANGE))
    if others is not None:
        placed = -0.5 * ((centres - others[0]) / others[1]) ** 2 - np.log(others[1] * np.sqrt(2 * np.pi))
    free = -np.log(SECOND_RANGE)
    pairs = np.logaddexp(placed[:, None] + free, placed[None, :] + free) - np.log(2)
    one, two = [], []
    best, best_value = (float(y.min()), float(y.max())), -np.inf
    for factor in spreads:
        sd = level * factor
        price = -0.5 * (np.log(factor) / SPREAD_DOUBT) ** 2
        z = y[None] - centres[:, None]
        good, bad = _t(z, sd), _mishit(z, sd)
        one.append(
            price + np.logaddexp.reduce((np.logaddexp(np.log1p(-rate) + good, np.log(rate) + bad)).sum(1) + placed)
        )
        low, high = np.nonzero(centres[None, :] > centres[:, None] + LEAST_GAP * sd)
        if not len(low):
            continue
        fair = _fair(good, low, high)
        for share in shares:
            mixed = np.logaddexp(np.log(share) + good[low], np.log(1 - share) + good[high])
            fat = np.logaddexp(np.log(share) + bad[low], np.log(1 - share) + bad[high])
            total = np.logaddexp(np.log1p(-rate) + mixed, np.log(rate) + fat).sum(1) + pairs[low, high] + fair
            two.append(price - np.log(len(shares)) + np.logaddexp.reduce(total))
            k = int(np.argmax(total))
            if price + total[k] > best_value:
                best, best_value = (float(centres[low[k]]), float(centres[high[k]])), price + float(total[k])
    if not two:
        return -np.inf, best
    gain = np.logaddexp.reduce(two) + 2 * np.log(step) - np.logaddexp.reduce(one) - np.log(step)
    return float(gain), best


def _fair(good: Floats, low: NDArray[np.intp], high: NDArray[np.intp]) -> Floats:
    """0 where each of two centres has a fair share of the balls, minus infinity where it has not."""
    lower = (good[low] > good[high]).mean(1)
    return np.where((lower >= LEAST_SHARE) & (lower <= 1 - LEAST_SHARE), 0.0, -np.inf)


def _t(z: Floats, sd: float) -> Floats:
    df = priors.TAIL_DF
    scale = sd * np.sqrt((df - 2) / df)
    constant = gammaln((df + 1) / 2) - gammaln(df / 2) - 0.5 * np.log(df * np.pi) - np.log(scale)
    return np.asarray(constant - (df + 1) / 2 * np.log1p((z / scale) ** 2 / df))


def _mishit(z: Floats, sd: float) -> Floats:
    variance = KIND_VARIANCE + sd**2
    each = -0.5 * ((z - KIND_SHIFT) ** 2 / variance + np.log(variance)) + KIND_LOG_SHARE
    return np.asarray(np.logaddexp.reduce(each, axis=0))
