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
from threequarter.golf.message import Message

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


def messages(found: Guessing) -> tuple[Message, ...]:
    """The same as messages that claim no more than is known."""
    said = [Message("guesses.miss", count=len(found.errors), miss_m=found.mean_miss_m)]
    if found.mean_error90_m is None:
        return (*said, Message("guesses.too_few_days"))
    side = _side(found.mean_error90_m, "long", "short", "neither")
    said.append(Message(f"guesses.{side}", **_with_ends(found.mean_error_m, found.mean_error90_m)))
    if found.trend_m is not None and found.trend90_m is not None:
        side = _side(found.trend90_m, "worse", "better", "no_trend")
        said.append(Message(f"guesses.{side}", **_with_ends(found.trend_m, found.trend90_m)))
    return tuple(said)


def _side(interval: Interval, above: str, below: str, across: str) -> str:
    """Which word goes with an interval that lies above nought, below it or across it."""
    return above if interval.low > 0 else below if interval.high < 0 else across


def _with_ends(value_m: float, interval: Interval) -> dict[str, float]:
    return {"value_m": value_m, "low_m": interval.low, "high_m": interval.high}
