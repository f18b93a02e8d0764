"""The one place that asks the chart: from a plan and balls to the chart, what it means, what to hit next, and when it is enough.

Pages, keys, prints, commands and JSON all read an `Answer`; none asks for itself, so that no two can say different things.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Final

from threequarter.chart.fit import fit_chart
from threequarter.chart.meaning import Meaning, meaning
from threequarter.chart.mishits import Mishits, mishits
from threequarter.chart.next_ball import Advice, Limits, advise, after_a_move
from threequarter.chart.result import Cell, Chart
from threequarter.golf.ball import Carried
from threequarter.golf.plan import Plan, plan_of_balls

NO_LIMITS: Final = Limits()


@dataclass(frozen=True, kw_only=True, eq=False)
class Answer:
    """What is known of a player's shots: the plan that was asked, the balls (as carries, under the plan's names) and the chart.

    `moved`: the newest day went against the days before it, so that a chart of them all is not good enough.
    """

    plan: Plan
    balls: tuple[Carried, ...]
    chart: Chart
    limits: Limits = NO_LIMITS
    moved: bool = False

    @cached_property
    def meaning(self) -> Meaning:
        """The distances covered, gaps, doubles and what cannot be told apart."""
        return meaning(self.chart)

    @cached_property
    def advice(self) -> Advice:
        """What to hit next, balls to go, and whether it is enough."""
        found = advise(self.chart, self.balls, plan=self.asked, limits=self.limits)
        return after_a_move(found) if self.moved else found

    @cached_property
    def mishits(self) -> Mishits:
        """Balls read, charted and not good, in counts that add up."""
        return mishits(self.chart, self.balls)

    @cached_property
    def asked(self) -> tuple[Cell, ...]:
        """The shots that are planned or were hit, in the order of the chart."""
        return tuple(
            cell for cell in self.chart.cells if cell.balls or self.plan.holds(cell.club, cell.swing, cell.loft_deg)
        )


def answer(
    balls: Sequence[Carried], plan: Plan | None = None, limits: Limits = NO_LIMITS, *, warm: bool | None = None
) -> Answer:
    """The answer of `balls` (carries) to a `plan`; without one, to the shots that were hit. `warm` as in `fit_chart`.

    Raises UserError as `fit_chart`.
    """
    asked = plan or plan_of_balls(balls)
    named = asked.named_all(balls)
    chart = fit_chart(named, also=asked.shots if asked.stored else (), warm=warm)
    return Answer(plan=asked, balls=named, chart=chart, limits=limits)
