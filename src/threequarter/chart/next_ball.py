"""Which ball to hit next, what it will do to the doubt, and when to stop.

A further good ball with cell j is a noisy reading of its log centre; it lowers the doubt of every cell that shares a
club, a swing or the loft line (rank-one update of the joint Gaussian; expected value of sample information, Raiffa &
Schlaifer 1961). Stopping is judged by the whole pooled chart, never cell by cell: stopping each cell when it looks sure
picks the cells that look surer than they are.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from threequarter.chart import words
from threequarter.chart.meaning import goal_m
from threequarter.chart.result import Cell, Chart
from threequarter.golf.language import _, ngettext, number
from threequarter.golf.units import DistanceUnit

Floats = NDArray[np.float64]

Z90: Final = 1.645
TAIL_COST: Final = 1.12
"""A Student t reading with 8 degrees of freedom tells as much as a Gaussian one with this much more variance."""
SECONDS_A_BALL: Final = 40
MOST_BALLS: Final = 400
SHOWN: Final = 3


@dataclass(frozen=True, slots=True, kw_only=True)
class Next:
    """One suggestion: the cell, why, and the half-width (m) of its stock carry expected after one more ball."""

    cell: Cell
    why: str
    halfwidth_now_m: float
    expected_halfwidth_after_m: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Advice:
    """Suggestions, best first; whether the chart is good enough; and the balls and minutes to get there.

    `doubt_ratio` is the chart's doubt over its goal (root mean square over all cells): 1 or less is good enough.
    """

    suggestions: tuple[Next, ...]
    stop: bool
    doubt_ratio: float
    balls_to_go: int
    minutes_to_go: int


class Design:
    """The joint doubt of all cells, updated as imagined balls are hit."""

    def __init__(self, covariance: Floats, reading: Floats, goal: Floats, shared_sd: Floats | float = 0.0) -> None:
        self.covariance, self.reading, self.goal, self.shared_sd = covariance.copy(), reading, goal, shared_sd

    def ratio(self) -> float:
        return float(np.sqrt(np.mean(self.ratios() ** 2)))

    def ratios(self) -> Floats:
        return np.asarray(Z90 * np.sqrt(np.diagonal(self.covariance) + np.square(self.shared_sd)) / self.goal)

    def after(self, j: int) -> Floats:
        """Variances after one more ball with cell j; what all balls share stays."""
        column = self.covariance[:, j]
        return np.asarray(
            np.diagonal(self.covariance) - column**2 / (column[j] + self.reading[j]) + np.square(self.shared_sd)
        )

    def gains(self) -> Floats:
        """How much of the mean squared doubt one more ball with each cell takes away."""
        now = (self.ratios() ** 2).mean()
        return np.array([now - (Z90**2 * self.after(j) / self.goal**2).mean() for j in range(len(self.goal))])

    def hit(self, j: int) -> None:
        column = self.covariance[:, j].copy()
        self.covariance -= np.outer(column, column) / (column[j] + self.reading[j])


def advise(chart: Chart, allowed: Sequence[Cell] | None = None) -> Advice:
    """The next balls for a chart. `allowed` limits the suggestions (a club that is at hand)."""
    design = _design(chart)
    gains = design.gains()
    candidates = [i for i, cell in enumerate(chart.cells) if allowed is None or cell in allowed]
    best = sorted(candidates, key=lambda i: -gains[i])[:SHOWN]
    suggestions = []
    for i in best:
        cell = chart.cells[i]
        after = Z90 * float(np.sqrt(design.after(i)[i])) * cell.stock_carry_m
        now = float(design.ratios()[i] * design.goal[i]) * cell.stock_carry_m
        suggestions.append(Next(cell=cell, why=_why(chart, i), halfwidth_now_m=now, expected_halfwidth_after_m=after))
    ratio = design.ratio()
    more = _balls_to_go(design)
    return Advice(
        suggestions=tuple(suggestions),
        stop=ratio <= 1.0,
        doubt_ratio=ratio,
        balls_to_go=more,
        minutes_to_go=round(more * SECONDS_A_BALL / 60),
    )


def after_one_more(chart: Chart) -> tuple[float, ...]:
    """For each cell, in the order of `chart.cells`: half of the 90 % interval (m) of its stock carry after one more ball with it."""
    design = _design(chart)
    return tuple(Z90 * float(np.sqrt(design.after(i)[i])) * cell.stock_carry_m for i, cell in enumerate(chart.cells))


def _design(chart: Chart) -> Design:
    covariance = np.atleast_2d(np.cov(chart.draws_log_carry, rowvar=False)) - np.outer(chart.shared_sd, chart.shared_sd)
    covariance += np.diag(np.maximum(1e-8 - np.diagonal(covariance), 0.0))
    spread2 = np.exp(2 * chart.draws_log_sd).mean(axis=0)
    rate = np.array([cell.mishit_rate for cell in chart.cells])
    goal = np.array([goal_m(cell.stock_carry_m) / cell.stock_carry_m for cell in chart.cells])
    return Design(covariance, TAIL_COST * spread2 / (1 - rate), goal, chart.shared_sd)


def _balls_to_go(design: Design) -> int:
    ahead = Design(design.covariance, design.reading, design.goal, design.shared_sd)
    for hit in range(MOST_BALLS):
        if ahead.ratio() <= 1.0:
            return hit
        ahead.hit(int(np.argmax(ahead.gains())))
    return MOST_BALLS


def _why(chart: Chart, i: int) -> str:
    cell = chart.cells[i]
    if cell.balls == 0:
        return _("{shot} has not been hit yet, and it tells about its neighbours too").format(shot=words.shot(cell))
    ratio = cell.stock90_m.half / goal_m(cell.stock_carry_m)
    if ratio > 1:
        return ngettext(
            "{shot} is the least sure for its length after {count} ball",
            "{shot} is the least sure for its length after {count} balls",
            cell.balls,
        ).format(shot=words.shot(cell), count=cell.balls)
    return _("one more {shot} also steadies the shots that share its club and its swing").format(shot=words.shot(cell))


def goal_words() -> str:
    """How well a chart is to be known."""
    return _("the looser of ±2 yd and ±3 %, over the whole chart (90 %)")


def say(advice: Advice, unit: DistanceUnit) -> list[str]:
    """The advice in sentences."""
    if advice.stop:
        return [_("Good enough: the chart as a whole is known to ±2 yd or ±3 %. Stop here, or hit what you enjoy.")]
    first = advice.suggestions[0]
    now, after = (
        words.rounded(10 * value, unit) / 10 for value in (first.halfwidth_now_m, first.expected_halfwidth_after_m)
    )
    if advice.balls_to_go >= MOST_BALLS:
        return [
            _(
                "More balls alone will not make this chart good enough (±2 yd or ±3 %): the way of measuring, or the spread, is too"
                " wide. Measure with something surer, or check the length of your step over a known distance."
            )
        ]
    return [
        _("Next ball: {shot}. {why}: ±{now} now, about ±{after} {unit} after it.").format(
            shot=words.shot(first.cell), why=f"{first.why[0].upper()}{first.why[1:]}", now=number(now, 1),
            after=number(after, 1), unit=unit,
        ),
        ngettext(
            "About {count} ball more ({minutes} minutes) make the chart good enough (±2 yd or ±3 %).",
            "About {count} balls more ({minutes} minutes) make the chart good enough (±2 yd or ±3 %).",
            advice.balls_to_go,
        ).format(count=advice.balls_to_go, minutes=advice.minutes_to_go),
    ]  # fmt: skip
