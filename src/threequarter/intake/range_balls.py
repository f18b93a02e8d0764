"""A player's own factor for range balls, from a few shots hit with both kinds of ball; with its doubt.

What a range ball loses differs from bucket to bucket, so no number of the trade is built in but a wide one to start from.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import exp, log, sqrt
from statistics import median
from typing import Final

from threequarter.golf.ball import AnyBall, Ball
from threequarter.golf.errors import UserError
from threequarter.golf.message import Message
from threequarter.intake.notes.read import NoteOptions, read_notes

PRIOR: Final = (log(0.97), 0.05)
"""Range ball over own ball, log, mean and SD before a pair is hit (common practice, no source)."""
BALL_SPREAD: Final = 0.07
"""Relative spread of single balls, until the pairs show their own."""
FAR_OFF: Final = 2.5


@dataclass(frozen=True, slots=True, kw_only=True)
class RangeFactor:
    """A range ball goes `times` as far as the player's own; `sd` is its relative doubt."""

    times: float
    sd: float
    balls: int

    def said(self) -> Message:
        """The factor with its 90 % range."""
        low, high = 100 * self.times * exp(-1.645 * self.sd), 100 * self.times * exp(1.645 * self.sd)
        return Message("intake.range_balls", share=100 * self.times, low=low, high=high, count=self.balls)


def range_factor(range_balls: Sequence[Ball], own_balls: Sequence[Ball]) -> RangeFactor:
    """The factor from balls of the same shots hit with both kinds. Raises UserError where no shot was hit with both.

    Shot by shot the difference of mean log carries, balls far off (mishits) left out, weighed by how many there are, pooled with
    the prior (normal with known spread; Gelman et al., Bayesian Data Analysis, ch. 2).
    """
    ours, theirs = _by_shot(own_balls), _by_shot(range_balls)
    both = [shot for shot in ours if shot in theirs]
    if not both:
        raise UserError(Message("intake.no_shot_was_hit_with"))
    spread = _spread([group[shot] for group in (ours, theirs) for shot in both])
    precision, total, count = 1 / PRIOR[1] ** 2, PRIOR[0] / PRIOR[1] ** 2, 0
    for shot in both:
        a, b = _good(theirs[shot]), _good(ours[shot])
        weight = 1 / (spread**2 * (1 / len(a) + 1 / len(b)))
        precision, total = precision + weight, total + weight * (sum(a) / len(a) - sum(b) / len(b))
        count += len(theirs[shot]) + len(ours[shot])
    return RangeFactor(times=exp(total / precision), sd=1 / sqrt(precision), balls=count)


def _by_shot(balls: Sequence[Ball]) -> dict[tuple[str, str], list[float]]:
    found: dict[tuple[str, str], list[float]] = {}
    for ball in balls:
        if ball.use:
            found.setdefault(ball.shot, []).append(log(ball.distance_m))
    return found


def _good(values: list[float]) -> list[float]:
    middle = median(values)
    return [v for v in values if abs(v - middle) <= FAR_OFF * BALL_SPREAD]


def _spread(groups: list[list[float]]) -> float:
    """Pooled SD of single balls, pulled to the usual one as by six balls."""
    squares, free = 6 * BALL_SPREAD**2, 6
    for values in groups:
        good = _good(values)
        mean = sum(good) / len(good)
        squares, free = squares + sum((v - mean) ** 2 for v in good), free + len(good) - 1
    return sqrt(squares / free)


def read_pairs(text: str, unit: str | None = None) -> RangeFactor:
    """A factor from lines that begin with "range" or "own": "range 54 chest 58 60 57" and "own 54 chest 62 61 63".

    Raises UserError for a line that begins otherwise, or cannot be read.
    """
    kinds: dict[str, list[str]] = {"range": [], "own": []}
    for row, line in enumerate(text.splitlines(), start=1):
        word, _space, rest = line.strip().partition(" ")
        if not word or word.startswith("#"):
            continue
        if word.casefold().rstrip(":") not in kinds:
            raise UserError(Message("intake.line_begins_with_each_line", line=row, word=word[:20]))
        kinds[word.casefold().rstrip(":")].append(rest)
    read = {}
    for kind, lines in kinds.items():
        reading = read_notes("\n".join(lines), NoteOptions(unit=unit or "m"), kind)
        if reading.error:
            raise UserError(reading.error)
        read[kind] = reading.balls
    return range_factor(read["range"], read["own"])


def to_own_ball(balls: Sequence[AnyBall], factor: RangeFactor) -> tuple[AnyBall, ...]:
    """Carries of range balls as the player's own ball would have gone; the factor's doubt is shared by all of them."""
    return tuple(
        replace(
            ball,
            distance_m=ball.distance_m / factor.times,
            shared_sd_m=sqrt((ball.shared_sd_m or 0.0) ** 2 + (factor.sd * ball.distance_m) ** 2) / factor.times,
        )
        for ball in balls
    )
