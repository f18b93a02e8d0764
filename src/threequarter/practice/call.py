"""Call a number: say a carry, hit it, and score how far it ended from the number against what was possible.

What was possible is the player's own chart: the shot whose next good ball lies best around the called number. A score
of 1 is the miss that this player's own spread makes on average; 0.5 is twice as near; a professional's spread is
never used.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from threequarter.chart.result import Cell, Chart, Interval
from threequarter.golf.errors import UserError
from threequarter.golf.language import _, number

MEAN_ABS_OF_SD: Final = float(np.sqrt(2 / np.pi))
"""Mean absolute miss of a Gaussian with standard deviation 1."""
RESAMPLES: Final = 4000


@dataclass(frozen=True, slots=True, kw_only=True)
class Target:
    """A number to call, the shot the chart has for it, and the average miss possible with it."""

    carry_m: float
    club: str
    swing: str
    possible_miss_m: float


@dataclass(frozen=True, slots=True, kw_only=True)
class CalledBall:
    """One ball of a test: what was called, where it ended, and its score (1: the player's own average miss)."""

    target: Target
    ended_m: float

    @property
    def miss_m(self) -> float:
        """Ended minus called; positive is long."""
        return self.ended_m - self.target.carry_m

    @property
    def score(self) -> float:
        """The miss over the miss that was possible."""
        return abs(self.miss_m) / self.target.possible_miss_m


@dataclass(frozen=True, slots=True, kw_only=True)
class TestResult:
    """A test of N called balls. Scores are relative to the player's own spread; below 1 beats the chart.

    `score90` is the doubt of `score` from N balls; `long_share` the share that ended long; `bias_m` the median miss.
    """

    balls: int
    score: float
    score90: Interval
    miss_m: float
    bias_m: float
    long_share: float


def target_for(chart: Chart, carry_m: float) -> Target:
    """The shot with the smallest expected miss for a called carry.

    Raises UserError if no shot of the chart reaches the number within half of its spread of a 90 % ball.
    """
    best = min(chart.cells, key=lambda cell: expected_miss_m(cell, carry_m))
    if not best.next90_m.low <= carry_m <= best.next90_m.high:
        span = chart_span(chart)
        raise UserError(
            _("No shot of this chart carries {carry} m; it covers {low} to {high} m. Call a number inside it.").format(
                carry=number(carry_m), low=number(span.low), high=number(span.high)
            )
        )
    return Target(carry_m=carry_m, club=best.club, swing=best.swing, possible_miss_m=expected_miss_m(best, carry_m))


def chart_span(chart: Chart) -> Interval:
    """The shortest and the longest stock carry of a chart, in metres."""
    carries = [cell.stock_carry_m for cell in chart.cells]
    return Interval(min(carries), max(carries))


def expected_miss_m(cell: Cell, carry_m: float) -> float:
    """Mean absolute distance of the next good ball of a cell from a number (folded normal; Leone, Nelson & Nottingham
    1961, Technometrics 3, 543-550), with the doubt of the stock carry in the spread."""
    sd = float(np.hypot(cell.good_sd_m, cell.stock90_m.half / 1.645))
    offset = cell.stock_carry_m - carry_m
    from scipy.special import ndtr

    return float(sd * MEAN_ABS_OF_SD * np.exp(-0.5 * (offset / sd) ** 2) + offset * (1 - 2 * ndtr(-offset / sd)))


def call_numbers(chart: Chart, balls: int, rng: np.random.Generator) -> tuple[Target, ...]:
    """Random targets over the whole chart, never two neighbours from the same shot where it can be helped.

    Random order with one ball a target follows Shea & Morgan (1979, J. Exp. Psychol.: Hum. Learn. Mem. 5, 179-187);
    Cheong, Lay & Razman (2016, J. Sports Sci. Med. 15, 167-173) found no gain: it often helps, not always.
    Raises UserError for fewer than one ball.
    """
    if balls < 1:
        raise UserError(_("A test needs at least one ball, not {balls}.").format(balls=balls))
    span = chart_span(chart)
    targets: list[Target] = []
    while len(targets) < balls:
        tries = [_reachable(chart, rng, span) for _try in range(8)]
        last = (targets[-1].club, targets[-1].swing) if targets else None
        targets.append(next((t for t in tries if (t.club, t.swing) != last), tries[0]))
    return tuple(targets)


def _reachable(chart: Chart, rng: np.random.Generator, span: Interval) -> Target:
    while True:
        called = float(np.round(rng.uniform(span.low, span.high)))
        try:
            return target_for(chart, called)
        except UserError:  # the number fell into a hole of the chart
            continue


def score_test(balls: Sequence[CalledBall], rng: np.random.Generator) -> TestResult:
    """The result of a test with its doubt (90 %).

    Raises UserError without a ball.
    """
    if not balls:
        raise UserError(_("No ball of this test has been hit yet."))
    scores = np.array([ball.score for ball in balls])
    misses = np.array([ball.miss_m for ball in balls])
    return TestResult(
        balls=len(balls),
        score=float(scores.mean()),
        score90=_doubt(scores, rng),
        miss_m=float(np.abs(misses).mean()),
        bias_m=float(np.median(misses)),
        long_share=float((misses > 0).mean()),
    )


def _doubt(scores: NDArray[np.float64], rng: np.random.Generator) -> Interval:
    """Bayesian with a gamma prior worth two balls of score 1, for scores that are roughly half-normal.

    The mean square of half-normal scores over N balls is scaled chi-square with N degrees of freedom.
    """
    n = len(scores)
    total = float((scores**2).sum()) + 2 * np.pi / 2
    scale = np.sqrt(total / rng.chisquare(n + 2, RESAMPLES))
    low, high = np.quantile(scale * MEAN_ABS_OF_SD, [0.05, 0.95])
    return Interval(float(low), float(high))
