"""What a coach would notice about balls before any chart is made of them, in one line each; nothing is changed by it."""

from collections.abc import Sequence
from itertools import pairwise
from statistics import mean, median, pstdev
from typing import Final

from threequarter.golf.ball import Ball
from threequarter.golf.message import Message
from threequarter.golf.swing_length import parse_swing

LEAST: Final = 4
"""Balls of a shot from which on its spread tells something."""
WIDE_SPREAD: Final = 0.35
"""More than three times a mid-handicapper's 10 % (common practice, no source): balls that differ more are hardly one shot."""
LONG_RUN: Final = 6


def check(balls: Sequence[Ball]) -> list[Message]:
    """Lines about what does not look like one session of wedge shots."""
    shots: dict[tuple[str | None, str, str], list[Ball]] = {}
    for ball in balls:
        if ball.use:
            shots.setdefault((ball.player, ball.club, ball.swing), []).append(ball)
    return [line for line in (_spread(shots), _by_loft(shots), _by_swing(shots), _sides(balls), _runs(balls)) if line]


Shots = dict[tuple[str | None, str, str], list[Ball]]


def golf_doubts(balls: Sequence[Ball]) -> tuple[str, Message] | None:
    """What golf speaks against so much that it is asked about: the subject and the line."""
    shots: dict[tuple[str | None, str, str], list[Ball]] = {}
    for ball in balls:
        if ball.use:
            shots.setdefault((ball.player, ball.club, ball.swing), []).append(ball)
    for about, line in (("club", _by_loft(shots)), ("swing", _by_swing(shots)), ("offline", _sides(balls))):
        if line:
            return about, line
    far = [[ball.distance_m for ball in one] for one in shots.values() if len(one) >= LEAST]
    wide = sum(pstdev(one) > WIDE_SPREAD * mean(one) for one in far)
    line = _spread(shots)
    return ("swing", line) if line and len(far) > 0 and wide > 0.5 * len(far) else None


def _spread(shots: Shots) -> Message | None:
    for (_player, club, swing), balls in shots.items():
        far = [ball.distance_m for ball in balls]
        if len(far) >= LEAST and pstdev(far) > WIDE_SPREAD * mean(far):
            shot = f"{club} {swing}".strip() or Message("intake.check.one_shot")
            return Message("intake.check.spread", shot=shot, percent=round(100 * pstdev(far) / mean(far)))
    return None


def _middles(shots: Shots) -> list[tuple[str | None, float | None, str, float]]:
    return [
        (player, balls[0].loft_deg, swing, median(ball.distance_m for ball in balls))
        for (player, _club, swing), balls in shots.items()
        if len(balls) >= LEAST
    ]


def _by_loft(shots: Shots) -> Message | None:
    """More loft, same swing: the ball flies less far. Said where most pairs of shots say the contrary."""
    pairs = [
        one[3] > two[3] * 0.98
        for one in _middles(shots)
        for two in _middles(shots)
        if one[1] is not None and two[1] is not None and one[1] + 3 < two[1] and one[0] == two[0] and one[2] == two[2]
    ]
    if len(pairs) >= 2 and sum(pairs) < 0.4 * len(pairs):
        return Message("intake.check.loft")
    return None


def _by_swing(shots: Shots) -> Message | None:
    """A longer swing flies further, where the names tell how long the swings are."""
    reach = {swing: parse_swing(swing).reach for _player, _club, swing in shots}
    pairs = [
        one[3] < two[3] * 1.02
        for one in _middles(shots)
        for two in _middles(shots)
        if one[0] == two[0] and one[1] == two[1] and (reach[one[2]] or 9) + 0.05 < (reach[two[2]] or 0)
    ]
    if len(pairs) >= 2 and sum(pairs) < 0.4 * len(pairs):
        return Message("intake.check.swing")
    return None


def _sides(balls: Sequence[Ball]) -> Message | None:
    wide = [ball for ball in balls if ball.offline_m is not None and abs(ball.offline_m) > 0.6 * ball.distance_m]
    if len(wide) > max(2, 0.15 * len(balls)):
        return Message("intake.check.sides", count=len(wide))
    return None


def _runs(balls: Sequence[Ball]) -> Message | None:
    """The same distance many times in a row: a target, a mean, or a cell dragged down."""
    run = 1
    for one, two in pairwise(balls):
        run = run + 1 if one.distance_m == two.distance_m and one.count == two.count == 1 else 1
        if run >= LONG_RUN and one.distance_m != round(one.distance_m):
            row = two.place.row if two.place else two.number
            return Message("intake.check.same", row=row, count=run)
    return None
