"""Rows that sum up the rows above them, proved by arithmetic whatever word stands before them."""

from collections.abc import Sequence
from typing import Final

from threequarter.golf.ball import Ball, MeasuredBy
from threequarter.golf.message import Message
from threequarter.intake.tables.context import Context

LEAST: Final = 3


def sums_up(value: float, above: Sequence[float], step: float, *, ends: bool) -> bool:
    """Whether a number is the mean or the sum of those above it (at least three), with `ends` also the largest or smallest."""
    if len(above) < LEAST:
        return False
    loose = 0.51 * step + 1e-9
    told = (sum(above) / len(above), sum(above), *((max(above), min(above)) if ends else ()))
    return any(abs(value - one) <= loose for one in told)


def once_each(balls: Sequence[Ball]) -> bool:
    """Whether each shot of each player stands there once."""
    return len({(ball.player, *ball.shot) for ball in balls}) == len(balls)


def ask_ball_or_mean(context: Context, text: Message) -> None:
    """Asks what a number stands for; a chart needs single balls, so that none is read before that is answered."""
    if context.options.each is None:
        context.ask("rows", text, "--each", ("ball", "mean"))
        context.hold_back = True


def ask_about_a_grid(context: Context) -> None:
    """Asks whether numbers are balls where every club has one for every swing: so a table of gaps looks, made of means."""
    balls = [draft.ball for draft in context.drafts]
    if any(ball.measured_by is MeasuredBy.PILE for ball in balls):
        return
    clubs, swings = {(ball.player, ball.club) for ball in balls}, {ball.swing for ball in balls}
    if len(clubs) > 1 < len(swings) and len(balls) == len(clubs) * len(swings) and once_each(balls):
        text = Message("intake.ask.grid", clubs=len({ball.club for ball in balls}), swings=len(swings))
        ask_ball_or_mean(context, text)
