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
from threequarter.golf.message import Message
from threequarter.golf.swing_length import parse_swing

MEAN_ABS_OF_SD: Final = float(np.sqrt(2 / np.pi))
"""Mean absolute miss of a Gaussian with standard deviation 1."""
RESAMPLES: Final = 4000
PARTIAL_OF: Final = 3
"""At most one call in so many is for a full swing."""
OFF_STOCK: Final = 0.6
TRIES: Final = 60


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
        raise UserError(Message("practice.no_shot", carry_m=carry_m, low_m=span.low, high_m=span.high))
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
    """Random targets, at least two in three for partial swings, never two neighbours from the same shot where it can be helped.

    The player is told the number, not the club: choosing is part of the test.

    Random order with one ball a target follows Shea & Morgan (1979, J. Exp. Psychol.: Hum. Learn. Mem. 5, 179-187);
    Cheong, Lay & Razman (2016, J. Sports Sci. Med. 15, 167-173) found no gain: it often helps, not always.
    Raises UserError for fewer than one ball.
    """
    if balls < 1:
        raise UserError(Message("practice.no_balls", balls=balls))
    full = [cell for cell in chart.cells if _is_full(cell)]
    partial = [cell for cell in chart.cells if not _is_full(cell)]
    most_full = (balls // PARTIAL_OF if partial else balls) if full else 0
    wanted = [*_in_turn(full, most_full, rng), *_in_turn(partial or full, balls - most_full, rng)]
    targets = [_call(chart, cell, rng) for cell in wanted]
    order = [int(i) for i in rng.permutation(balls)]
    return tuple(targets[i] for i in _apart(order, targets))


def _is_full(cell: Cell) -> bool:
    return parse_swing(cell.swing).kind == "full"


def _in_turn(cells: Sequence[Cell], count: int, rng: np.random.Generator) -> list[Cell]:
    """So many shots, each as often as the others, in random order within each turn."""
    order: list[Cell] = []
    while cells and len(order) < count:
        order += [cells[int(i)] for i in rng.permutation(len(cells))]
    return order[:count]


def _call(chart: Chart, cell: Cell, rng: np.random.Generator) -> Target:
    """A number that a shot is best for, not always its stock carry."""
    for _try in range(TRIES):
        off = rng.uniform(-OFF_STOCK, OFF_STOCK) * cell.next90_m.half
        called = float(np.round(cell.stock_carry_m + off))
        best = min(chart.cells, key=lambda one: expected_miss_m(one, called))
        if best is cell and best.next90_m.low <= called <= best.next90_m.high:
            return target_for(chart, called)
    return target_for(chart, cell.stock_carry_m)


def _apart(order: list[int], targets: Sequence[Target]) -> list[int]:
    """The same order with two calls for one shot parted where it can be helped: the second goes to the first place where it fits."""

    def clash(one: int, other: int) -> bool:
        return _same(targets[one], targets[other])

    done: list[int] = []
    for i in order:
        if not done or not clash(done[-1], i):
            done.append(i)
            continue
        fits = (j for j in range(len(done)) if not clash(done[j], i) and (j == 0 or not clash(done[j - 1], i)))
        done.insert(next(fits, len(done)), i)
    return done


def _same(one: Target, other: Target) -> bool:
    return (one.club, one.swing) == (other.club, other.swing)


def score_test(balls: Sequence[CalledBall], rng: np.random.Generator) -> TestResult:
    """The result of a test with its doubt (90 %).

    Raises UserError without a ball.
    """
    if not balls:
        raise UserError(Message("practice.not_hit"))
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
