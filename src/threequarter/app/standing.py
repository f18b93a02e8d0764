"""The standing chart of a player: all days brought to one air and pooled; and whether it still holds after the newest day.

What takes a second to compute is kept (`kept_charts`) with a mark of what it rests on, and computed anew once that changes.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from threequarter.answers.answer import Answer
from threequarter.app import kept_charts
from threequarter.app.charts import SessionChart, need_chart, use_preferences, weather_of
from threequarter.app.kept_charts import Standing
from threequarter.chart.fit import fit_chart
from threequarter.chart.one_air import ORDINARY, to_one_air
from threequarter.flight.weather import Weather
from threequarter.golf.ball import Ball, Carried
from threequarter.golf.errors import UserError
from threequarter.golf.message import Message
from threequarter.golf.plan import Plan, plan_of_balls
from threequarter.golf.player import name_key
from threequarter.golf.units import DistanceUnit
from threequarter.language.localize import _
from threequarter.measurement.carry import to_carry
from threequarter.practice.pooled import DayBalls, DayShift, Pooled, pool
from threequarter.practice.recheck import Recheck, Verdict, recheck
from threequarter.practice.through_time import Track, tracks
from threequarter.store.people.plans import Plans
from threequarter.store.results import Facts, SessionInfo
from threequarter.store.store import Store

MOST_DAYS: Final = 24
"""Days that a standing chart is made of, the newest."""
MOST_TRACKED: Final = 12
"""Days that are charted each alone, the newest."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Day:
    """A day of a player on which balls were hit, and what is known of it."""

    info: SessionInfo
    facts: Facts
    weather: Weather


@dataclass(frozen=True, slots=True, kw_only=True)
class Rechecked:
    """Whether the chart of the days `before` still holds after the balls of the `newest` day; said in `unit`."""

    found: Recheck
    before: tuple[Day, ...]
    newest: Day
    unit: DistanceUnit


@dataclass(frozen=True, slots=True, eq=False)
class StandingChart(SessionChart):
    """A chart of several days: `days` it was made from, oldest first, how each went against it (`shifts`), each charted alone
    (`tracks`), and whether the days before the newest still hold (`recheck`, None with one day)."""

    days: tuple[Day, ...] = ()
    shifts: tuple[DayShift, ...] = ()
    tracks: tuple[Track, ...] = ()
    recheck: Rechecked | None = None


def standing_chart(
    store: Store, player: str, unit: DistanceUnit | None = None, only: Sequence[int] = ()
) -> StandingChart | None:
    """All days of a player (or `only` these) as one chart by their plan, in their units; None without a ball."""
    reader = use_preferences(store, player)
    known = store.revisions([player]).get(name_key(player))
    infos = [info for info in store.sessions([player], newest=MOST_DAYS) if info.balls]
    if known is None or not infos:
        return None
    number, mark = known
    plan, key = Plans(store).of_player(player), (number, f"{mark} {sorted(only) or ''}")
    standing = kept_charts.load(store.data_dir, *key)
    days = _days(store, infos)
    if standing is None:
        standing = _made(store, days, plan, only)
        if standing is None:
            return None
        (kept_charts.remember if only else kept_charts.save)(store.data_dir, *key, standing)
    days = tuple(day for day in days if day.info.id in standing.days)
    return _shown(days, standing, plan, unit or reader.distance or days[-1].info.unit)


def _days(store: Store, infos: Sequence[SessionInfo]) -> tuple[Day, ...]:
    """Days oldest first; of one date the first entered first."""
    facts = store.facts_of([info.id for info in infos])
    ordered = sorted(infos, key=lambda one: (one.held_on, one.made_at, one.id))
    return tuple(Day(info=info, facts=facts[info.id], weather=weather_of(facts[info.id])) for info in ordered)


