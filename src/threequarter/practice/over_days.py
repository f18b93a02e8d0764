"""What changed from day to day, one value a day with its 90 % range: mishits, spread, carry against the standing chart, match of the swing.

A change is told only where its own 90 % interval leaves out zero. The interval of a difference comes from the ranges of its
two ends (Zou & Donner 2008, Statistics in Medicine 27, 1693-1702), of spread on the scale of its log.
"""

import datetime
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final, Literal

import numpy as np
from scipy.special import chdtri, stdtrit

from threequarter.chart.result import Chart, Interval
from threequarter.golf.ball import Carried
from threequarter.practice.lesson import TAILS, wilson
from threequarter.practice.pooled import DayShift
from threequarter.practice.through_time import DayCount

Measure = Literal["mishits", "spread", "carry", "match"]
LEAST_BALLS: Final = 5
LEAST_SWINGS: Final = 2
LEAST_FREEDOM: Final = 3


@dataclass(frozen=True, slots=True, kw_only=True)
class DayValue:
    """One day: its value with the 90 % range, from so many balls or swings."""

    day: datetime.date
    value: float
    range90: Interval
    count: int


@dataclass(frozen=True, slots=True, kw_only=True)
class OverDays:
    """One measure over at least two days, oldest first.

    mishits: share of the balls; spread: ball-to-ball SD of good strikes as a share of the carry; carry: good strikes against the
    standing chart, as a share; match: degrees of the lead arm through less back.
    """

    measure: Measure
    points: tuple[DayValue, ...]

    @property
    def change90(self) -> Interval:
        """Last less first (of spread the log of their ratio), with 90 %."""
        first, last = self.points[0], self.points[-1]
        old, new = (self._scaled(one) for one in (first, last))
        by = new[1] - old[1]
        return Interval(
            by - math.hypot(new[1] - new[0], old[2] - old[1]), by + math.hypot(new[2] - new[1], old[1] - old[0])
        )

    @property
    def told(self) -> Literal["more", "less", "chance"]:
        """Whether the last day is above or below the first by more than chance does."""
        change = self.change90
        return "more" if change.low > 0 else "less" if change.high < 0 else "chance"

    def _scaled(self, one: DayValue) -> tuple[float, float, float]:
        ends = (one.range90.low, one.value, one.range90.high)
        return tuple(map(math.log, ends)) if self.measure == "spread" else ends  # type: ignore[return-value]


def of_balls(
    chart: Chart,
    balls: Sequence[Carried],
    dates: Sequence[datetime.date],
    shifts: Sequence[DayShift],
    counts: Sequence[DayCount],
) -> tuple[OverDays, ...]:
    """Mishits, spread and carry of the days of a standing chart; `dates` are those the balls' `day` counts from 1, `counts` the mishits
    as the page of each day tells them. A measure that fewer than two days tell is left out."""
    verdicts = {verdict.number: verdict for verdict in chart.verdicts}
    mine: dict[int, list[Carried]] = {}
    for ball in balls:
        if ball.use and ball.count == 1 and ball.number in verdicts:
            mine.setdefault(ball.day or 1, []).append(ball)
    spread: list[DayValue] = []
    for number, of_day in sorted(mine.items()):
        day, bad = dates[number - 1], [verdicts[ball.number].mishit for ball in of_day]
        good = [ball for ball, off in zip(of_day, bad, strict=True) if not off]
        spread += day_spread(day, good)
    carry = [
        DayValue(day=one.day, value=one.shift, range90=one.shift90, count=one.balls)
        for one in shifts
        if one.shift is not None and one.shift90 is not None
    ]
    found: tuple[tuple[Measure, Sequence[DayValue]], ...] = (
        ("mishits", _mishits(counts)),
        ("spread", spread),
        ("carry", carry),
    )
    return tuple(_over(measure, points) for measure, points in found if _days(points) > 1)


def _mishits(counts: Sequence[DayCount]) -> list[DayValue]:
    """Each date with its share of mishits."""
    points = []
    for day in sorted({one.day for one in counts}):
        bad, balls = (sum(part) for part in zip(*((o.mishits, o.balls) for o in counts if o.day == day), strict=True))
        if balls >= LEAST_BALLS:
            share, low, high = wilson(bad, balls)
            points.append(DayValue(day=day, value=share, range90=Interval(low, high), count=balls))
    return points


def of_swings(matches: Mapping[datetime.date, Sequence[tuple[float, float]]]) -> tuple[OverDays, ...]:
    """The match of the filmed swings of each day, each as (degrees through less back, its doubt). All swings of a day stand before one
    camera: its doubt does not shrink with their number."""
    points = []
    for day, swings in matches.items():
        by = np.array([one[0] for one in swings])
        if len(by) >= LEAST_SWINGS:
            chance = float(stdtrit(len(by) - 1, 0.95) * by.std(ddof=1) / math.sqrt(len(by)))
            half = math.hypot(chance, float(np.median([one[1] for one in swings])))
            middle = float(by.mean())
            points.append(
                DayValue(day=day, value=middle, range90=Interval(middle - half, middle + half), count=len(by))
            )
    return (_over("match", points),) if _days(points) > 1 else ()


def day_spread(day: datetime.date, good: Sequence[Carried]) -> list[DayValue]:
    """Each shot about its own mean of the day; chi-square range with fewer degrees of freedom, for tails longer than a Gaussian's."""
    shots: dict[tuple[str, str], list[float]] = {}
    for ball in good:
        shots.setdefault(ball.shot, []).append(math.log(ball.carry_m))
    df = sum(len(logs) - 1 for logs in shots.values())
    if df < LEAST_FREEDOM:
        return []
    rest = sum(float(((np.array(logs) - np.mean(logs)) ** 2).sum()) for logs in shots.values())
    if rest <= 0:
        return []
    sd, effective = math.sqrt(rest / df), df / TAILS
    low, high = (sd * math.sqrt(effective / float(chdtri(effective, tail))) for tail in (0.05, 0.95))
    return [DayValue(day=day, value=sd, range90=Interval(low, high), count=len(good))]


def _days(points: Sequence[DayValue]) -> int:
    return len({one.day for one in points})


def _over(measure: Measure, points: Sequence[DayValue]) -> OverDays:
    return OverDays(measure=measure, points=tuple(sorted(points, key=lambda one: one.day)))
