"""The standing chart computed from balls that were read before: pure, so that a process of its own can do it."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from threequarter.app.kept_charts import Standing
from threequarter.chart.fit import fit_chart
from threequarter.chart.mishits import mishits
from threequarter.chart.prepare import Also
from threequarter.golf.message import Message
from threequarter.practice.pooled import DayBalls, pool
from threequarter.practice.standing import recheck_newest
from threequarter.practice.through_time import DayCount, tracks

MOST_TRACKED: Final = 12
"""Days that are charted each alone, the newest."""
AT_ONCE: Final = 100
"""Balls of one day that are fitted while a page waits."""


@dataclass(frozen=True, slots=True, kw_only=True)
class DaysToFit:
    """Days, oldest first: the `numbers` of their sessions, their balls, what was `said` of these, the shots of the plan. `whole` where
    these are all days of a player: only then they are held against each other and charted each alone."""

    numbers: tuple[int, ...]
    days: tuple[DayBalls, ...]
    said: tuple[Message | str, ...]
    shots: Sequence[Also]
    whole: bool

    @property
    def quick(self) -> bool:
        """Whether it takes no longer than the chart of a day does."""
        return len(self.days) == 1 and len(self.days[0].balls) <= AT_ONCE


def fit_standing(asked: DaysToFit) -> Standing:
    """Computes everything that is kept of days; of some of them (not `whole`) only their chart."""
    found = pool(asked.days, also=asked.shots)
    tracked = asked.days[-MOST_TRACKED:] if asked.whole else ()
    alone = [(one.day, fit_chart(one.balls, also=asked.shots)) for one in tracked]
    bad = [(one.day, mishits(chart, one.balls)) for one, (_day, chart) in zip(tracked, alone, strict=True)]
    return Standing(
        days=asked.numbers,
        chart=found.chart,
        balls=found.balls,
        shifts=found.days,
        said=(*asked.said, *found.said),
        recheck=recheck_newest(asked.days, asked.shots) if asked.whole else None,
        tracks=tracks(alone) if alone else (),
        counts=tuple(DayCount(day=day, mishits=found.called, balls=found.seen) for day, found in bad),
    )
