"""How well a player knows their distances: what they said before seeing the number, against the number, over weeks."""

import datetime
import math
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from scipy.special import stdtrit

from threequarter.chart.result import Interval
from threequarter.golf.language import _, ngettext, number
from threequarter.golf.units import DistanceUnit, from_metres

LEAST_DAYS: Final = 3
"""Guesses of one day hang together (one eye, one wind), so days are what is counted; below this nothing is claimed."""
HIGH: Final = 0.95


@dataclass(frozen=True, slots=True, kw_only=True)
class Guess:
    """One guess: the day, and guess minus what was measured, in metres (positive: the player thought it went further)."""

    day: datetime.date
    error_m: float


@dataclass(frozen=True, slots=True, kw_only=True)
class GuessDay:
    """The guesses of one day: their mean error and mean miss (without its sign), metres."""

    day: datetime.date
    balls: int
    mean_error_m: float
    mean_miss_m: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Guessing:
    """How well distances are known, metres. `spread_m`: SD of the errors. Intervals are central 90 % Student t intervals over the
    days' means; None below three days. `trend_m` is the change of the mean miss per week (least squares over the days).
    """

    errors: tuple[Guess, ...]
    days: tuple[GuessDay, ...]
    mean_error_m: float
    mean_error90_m: Interval | None
    mean_miss_m: float
    spread_m: float
    trend_m: float | None
    trend90_m: Interval | None


def guessing(guesses: Sequence[Guess]) -> Guessing | None:
    """What the guesses say; None without any."""
    if not guesses:
        return None
    ordered = tuple(sorted(guesses, key=lambda guess: guess.day))
    days = _days(ordered)
    errors = np.array([guess.error_m for guess in ordered])
    means = np.array([one.mean_error_m for one in days])
    trend, trend90 = _trend(days)
    return Guessing(
        errors=ordered,
        days=days,
        mean_error_m=float(means.mean()),
        mean_error90_m=_interval(means),
        mean_miss_m=float(np.abs(errors).mean()),
        spread_m=float(errors.std(ddof=1)) if len(errors) > 1 else 0.0,
        trend_m=trend,
        trend90_m=trend90,
    )


def _days(guesses: Sequence[Guess]) -> tuple[GuessDay, ...]:
    by_day: dict[datetime.date, list[float]] = defaultdict(list)
    for guess in guesses:
        by_day[guess.day].append(guess.error_m)
    return tuple(
        GuessDay(
            day=day, balls=len(errors), mean_error_m=float(np.mean(errors)), mean_miss_m=float(np.mean(np.abs(errors)))
        )
        for day, errors in sorted(by_day.items())
    )


def _interval(means: np.ndarray) -> Interval | None:
    n = len(means)
    if n < LEAST_DAYS:
        return None
    half = float(stdtrit(n - 1, HIGH) * means.std(ddof=1) / math.sqrt(n))
    return Interval(float(means.mean()) - half, float(means.mean()) + half)


def _trend(days: Sequence[GuessDay]) -> tuple[float | None, Interval | None]:
    """The slope of the mean miss over the weeks with its interval (ordinary least squares, n - 2 degrees of freedom)."""
    n = len(days)
    if n < LEAST_DAYS:
        return None, None
    weeks = np.array([one.day.toordinal() / 7 for one in days])
    weeks -= weeks.mean()
    misses = np.array([one.mean_miss_m for one in days])
    squares = float(weeks @ weeks)
    slope = float(weeks @ misses) / squares
    rest = misses - misses.mean() - slope * weeks
    half = float(stdtrit(n - 2, HIGH) * math.sqrt(float(rest @ rest) / (n - 2) / squares))
    return slope, Interval(slope - half, slope + half)


def say(found: Guessing, unit: DistanceUnit) -> list[str]:
    """The same in sentences that claim no more than is known."""

    def told(value_m: float, sign: bool = False) -> str:
        return number(from_metres(value_m, unit), 1, sign=sign)

    count = len(found.errors)
    lines = [
        ngettext(
            "{count} guess, on average {miss} {unit} off.", "{count} guesses, on average {miss} {unit} off.", count
        ).format(count=count, miss=told(found.mean_miss_m), unit=unit)
    ]
    if found.mean_error90_m is None:
        lines.append(_("Guesses on three days will tell whether they lean to one side, and whether they get better."))
        return lines
    low, high = found.mean_error90_m.low, found.mean_error90_m.high
    span = f"{told(found.mean_error_m, sign=True)} {unit} [{told(low, sign=True)} … {told(high, sign=True)}]"
    if low > 0:
        lines.append(_("Thinks the balls go further than they do: {span}.").format(span=span))
    elif high < 0:
        lines.append(_("Thinks the balls go less far than they do: {span}.").format(span=span))
    else:
        lines.append(_("No leaning to one side that can be told: {span}.").format(span=span))
    if found.trend_m is not None and found.trend90_m is not None:
        low, high = found.trend90_m.low, found.trend90_m.high
        change = f"{told(found.trend_m, sign=True)} {unit} [{told(low, sign=True)} … {told(high, sign=True)}]"
        if high < 0:
            lines.append(_("Getting better: the miss changes by {change} a week.").format(change=change))
        elif low > 0:
            lines.append(_("Getting worse: the miss changes by {change} a week.").format(change=change))
        else:
            lines.append(_("No trend that can be told: the miss changes by {change} a week.").format(change=change))
    return lines
