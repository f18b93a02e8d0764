"""Before the first ball: how many balls, in which order, for the doubt that is wanted."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from threequarter.chart import priors
from threequarter.chart.meaning import goal_m
from threequarter.chart.next_ball import MOST_BALLS, SECONDS_A_BALL, TAIL_COST, Design
from threequarter.chart.prepare import cell_names
from threequarter.chart.prior_field import base_covariance
from threequarter.golf.errors import UserError
from threequarter.golf.language import _, number

WARM_UP_BALLS: Final = 6
TYPICAL_SPREAD: Final = float(np.exp(priors.SPREAD_LOG[0]))
TYPICAL_MISHITS: Final = 0.14


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedCell:
    """So many balls with one club and swing."""

    club: str
    swing: str
    balls: int


@dataclass(frozen=True, slots=True, kw_only=True)
class SessionPlan:
    """The plan of a session: warm-up balls first, then one wedge with all its swings, then the next."""

    warm_up: int
    cells: tuple[PlannedCell, ...]
    minutes: int

    @property
    def balls(self) -> int:
        """All balls, warm-up included."""
        return self.warm_up + sum(cell.balls for cell in self.cells)


def plan_session(
    clubs: Sequence[str], swings: Sequence[str], *, spread: float = TYPICAL_SPREAD, mishit_rate: float = TYPICAL_MISHITS
) -> SessionPlan:
    """Balls a cell until the whole chart is expected to be good enough for a player of this spread.

    Raises UserError without a club or a swing, or for a spread outside 1 to 30 %.
    """
    if not clubs or not swings:
        raise UserError(_("A plan needs at least one club and one swing length."))
    if not 0.01 <= spread <= 0.30:
        raise UserError(
            _("A ball-to-ball spread of {spread} % is outside 1 to 30 %.").format(spread=number(100 * spread, None))
        )
    names = cell_names([(club, swing) for club in clubs for swing in swings])
    mean, covariance = base_covariance(names)
    goal = np.array([goal_m(c) / c for c in np.exp(mean)])
    design = Design(covariance, np.full(len(names), TAIL_COST * spread**2 / (1 - mishit_rate)), goal)
    count = np.zeros(len(names), dtype=int)
    first = [i for i, name in enumerate(names) if name.club == names[len(names) // 2].club]
    for i in first:  # one wedge first, each swing three times: the swing lengths are proved on one club
        for _time in range(3):
            design.hit(i)
            count[i] += 1
    while design.ratio() > 1.0 and count.sum() < MOST_BALLS:
        best = int(np.argmax(design.gains()))
        design.hit(best)
        count[best] += 1
    order = sorted(range(len(names)), key=lambda i: (i not in first, i))
    cells = tuple(PlannedCell(club=names[i].club, swing=names[i].swing, balls=int(count[i])) for i in order if count[i])
    minutes = round((WARM_UP_BALLS + count.sum()) * SECONDS_A_BALL / 60)
    return SessionPlan(warm_up=WARM_UP_BALLS, cells=cells, minutes=minutes)
