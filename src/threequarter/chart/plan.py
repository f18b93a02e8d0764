"""Before the first ball: how many balls, in which order, in the minutes and with the balls there are.

Two rounds: each shot is hit, then come back to, since a shot that was hit in one go cannot be told from getting tired or getting better.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from threequarter.chart import priors
from threequarter.chart.design import LEAST_BALLS, Design, tail_cost
from threequarter.chart.goal import OF_SPREAD, WIDE, promise_m
from threequarter.chart.next_ball import CHANGE_S, CHILD_BALLS, MOST_BALLS, SECONDS_A_BALL
from threequarter.chart.prepare import CellName, cell_names
from threequarter.chart.prior_field import base_covariance
from threequarter.golf.errors import UserError
from threequarter.golf.message import Message

WARM_UP_BALLS: Final = 6
TWICE: Final = 4
"""Two balls in each of the two rounds."""
TALK_S: Final = 300
"""To agree on the swing lengths, film one of each and look at it."""
PAUSE_S: Final = 120
PAUSE_EVERY: Final = 30
"""So long a pause after so many balls. All common practice, no source."""
TYPICAL_SPREAD: Final = float(np.exp(priors.SPREAD_LOG[0]))
TYPICAL_MISHITS: Final = 0.14
MOST_BALLS_PLANNED: Final = 500
LEAST_MINUTES: Final = 15


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedCell:
    """So many balls with one club and swing, over all rounds."""

    club: str
    swing: str
    balls: int


@dataclass(frozen=True, slots=True, kw_only=True)
class SessionPlan:
    """The plan of a session: warm-up balls first, then two rounds, each one wedge with its swings, then the next.

    `cells` are the balls of each shot over both rounds, `left_out` the shots that the minutes or the balls do not reach.
    `doubt_ratio`: the uncertainty that is to be expected over the goal, 1 or less is good enough.
    """

    warm_up: int
    cells: tuple[PlannedCell, ...]
    rounds: tuple[tuple[PlannedCell, ...], ...]
    left_out: tuple[PlannedCell, ...]
    minutes: int
    doubt_ratio: float
    messages: tuple[Message, ...]

    @property
    def balls(self) -> int:
        """All balls, warm-up included."""
        return self.warm_up + sum(cell.balls for cell in self.cells)

    @property
    def enough(self) -> bool:
        """Whether the chart is expected to be good enough after it."""
        return not self.left_out and self.doubt_ratio <= 1.0


def plan_session(
    clubs: Sequence[str],
    swings: Sequence[str],
    *,
    spread: float = TYPICAL_SPREAD,
    mishit_rate: float = TYPICAL_MISHITS,
    minutes: float | None = None,
    balls: int | None = None,
    full_m: float | None = None,
    child: bool = False,
) -> SessionPlan:
    """Balls a shot until the whole chart is expected to be good enough for a player of this spread, within `minutes` (talk, film and
    pauses counted) and `balls` (warm-up counted). `full_m`: carry of the player's full swing with a 54, or the wedge nearest to it.

    Never fewer than three balls a shot: where they do not reach for all, shots are left for another time, one wedge with all its
    swings first. Raises UserError without a club or a swing, or for a number that cannot be.
    """
    _check(clubs, swings, spread, minutes, balls, full_m)
    names = cell_names([(club, swing) for club in clubs for swing in swings])
    most = _most(minutes, balls, len({name.club for name in names}), child)
    first = _first_club(names)
    order = sorted(range(len(names)), key=lambda i: (names[i].club != first, i))
    kept = sorted(order[: max(1, most // LEAST_BALLS)])
    design = _design([names[i] for i in kept], spread, mishit_rate, full_m)
    count = design.needs(np.zeros(len(kept), dtype=np.intp), most, min(TWICE, most // len(kept)))
    for j in np.repeat(np.arange(len(kept)), count):
        design.hit(int(j))
    planned = {i: int(n) for i, n in zip(kept, count, strict=True)}
    shots = [i for i in order if i in planned]
    cells = tuple(_cell(names[i], planned[i]) for i in shots)
    left_out = tuple(_cell(name, LEAST_BALLS) for i, name in enumerate(names) if i not in planned)
    took = _minutes(sum(planned.values()), len({names[i].club for i in planned}))
    ratio = design.ratio()
    return SessionPlan(
        warm_up=WARM_UP_BALLS,
        cells=cells,
        rounds=_rounds(cells),
        left_out=left_out,
        minutes=took,
        doubt_ratio=ratio,
        messages=_said(sum(planned.values()) + WARM_UP_BALLS, took, ratio, left_out),
    )


def _check(
    clubs: Sequence[str],
    swings: Sequence[str],
    spread: float,
    minutes: float | None,
    balls: int | None,
    full_m: float | None,
) -> None:
    if not clubs or not swings:
        raise UserError(Message("plan.nothing"))
    if not 0.01 <= spread <= 0.30:
        raise UserError(Message("plan.spread", spread_share=spread))
    if minutes is not None and not LEAST_MINUTES <= minutes <= 600:
        raise UserError(Message("plan.minutes", minutes=minutes, least=LEAST_MINUTES))
    least = WARM_UP_BALLS + LEAST_BALLS
    if balls is not None and not least <= balls <= MOST_BALLS_PLANNED:
        raise UserError(Message("plan.balls", balls=balls, least=least, most=MOST_BALLS_PLANNED))
    if full_m is not None and not 15 <= full_m <= 150:
        raise UserError(Message("plan.full", full_m=full_m, least_m=15.0, most_m=150.0))


def _most(minutes: float | None, balls: int | None, clubs: int, child: bool) -> int:
    """Balls for the chart, the warm-up taken off."""
    most = min(balls or MOST_BALLS, CHILD_BALLS if child else MOST_BALLS) - WARM_UP_BALLS
    if minutes is None:
        return most
    while most > LEAST_BALLS and _seconds(most, clubs) > minutes * 60:
        most -= 1
    return most


def _seconds(balls: int, clubs: int) -> float:
    """Seconds of a session with so many balls for the chart: talk and film, warm-up, balls, changes of club in two rounds, pauses."""
    changes = 2 * max(clubs, 1) - 1
    pauses = (balls - 1) // PAUSE_EVERY
    return TALK_S + (WARM_UP_BALLS + balls) * SECONDS_A_BALL + changes * CHANGE_S + pauses * PAUSE_S


def _minutes(balls: int, clubs: int) -> int:
    return round(_seconds(balls, clubs) / 60)


def _first_club(names: Sequence[CellName]) -> str:
    """The wedge that the swing lengths are proved on: the middle one."""
    clubs = list(dict.fromkeys(name.club for name in names))
    return clubs[len(clubs) // 2]


def _design(names: Sequence[CellName], spread: float, mishit_rate: float, full_m: float | None) -> Design:
    mean, covariance = base_covariance(names)
    if full_m is not None:
        mean = mean + np.log(full_m) - priors.FULL_54_LOG_M
    carry = np.exp(mean)
    goal = np.array([max(promise_m(c) / c, OF_SPREAD * WIDE * spread) for c in carry])
    reading = np.full(len(names), tail_cost(priors.TAIL_DF) * spread**2 / (1 - mishit_rate))
    return Design(covariance, reading, goal)


def _rounds(cells: Sequence[PlannedCell]) -> tuple[tuple[PlannedCell, ...], ...]:
    """Each shot's balls in two parts, the larger first; the second round begins with the club that the first ends with."""
    first = [PlannedCell(club=c.club, swing=c.swing, balls=-(-c.balls // 2)) for c in cells]
    clubs = list(dict.fromkeys(cell.club for cell in cells))
    back = sorted(cells, key=lambda cell: -clubs.index(cell.club))
    second = [PlannedCell(club=c.club, swing=c.swing, balls=c.balls // 2) for c in back if c.balls > 1]
    return tuple(first), tuple(second)


def _cell(name: CellName, balls: int) -> PlannedCell:
    return PlannedCell(club=name.club, swing=name.swing, balls=balls)


def _said(balls: int, minutes: int, ratio: float, left_out: Sequence[PlannedCell]) -> tuple[Message, ...]:
    told = [Message("plan.takes" if ratio <= 1.0 else "plan.begins", balls=balls, minutes=minutes)]
    if left_out:
        told.append(Message("plan.left_out", shots=tuple(f"{cell.club} {cell.swing}" for cell in left_out)))
    told.append(Message("plan.two_rounds"))
    return tuple(told)