def _made(store: Store, days: Sequence[Day], plan: Plan | None, only: Sequence[int]) -> Standing | None:
    """Computes everything that is kept of some days; None where no ball of them is used."""
    kept = store.kept_balls_of([day.info.id for day in days if not only or day.info.id in only])
    held: dict[int, tuple[Carried, ...]] = {}
    said: dict[Message | str, None] = {}
    for day in days:
        balls: tuple[Ball, ...] = tuple(one.ball for one in kept.get(day.info.id, ()))
        if any(ball.use for ball in balls):
            carried, told = to_carry(plan.named_all(balls) if plan else balls, day.info.ground)  # type: ignore[arg-type]
            held[day.info.id] = tuple(carried)
            said |= dict.fromkeys(told)
    days = [day for day in days if day.info.id in held]
    if not days:
        return None
    found, shots = _pooled(days, held, plan), plan.shots if plan else ()
    alone = [] if only else [(day, fit_chart(held[day.info.id], also=shots)) for day in days[-MOST_TRACKED:]]
    return Standing(
        days=tuple(held),
        chart=found.chart,
        balls=found.balls,
        shifts=found.days,
        said=(*said, *found.said),
        recheck=None if only else _recheck(days, held, plan),
        tracks=tracks([(day.info.held_on, chart) for day, chart in alone]) if alone else (),
    )


def _pooled(days: Sequence[Day], held: dict[int, tuple[Carried, ...]], plan: Plan | None) -> Pooled:
    return pool(
        [DayBalls(day=day.info.held_on, balls=held[day.info.id], weather=day.weather) for day in days],
        also=plan.shots if plan else (),
    )


def _recheck(days: Sequence[Day], held: dict[int, tuple[Carried, ...]], plan: Plan | None) -> Recheck | None:
    before, newest = before_and_newest(days)
    if not before:
        return None
    old, air = _pooled(before, held, plan).chart, _air(before)
    return recheck(old, tuple(ball for day in newest for ball in _in_air(held[day.info.id], day.weather, air)))


def before_and_newest(days: Sequence[Day]) -> tuple[tuple[Day, ...], tuple[Day, ...]]:
    """The days that a recheck holds against each other; the first is empty where there is only one."""
    last = days[-1].info.held_on
    before = tuple(day for day in days if day.info.held_on < last)
    if before:
        return before, tuple(days[len(before) :])
    return tuple(days[:-1]), tuple(days[-1:])  # all on one date: the balls entered last against those before


def _air(days: Sequence[Day]) -> Weather:
    """The air that the chart of some days is made in."""
    known = [day.weather for day in days if day.weather.known]
    return (ORDINARY if len({day.info.held_on for day in days}) > 1 else known[0]) if known else Weather()


def _in_air(balls: tuple[Carried, ...], weather: Weather, air: Weather) -> tuple[Carried, ...]:
    """The balls of a day as they would have carried in the air of the chart they are held against, as far as both are known."""
    if not (weather.known and air.known):
        return balls
    return to_one_air(balls, {ball.day: weather for ball in balls}, air)[0]


def _shown(days: tuple[Day, ...], standing: Standing, plan: Plan | None, unit: DistanceUnit) -> StandingChart:
    found = standing.recheck
    asked = plan or plan_of_balls(standing.balls)
    moved = found is not None and found.verdict == "moved"
    before, newest = before_and_newest(days)
    return StandingChart(
        Answer(plan=asked, balls=standing.balls, chart=standing.chart, moved=moved),
        unit,
        standing.said,
        made=tuple((day.info, day.facts, day.weather) for day in days),
        air=_air(days),
        standing=True,
        days=days,
        shifts=standing.shifts,
        tracks=standing.tracks,
        recheck=Rechecked(found=found, before=before, newest=newest[-1], unit=unit) if found else None,
    )


def recheck_of(store: Store, player: str, unit: DistanceUnit | None = None) -> Rechecked | None:
    """The newest day of a player against the standing chart of all days before it, in one air; None where there is only one."""
    found = standing_chart(store, player, unit)
    return found.recheck if found else None


def verdicts(store: Store, players: Sequence[str]) -> dict[str, Verdict]:
    """Whether the charts of players hold, as it was computed last, of those whose balls have not changed since."""
    known = store.revisions(players)
    told = {
        name: kept_charts.verdict(store.data_dir, *known[name_key(name)]) for name in players if name_key(name) in known
    }
    return {name: verdict for name, verdict in told.items() if verdict is not None}


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
