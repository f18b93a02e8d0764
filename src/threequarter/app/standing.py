"""The standing chart of a player: all days brought to one air and pooled; and whether it still holds after the newest day."""

import datetime
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

from threequarter.answers.answer import Answer
from threequarter.app.charts import SessionChart, need_chart, use_preferences, weather_of
from threequarter.chart.one_air import ORDINARY, to_one_air
from threequarter.chart.result import Chart
from threequarter.flight.weather import Weather
from threequarter.golf.ball import Carried
from threequarter.golf.errors import UserError
from threequarter.golf.message import Message
from threequarter.golf.plan import Plan, plan_of_balls
from threequarter.golf.units import DistanceUnit
from threequarter.language.localize import _, locale
from threequarter.measurement.carry import to_carry
from threequarter.practice.pooled import DayBalls, DayShift, Pooled, pool
from threequarter.practice.recheck import Recheck, recheck
from threequarter.store.people.plans import Plans
from threequarter.store.results import Facts, SessionInfo
from threequarter.store.store import Store

MOST_DAYS: Final = 24
"""Days that a standing chart is made of, the newest."""
KEPT: Final = 128


@dataclass(frozen=True, slots=True, kw_only=True)
class Day:
    """A day of a player: what is known of it, and its balls as carries under the names of the plan."""

    info: SessionInfo
    facts: Facts
    balls: tuple[Carried, ...]
    weather: Weather
    said: tuple[Message, ...]


@dataclass(frozen=True, slots=True, eq=False)
class StandingChart(SessionChart):
    """A chart of several days: `days` it was made from, oldest first, and how each went against it (`shifts`)."""

    days: tuple[Day, ...] = ()
    shifts: tuple[DayShift, ...] = ()


def days_of(store: Store, player: str, plan: Plan | None) -> tuple[Day, ...]:
    """The days of a player on which balls were hit, oldest first; of one date the first entered first."""
    infos = [info for info in store.sessions([player], newest=MOST_DAYS) if info.balls]
    days = []
    for info in sorted(infos, key=lambda one: (one.held_on, one.made_at, one.id)):
        balls = store.session_balls(info.id)
        if any(ball.use for ball in balls):
            carried, said = to_carry(plan.named_all(balls) if plan else balls, info.ground)  # type: ignore[arg-type]
            facts = store.facts(info.id)
            made = Day(info=info, facts=facts, balls=tuple(carried), weather=weather_of(facts), said=tuple(said))
            days.append(made)
    return tuple(days)


def standing_chart(
    store: Store, player: str, unit: DistanceUnit | None = None, only: Sequence[int] = ()
) -> StandingChart | None:
    """All days of a player (or `only` these) as one chart by their plan, in their units; None without a ball."""
    plan = Plans(store).of_player(player)
    every = days_of(store, player, plan)
    days = tuple(day for day in every if not only or day.info.id in only)
    reader = use_preferences(store, player)
    if not days:
        return None
    return _charted(days, plan, unit or reader.distance or days[-1].info.unit)


def _charted(days: Sequence[Day], plan: Plan | None, unit: DistanceUnit) -> StandingChart:
    asked, found = _pooled(tuple((day.info.held_on, day.balls, day.weather) for day in days), plan, locale())
    said = dict.fromkeys(line for day in days for line in day.said)
    one = Answer(plan=asked, balls=found.balls, chart=found.chart)
    several = len({day.info.held_on for day in days}) > 1
    known = [day.weather for day in days if day.weather.known]
    air = (ORDINARY if several else known[0]) if known else Weather()
    made = tuple((day.info, day.facts, day.weather) for day in days)
    return StandingChart(
        one, unit, (*said, *found.said), made=made, air=air, standing=True, days=tuple(days), shifts=found.days
    )


@lru_cache(maxsize=KEPT)
def _pooled(
    days: tuple[tuple[datetime.date, tuple[Carried, ...], Weather], ...], plan: Plan | None, _language: str
) -> tuple[Plan, Pooled]:
    """The same days and plan give the same chart, so the last ones are remembered; their words are in the language asked for."""
    asked = plan or plan_of_balls([ball for _day, balls, _weather in days for ball in balls])
    found = pool(
        [DayBalls(day=held_on, balls=balls, weather=weather) for held_on, balls, weather in days],
        also=asked.shots if asked.stored else (),
    )
    return asked, found


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Rechecked:
    """Whether the chart of the days `before` still holds after the balls of the `newest` day."""

    found: Recheck
    before: StandingChart
    newest: Day


def recheck_of(
    store: Store, player: str, unit: DistanceUnit | None = None, standing: StandingChart | None = None
) -> Rechecked | None:
    """The newest day of a player against the standing chart of all days before it, in one air; None where there is only one.

    `standing` is the chart of all days where it was made already.
    """
    plan = Plans(store).of_player(player)
    days = standing.days if standing else days_of(store, player, plan)
    reader = use_preferences(store, player)
    if not days:
        return None
    last = days[-1].info.held_on
    before, newest = [day for day in days if day.info.held_on < last], [day for day in days if day.info.held_on == last]
    if not before:  # all on one date: the balls entered last against those before
        before, newest = list(days[:-1]), list(days[-1:])
    if not before:
        return None
    held = _charted(before, plan, unit or reader.distance or days[-1].info.unit)
    balls = tuple(ball for day in newest for ball in _in_air(day, held.air))
    return Rechecked(found=_rechecked(held.chart, balls, locale()), before=held, newest=newest[-1])


def _in_air(day: Day, air: Weather) -> tuple[Carried, ...]:
    """The balls of a day as they would have carried in the air of the chart they are held against, as far as both are known."""
    if not (day.weather.known and air.known):
        return day.balls
    return to_one_air(day.balls, {ball.day: day.weather for ball in day.balls}, air)[0]


@lru_cache(maxsize=KEPT)
def _rechecked(chart: Chart, balls: tuple[Carried, ...], _language: str) -> Recheck:
    """A chart is the same one while it is remembered, so its recheck is too."""
    return recheck(chart, balls)


def asked_chart(
    store: Store, session_id: int, unit: DistanceUnit | None = None, *, alone: bool = False
) -> tuple[SessionInfo, SessionChart]:
    """A day and the chart that cards, shots and practice go by: the standing chart of its player, or (`alone`, and where the day is
    nobody's) that of the day. Raises UserError without a ball."""
    info = store.session(session_id)
    if alone or not info.player:
        return need_chart(store, session_id, unit)
    return info, need_standing(store, info.player, unit)


def need_standing(store: Store, player: str, unit: DistanceUnit | None = None) -> StandingChart:
    """As `standing_chart`. Raises UserError without a ball."""
    found = standing_chart(store, player, unit)
    if found is None:
        raise UserError(_("There is no ball to chart."))
    return found
