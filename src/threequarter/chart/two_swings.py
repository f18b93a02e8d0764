"""Two swings under one name: balls of one cell that gather about two centres instead of one.

For a cell with enough readings the evidence for one centre is weighed against that for two (marginal likelihoods on a
grid; Kass & Raftery 1995, J. Am. Stat. Assoc. 90, 773-795), mishits allowed in both. Where the cell lies, how wide it is
and how often it is mishit are averaged over what the player's other cells make likely, the cell's own balls left out: one
centre must lie where they put it, of two centres one must. The bar was set by simulation on one half of the kinds of
players (`benchmarks/two_swings_power.py`), which also prints the power, beside that of a test that knows the player.
"""

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
BAR: Final = 2.5
"""Set on the null: 14 of 1 888 normal shots, 14 of 162 sessions (tuned half, seeds 41 and 42)."""
SUSPECT: Final = -0.5
WIDE: Final = 1.1
"""Cells whose balls reach less than this many usual spreads are not looked at: two swings make a cell wide."""
SPREAD_STEPS: Final = np.array([-1.5, -0.75, 0.0, 0.75, 1.5])
SPREAD_WEIGHTS: Final = np.exp(-0.5 * SPREAD_STEPS**2) / np.exp(-0.5 * SPREAD_STEPS**2).sum()
SPREAD_DOUBT: Final = 0.05
"""Spreads looked at, in SDs of what is not known of the log spread; the last is added to that SD."""
RATE_LEVELS: Final = np.array([0.17, 0.5, 0.83])
RATE_ENDS: Final = (0.003, 0.54)
"""Quantiles of the mishit rate that are looked at, and between which bounds."""
SHARES: Final = np.array([0.3, 0.5, 0.7])
STEPS: Final = 31
BEYOND: Final = 0.05
GAP_SD: Final = 0.18
"""How far apart two swings of one name lie, log carry: half of a normal law of this SD."""
PREDICTION_FLOOR: Final = 0.022
KIND_SHIFT: Final = priors.KIND_SHIFT[:, None, None]
KIND_VARIANCE: Final = priors.KIND_SD[:, None, None] ** 2
KIND_LOG_SHARE: Final = np.log(priors.KIND_SHARE)[:, None, None] - 0.5 * np.log(2 * np.pi)


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


@dataclass(frozen=True, slots=True, kw_only=True)
class Expected:
    """What is expected of a cell: mean and SD of its log centre (None: anywhere), spreads and mishit rates with their weights."""

    centre: tuple[float, float] | None
    spreads: tuple[tuple[float, float], ...]
    rates: tuple[tuple[float, float], ...]


def find_two_swings(readings: Readings, posterior: Posterior, bar: float = BAR) -> tuple[TwoSwings, ...]:
    """Cells in which two swings seem to hide under one name."""
    found = []
    spread = np.exp(posterior.log_sd.mean(axis=0))
    for cell in range(len(readings.names)):
        mine = (readings.cell == cell) & (readings.count == 1)
        if mine.sum() < LEAST_READINGS or cell in readings.piles:
            continue
        noise = float(readings.noise[mine].mean())
        level, rate = _usual_spread(readings, spread, cell, noise), float(posterior.mishits[:, cell].mean())
        y = readings.log_carry[mine] - posterior.shift[mine]
        low, high = np.quantile(y, [0.1, 0.9])
        at_once = Expected(centre=None, spreads=((level, 1.0),), rates=((rate, 1.0),))
        if (high - low) / 2.563 < WIDE * level or weigh(y, at_once)[0] < SUSPECT:
            continue
        gain, centres = weigh(y, _expected(readings, posterior, cell, noise))
        if gain >= bar:
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


def _expected(readings: Readings, posterior: Posterior, cell: int, noise: float) -> Expected:
    """What the other cells alone make likely; where there are none, what the balls themselves say of spread and mishits."""
    rest = readings.without(cell)
    centre = None
    if len(rest.log_carry):
        posterior = infer(rest, part=True)
        drawn = posterior.drawn[:, cell]
        centre = float(drawn.mean()), float(np.hypot(drawn.std(), PREDICTION_FLOOR))
    log_sd = posterior.log_sd[:, cell]
    spreads = np.exp(log_sd.mean() + SPREAD_STEPS * np.hypot(log_sd.std(), SPREAD_DOUBT))
    rates = np.clip(np.quantile(posterior.mishits[:, cell], RATE_LEVELS), *RATE_ENDS)
    return Expected(
        centre=centre,
        spreads=tuple(zip(np.hypot(spreads, np.sqrt(noise)).tolist(), SPREAD_WEIGHTS.tolist(), strict=True)),
        rates=tuple((rate, 1 / len(rates)) for rate in rates.tolist()),
    )


def weigh(y: Floats, expected: Expected) -> tuple[float, tuple[float, float]]:
    """Log Bayes factor of two centres over one for log carries `y`, and the likeliest two centres."""
    centres = np.linspace(y.min() - BEYOND, y.max() + BEYOND, STEPS)
    step = float(np.log(centres[1] - centres[0]))
    placed = _placed(centres, expected.centre)
    shares = SHARES if len(expected.spreads) > 1 else SHARES[1:2]
    one, two = [], []
    best, best_value = (float(y.min()), float(y.max())), -np.inf
    for sd, weight in expected.spreads:
        z = y[None] - centres[:, None]
        good, bad = _t(z, sd), _mishit(z, sd)
        low, high = np.nonzero(centres[None, :] > centres[:, None] + LEAST_GAP * sd)
        apart = -0.5 * ((centres[high] - centres[low]) / GAP_SD) ** 2 - np.log(GAP_SD * np.sqrt(np.pi / 2))
        pairs = np.logaddexp(placed[low], placed[high]) - np.log(2) + apart + _fair(good, low, high)
        for rate, chance in expected.rates:
            price = np.log(weight * chance)
            each = np.logaddexp(np.log1p(-rate) + good, np.log(rate) + bad)
            one.append(price + step + np.logaddexp.reduce(each.sum(1) + placed))
            for share in shares if len(low) else ():
                mixed = np.logaddexp(np.log(share) + each[low], np.log(1 - share) + each[high])
                total = price - np.log(len(shares)) + mixed.sum(1) + pairs
                two.append(2 * step + np.logaddexp.reduce(total))
                k = int(np.argmax(total))
                if total[k] > best_value:
                    best, best_value = (float(centres[low[k]]), float(centres[high[k]])), float(total[k])
    if not two:
        return -np.inf, best
    return float(np.logaddexp.reduce(two) - np.logaddexp.reduce(one)), best


def _placed(centres: Floats, where: tuple[float, float] | None) -> Floats:
    """Log density of a centre: near where the other cells put it or, as cells do, off it; 0 where there are no others."""
    if where is None:
        return np.zeros(len(centres))
    off = centres - where[0]
    near = np.log(1 - priors.OFF_SHARE) - 0.5 * (off / where[1]) ** 2 - np.log(where[1])
    away = np.log(priors.OFF_SHARE) - 0.5 * (off / priors.FREE_SD) ** 2 - np.log(priors.FREE_SD)
    return np.asarray(np.logaddexp(near, away) - 0.5 * np.log(2 * np.pi))


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
