"""The standing chart of a player: all days brought to one air and pooled; and whether it still holds after the newest day.

What takes a second to compute is kept (`kept_charts`) with a mark of what it rests on, and computed anew once that changes.
"""

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from threequarter.answers.answer import Answer
from threequarter.app import kept_charts
from threequarter.app.charts import SessionChart, need_chart, use_preferences, weather_of
from threequarter.app.charts_ahead import Key, fitted, looked_at
from threequarter.app.kept_charts import Standing
from threequarter.app.standing_fit import DaysToFit
from threequarter.flight.weather import Weather
from threequarter.golf.ball import Ball, Carried
from threequarter.golf.errors import UserError
from threequarter.golf.message import Message
from threequarter.golf.plan import Plan, plan_of_balls
from threequarter.golf.player import name_key
from threequarter.golf.units import DistanceUnit
from threequarter.language.localize import _
from threequarter.measurement.carry import to_carry
from threequarter.practice.pooled import DayBalls, DayShift
from threequarter.practice.recheck import Recheck, Verdict
from threequarter.practice.standing import air_of, count_before
from threequarter.practice.through_time import DayCount, Track
from threequarter.store.people.plans import Plans
from threequarter.store.results import Facts, SessionInfo
from threequarter.store.store import Store

MOST_DAYS: Final = 24
"""Days that a standing chart is made of, the newest."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Day:
    """A day of a player on which balls were hit, and what is known of it."""

    info: SessionInfo
    facts: Facts
    weather: Weather


@dataclass(frozen=True, slots=True)
class HeldDay:
    """A day with its balls as carries, and what was `said` of bringing them there."""

    day: Day
    balls: tuple[Carried, ...]
    said: tuple[Message, ...]


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
    (`tracks`, and its mishits: `counts`), and whether the days before the newest still hold (`recheck`, None with one day)."""

    days: tuple[Day, ...] = ()
    shifts: tuple[DayShift, ...] = ()
    tracks: tuple[Track, ...] = ()
    counts: tuple[DayCount, ...] = ()
    recheck: Rechecked | None = None


def standing_chart(
    store: Store, player: str, unit: DistanceUnit | None = None, only: Sequence[int] = ()
) -> StandingChart | None:
    """All days of a player (or `only` these) as one chart by their plan, in their units; None without a ball."""
    known = store.revisions([player]).get(name_key(player))
    infos = [info for info in store.sessions([player], newest=MOST_DAYS) if info.balls]
    newest = max(infos, key=lambda one: (one.held_on, one.made_at, one.id), default=None)
    reader = use_preferences(store, player, unit, newest.unit if newest else None)
    if known is None or newest is None:
        return None
    number, mark = known
    looked_at(store.data_dir, number, player)
    plan, days = Plans(store).of_player(player), _days(store, infos)
    if only:
        standing = _some(store, number, [day for day in days if day.info.id in only], plan)
    else:
        standing = _every(store, (number, f"{mark} "), days, plan)
    if standing is None:
        return None
    days = tuple(day for day in days if day.info.id in standing.days)
    return _shown(days, standing, plan, unit or reader.distance or newest.unit)


def _every(store: Store, key: Key, days: Sequence[Day], plan: Plan | None) -> Standing | None:
    """All days, as they were kept for this state of the balls, else computed and kept."""
    standing = kept_charts.load(store.data_dir, *key)
    if standing is None and (held := _held(store, days, plan)):
        standing = fitted(store.data_dir, key, _asked(held, plan, whole=True))
    return standing


def _some(store: Store, number: int, days: Sequence[Day], plan: Plan | None) -> Standing | None:
    """Some days only, remembered by what they hold: a ball of another day changes nothing."""
    held = _held(store, days, plan)
    rests = [(one.day.info.id, one.day.info.held_on, one.day.weather, one.balls) for one in held]
    key = number, f"some {hashlib.sha256(repr((plan, rests)).encode()).hexdigest()}"
    standing = kept_charts.load(store.data_dir, *key)
    if standing is None and held:
        standing = fitted(store.data_dir, key, _asked(held, plan, whole=False))
    return standing


def _days(store: Store, infos: Sequence[SessionInfo]) -> tuple[Day, ...]:
    """Days oldest first; of one date the first entered first."""
    facts = store.facts_of([info.id for info in infos])
    ordered = sorted(infos, key=lambda one: (one.held_on, one.made_at, one.id))
    return tuple(Day(info=info, facts=facts[info.id], weather=weather_of(facts[info.id])) for info in ordered)


def _held(store: Store, days: Sequence[Day], plan: Plan | None) -> tuple[HeldDay, ...]:
    """The balls of days as carries, under the plan's names; days of which no ball is used are left out."""
    kept = store.kept_balls_of([day.info.id for day in days])
    held = []
    for day in days:
        balls: tuple[Ball, ...] = tuple(one.ball for one in kept.get(day.info.id, ()))
        if any(ball.use for ball in balls):
            carried, said = to_carry(plan.named_all(balls) if plan else balls, day.info.ground)  # type: ignore[arg-type]
            held.append(HeldDay(day, tuple(carried), said))
    return tuple(held)


def _asked(held: Sequence[HeldDay], plan: Plan | None, *, whole: bool) -> DaysToFit:
    return DaysToFit(
        numbers=tuple(one.day.info.id for one in held),
        days=tuple(DayBalls(day=one.day.info.held_on, balls=one.balls, weather=one.day.weather) for one in held),
        said=tuple(dict.fromkeys(told for one in held for told in one.said)),
        shots=plan.shots if plan else (),
        whole=whole,
    )


def _shown(days: tuple[Day, ...], standing: Standing, plan: Plan | None, unit: DistanceUnit) -> StandingChart:
    found = standing.recheck
    asked = plan or plan_of_balls(standing.balls)
    moved = found is not None and found.verdict == "moved"
    dates = [day.info.held_on for day in days]
    count = count_before(dates)
    return StandingChart(
        Answer(plan=asked, balls=standing.balls, chart=standing.chart, moved=moved),
        unit,
        standing.said,
        made=tuple((day.info, day.facts, day.weather) for day in days),
        air=air_of(list(zip(dates, (day.weather for day in days), strict=True))),
        standing=True,
        days=days,
        shifts=standing.shifts,
        tracks=standing.tracks,
        counts=standing.counts,
        recheck=Rechecked(found=found, before=days[:count], newest=days[-1], unit=unit) if found else None,
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
        raise UserError(_("No balls to chart yet."))
    return found
