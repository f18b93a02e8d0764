"""Has the player really improved, or is it luck? A test that may be looked at after every ball.

Scores (1: the player's own average miss) are compared over time by an e-process for the slope of a linear model: the
ratio of the marginal likelihoods with and without a slope, nuisance mean and variance integrated out by their
right-Haar priors, slope over sigma drawn from N(0, 1/phi) (Lindon, Ham, Tingley & Bojinov 2022, Anytime-valid linear
models, arXiv 2210.08589, eq. for the t statistic; Perez-Ortiz, Lardy, de Heide & Grunwald 2022, E-statistics, group
invariance and anytime-valid testing). For a player who does not improve the chance that it ever exceeds 1/alpha is at
most alpha (Ville 1939), whenever and however often one looks.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, Literal

import numpy as np
from numpy.typing import NDArray
from scipy.special import stdtr

from threequarter.chart.result import Interval
from threequarter.golf.message import Message

FALSE_IMPROVED: Final = 0.05
POWER: Final = 0.4
"""|z|^0.4 of a Gaussian miss is close to Gaussian (the absolute-value companion of Wilson & Hilferty 1931)."""
PHI: Final = 4.0
"""Prior precision of the change over the series in units of the spread of one transformed score: about half of it."""
LEAST_BALLS: Final = 10

Word = Literal["better", "worse", "not known yet"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Progress:
    """What the scores say so far.

    `change` is the last third's mean score over the first third's, minus 1 (-0.2: 20 % nearer), with `change90`.
    `evidence` is the e-value (20 or more: improved at 5 %). `balls_to_tell`: balls, at the same rate of change, after
    which it would be known in most cases; None where it is known or where no change is seen.
    """

    word: Word
    """A key; `verdict` is what a reader is told."""
    change: float
    change90: Interval
    evidence: float
    balls: int
    balls_to_tell: int | None

    @property
    def verdict(self) -> Message:
        """The verdict on "better, or luck?", and after how many balls it should be known."""
        if self.balls_to_tell:
            return Message("progress.not_known_until", balls=self.balls_to_tell)
        return Message(f"progress.{self.word.replace(' ', '_')}")


def progress(scores: Sequence[float], *, false_improved: float = FALSE_IMPROVED) -> Progress:
    """The verdict on scores in the order they were hit (smaller is better). Fewer than 10 balls: not known yet."""
    values = np.asarray(scores, dtype=float)
    n = len(values)
    evidence_better, evidence_worse = _evidence(values) if n >= LEAST_BALLS else (0.0, 0.0)
    word: Word = "not known yet"
    if max(evidence_better, evidence_worse) >= 1 / false_improved:
        word = "better" if evidence_better > evidence_worse else "worse"
    change, doubt = _change(values)
    needed = _balls_to_tell(values) if word == "not known yet" and n >= LEAST_BALLS else None
    return Progress(
        word=word,
        change=change,
        change90=doubt,
        evidence=max(evidence_better, evidence_worse),
        balls=n,
        balls_to_tell=needed,
    )


def _evidence(values: NDArray[np.float64]) -> tuple[float, float]:
    """The largest e-values up to now for falling and for rising scores, over all looks from LEAST_BALLS on."""
    y = values**POWER
    better = worse = 0.0
    for n in range(LEAST_BALLS, len(y) + 1):
        e, t = slope_evidence(y[:n])
        side = float(stdtr(n - 2, -t * np.sqrt(_shrink(n))))
        better = max(better, 2 * e * side)
        worse = max(worse, 2 * e * (1 - side))
    return better, worse


def _clock(n: int) -> NDArray[np.float64]:
    """The covariate: a learning curve in the log of the ball's number (power law of practice; Newell & Rosenbloom 1981)."""
    return np.asarray(np.log(np.arange(1, n + 1) + 10.0))


def _effective(n: int) -> float:
    x = _clock(n)
    return float(((x - x.mean()) ** 2).sum())


def _shrink(n: int) -> float:
    return _effective(n) / (_effective(n) + PHI)


def slope_evidence(y: NDArray[np.float64]) -> tuple[float, float]:
    """The e-value of a slope on the log clock and its t statistic, for n >= 3 values."""
    n = len(y)
    x = _clock(n) - _clock(n).mean()
    weight = float(x @ x)
    slope = float(x @ y) / weight
    residual = y - y.mean() - slope * x
    variance = float(residual @ residual) / (n - 2)
    if variance <= 0:
        return 1.0, 0.0
    t = slope * np.sqrt(weight / variance)
    f = t * t / (n - 2)
    ratio = PHI / (PHI + weight)
    log_e = 0.5 * np.log(ratio) - (n - 1) / 2 * (np.log1p(ratio * f) - np.log1p(f))
    return float(np.exp(log_e)), float(t)


def _change(values: NDArray[np.float64]) -> tuple[float, Interval]:
    """Last third over first third of the scores, minus 1, with a 90 % interval from the spread of half-normal scores."""
    third = len(values) // 3
    if third < 2:
        return 0.0, Interval(-1.0, np.inf)
    first, last = values[:third], values[-third:]
    ratio = float(np.log(np.sqrt((last**2).mean()) / np.sqrt((first**2).mean()))) if first.any() and last.any() else 0.0
    from scipy.special import fdtri

    low, high = np.sqrt(fdtri(third, third, [0.05, 0.95]))
    return float(np.expm1(ratio)), Interval(float(np.exp(ratio) * low - 1), float(np.exp(ratio) * high - 1))


def _balls_to_tell(values: NDArray[np.float64]) -> int | None:
    """Balls in all after which a slope like the one seen would reach the bound, if it goes on; None where it is not falling."""
    y = values**POWER
    t = slope_evidence(y)[1]
    if t >= 0:
        return None
    per_ball = t / np.sqrt(_effective(len(y)))
    for n in range(len(y) + 5, 2001, 5):
        weight = _effective(n)
        f = per_ball**2 * weight / (n - 2)
        ratio = PHI / (PHI + weight)
        if 0.5 * np.log(ratio) - (n - 1) / 2 * (np.log1p(ratio * f) - np.log1p(f)) >= np.log(1 / FALSE_IMPROVED):
            return n
    return None
