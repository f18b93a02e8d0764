"""All days of a player as one chart, and whether the days before the newest still hold: what pages and commands share."""

import datetime
from collections.abc import Sequence

from threequarter.chart.one_air import ORDINARY, to_one_air
from threequarter.chart.prepare import Also
from threequarter.chart.result import Chart
from threequarter.flight.weather import Weather
from threequarter.golf.ball import Carried
from threequarter.practice.pooled import DayBalls, pool
from threequarter.practice.recheck import MOVE, Recheck, recheck


def count_before(dates: Sequence[datetime.date]) -> int:
    """How many days, of which these are the dates (oldest first), the newest is held against; 0 where there is only one."""
    before = sum(one < dates[-1] for one in dates)
    return before or len(dates) - 1  # all on one date: the balls entered last against those before


def recheck_newest(days: Sequence[DayBalls], also: Sequence[Also] = ()) -> Recheck | None:
    """The newest of `days` (oldest first) against the chart of those before it, in one air; None where there is only one.

    `also` as in `pool`. Raises UserError without a ball.
    """
    count = count_before([one.day for one in days])
    if not count:
        return None
    before = days[:count]
    air = air_of([(one.day, one.weather) for one in before])
    return hold_against(pool(before, also=also).chart, air, days[count:])


def hold_against(chart: Chart, air: Weather, newest: Sequence[DayBalls], *, move: float = MOVE) -> Recheck:
    """Whether a `chart` made in an `air` still holds after the balls of the `newest` days, brought to that air; `move` as in `recheck`."""
    return recheck(chart, [ball for one in newest for ball in _in_air(one, air)], move=move)


def air_of(days: Sequence[tuple[datetime.date, Weather]]) -> Weather:
    """The air that the chart of some days is made in; unknown where that of every day is."""
    known = [weather for _day, weather in days if weather.known]
    return (ORDINARY if len({day for day, _weather in days}) > 1 else known[0]) if known else Weather()


def _in_air(day: DayBalls, air: Weather) -> Sequence[Carried]:
    """The balls of a day as they would have carried in the air of the chart they are held against, as far as both are known."""
    if not (day.weather.known and air.known):
        return day.balls
    return to_one_air(day.balls, {ball.day: day.weather for ball in day.balls}, air)[0]
