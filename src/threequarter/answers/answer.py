"""The one place that asks the chart: from a plan and balls to the chart, what it means, what to hit next, and when it is enough.

Pages, keys, prints, commands and JSON all read an `Answer`; none asks for itself, so that no two can say different things.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

from threequarter.chart.fit import fit_chart
from threequarter.chart.meaning import Meaning, meaning
from threequarter.chart.next_ball import Advice, advise
from threequarter.chart.result import Cell, Chart
from threequarter.golf.ball import Ball, MeasuredBy
from threequarter.golf.plan import Plan, plan_of_balls


@dataclass(frozen=True, slots=True, kw_only=True)
class Counts:
    """Balls that add up: `read` = `charted` + `marked` (warm-up, or left out in the file) + `set_aside` (by hand).

    `judged` are those of the charted ones that were seen one by one, `mishits` those of them that are likely mishits;
    `piled` lie behind readings of the middle of a pile, of which nobody knows how many were mishits.
    """

    read: int
    charted: int
    marked: int
    set_aside: int
    judged: int
    piled: int
    mishits: int


@dataclass(frozen=True, kw_only=True, eq=False)
class Answer:
    """What is known of a player's shots: the plan that was asked, the balls (as carries, under the plan's names) and the chart."""

    plan: Plan
    balls: tuple[Ball, ...]
    chart: Chart

    @cached_property
    def meaning(self) -> Meaning:
        """The distances covered, gaps, doubles and what cannot be told apart."""
        return meaning(self.chart)

    @cached_property
    def advice(self) -> Advice:
        """What to hit next, balls to go, and whether it is enough."""
        return advise(self.chart, self.asked)

    @cached_property
    def asked(self) -> tuple[Cell, ...]:
        """The shots that are planned or were hit, in the order of the chart."""
        return tuple(
            cell for cell in self.chart.cells if cell.balls or self.plan.holds(cell.club, cell.swing, cell.loft_deg)
        )

    def counts(self, set_aside: int = 0) -> Counts:
        """How many balls there are of each kind; `set_aside` of those that are not used were left out by hand."""
        used = [ball for ball in self.balls if ball.use]
        piled = [ball for ball in used if ball.measured_by is MeasuredBy.PILE or ball.count > 1]
        unused = sum(ball.count for ball in self.balls if not ball.use)
        charted, behind = sum(ball.count for ball in used), sum(ball.count for ball in piled)
        alone = {ball.number for ball in used} - {ball.number for ball in piled}
        return Counts(
            read=charted + unused,
            charted=charted,
            marked=unused - set_aside,
            set_aside=set_aside,
            judged=charted - behind,
            piled=behind,
            mishits=sum(verdict.mishit for verdict in self.chart.verdicts if verdict.number in alone),
        )


def answer(balls: Sequence[Ball], plan: Plan | None = None) -> Answer:
    """The answer of `balls` (carries) to a `plan`; without one, to the shots that were hit.

    Raises UserError as `fit_chart`.
    """
    asked = plan or plan_of_balls(balls)
    named = asked.named_all(balls)
    chart = fit_chart(named, also=asked.shots if asked.stored else ())
    return Answer(plan=asked, balls=named, chart=chart)
