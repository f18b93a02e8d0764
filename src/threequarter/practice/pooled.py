"""One chart from several days: balls brought to one air, then pooled, and how each day went against it."""

import datetime
import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from scipy.special import stdtrit

from threequarter.chart.fit import fit_chart
from threequarter.chart.one_air import to_one_air
from threequarter.chart.prepare import Also
from threequarter.chart.result import Chart, Interval
from threequarter.flight.weather import Weather
from threequarter.golf.ball import Ball, Carried, shot_key
from threequarter.golf.errors import UserError
from threequarter.golf.message import Message


@dataclass(frozen=True, slots=True, kw_only=True)
class DayBalls:
    """The balls of one day, as carries, and what is known of its weather."""

    day: datetime.date
    balls: Sequence[Carried]
    weather: Weather


@dataclass(frozen=True, slots=True, kw_only=True)
class DayShift:
    """How a day's good strikes went against the pooled chart: a share of carry with its 90 % interval; None for too few balls."""

    day: datetime.date
    balls: int
    shift: float | None
    shift90: Interval | None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Pooled:
    """The pooled chart (its days counted from 1 in order), its balls in one air, what was done to them in words, and each day."""

    chart: Chart
    balls: tuple[Carried, ...]
    said: tuple[Message, ...]
    days: tuple[DayShift, ...]


def pool(days: Sequence[DayBalls], also: Sequence[Also] = (), warm: bool | None = None) -> Pooled:
    """One chart of all days, oldest first; sessions of one date are one day, and one date stays in its own air. The doubt of the stock carries holds the spread between the days that was seen, and for
    one day alone that which is usual; the next ball is one of any day, so that it stands about its stock carry. `also` names shots to chart without a ball, `warm` as it (see `fit_chart`). Raises UserError without a ball."""
    ordered = sorted(days, key=lambda one: one.day)
    balls: list[Carried] = []
    dates = sorted({one.day for one in ordered})
    session_of: list[int] = []
    for place, one in enumerate(ordered):
        number = dates.index(one.day) + 1
        session_of += [place] * len(one.balls)
        balls += [replace(ball, day=number, number=len(balls) + k) for k, ball in enumerate(one.balls, start=1)]
    if not any(ball.use for ball in balls):
        raise UserError(Message("practice.no_ball"))
    weather: dict[int, Weather] = {}
    for one in ordered:  # of two sessions of one day the first that knows its weather tells it
        number = dates.index(one.day) + 1
        weather[number] = weather[number] if number in weather and weather[number].known else one.weather
    moved, said = to_one_air(balls, weather) if len(dates) > 1 else (tuple(balls), ())
    chart = fit_chart(moved, also=also, warm=warm, any_day=len(dates) > 1)
    return Pooled(chart=chart, balls=moved, said=said, days=_shifts(chart, moved, session_of, ordered))


def _shifts(
    chart: Chart, balls: Sequence[Ball], session_of: Sequence[int], days: Sequence[DayBalls]
) -> tuple[DayShift, ...]:
    stock = {shot_key(c.club, c.swing, c.loft_deg): math.log(c.stock_carry_m) for c in chart.cells}
    good = {verdict.number for verdict in chart.verdicts if not verdict.mishit}
    off: dict[int, list[float]] = {place: [] for place in range(len(days))}
    for ball, place in zip(balls, session_of, strict=True):
        centre = stock.get(ball.shot)
        if ball.number in good and centre is not None:
            off[place].append(math.log(ball.distance_m) - centre)
    return tuple(_day(one.day, sum(ball.use for ball in one.balls), off[place]) for place, one in enumerate(days))


def _day(day: datetime.date, balls: int, off: Sequence[float]) -> DayShift:
    if len(off) < 3:
        return DayShift(day=day, balls=balls, shift=None, shift90=None)
    middle = float(np.mean(off))
    half = float(stdtrit(len(off) - 1, 0.95) * np.std(off, ddof=1) / math.sqrt(len(off)))
    ends = Interval(math.expm1(middle - half), math.expm1(middle + half))
    return DayShift(day=day, balls=balls, shift=math.expm1(middle), shift90=ends)
