"""The chart of a session: its balls from the store, brought to carry, fitted, in the units of its player."""

from contextlib import AbstractContextManager, nullcontext
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Final

from threequarter import languages
from threequarter.answers.answer import Answer, answer
from threequarter.app.fit_turns import FIT_TURNS
from threequarter.app.provenance import Made, chart_words
from threequarter.chart.result import Chart
from threequarter.flight.weather import Weather
from threequarter.golf.ball import Ball, Carried
from threequarter.golf.errors import UserError
from threequarter.golf.message import Message
from threequarter.golf.plan import Plan
from threequarter.golf.units import DistanceUnit
from threequarter.language.localize import _, locale
from threequarter.language.measures import use_units, usual
from threequarter.languages import LANGUAGES
from threequarter.measurement.carry import Ground, to_carry
from threequarter.store.people.plans import Plans
from threequarter.store.people.roster import Roster
from threequarter.store.results import Facts, Preferences, SessionInfo, StoredBall
from threequarter.store.store import Store

CHARTS_KEPT: Final = 128
UNKNOWN_AIR: Final = Weather()


@lru_cache(maxsize=CHARTS_KEPT)
def _answered(
    balls: tuple[Ball, ...], ground: Ground, plan: Plan | None, _language: str
) -> tuple[tuple[Message, ...], Answer]:
    """The same balls and plan give the same answer, so the last ones are remembered; their words are in the language asked for."""
    named = plan.named_all(balls) if plan else balls
    carried, notes = to_carry(named, ground)
    with FIT_TURNS.turn():
        return notes, answer(carried, plan)


@dataclass(frozen=True, slots=True, eq=False)
class SessionChart:
    """An answer for a reader: the balls it was made from, all as carries. `said` is what was done to them, `kept` the balls as stored,
    `made` the days they were hit on, `air` the air that the carries are of; `standing` where it is the chart of all days."""

    answer: Answer
    unit: DistanceUnit
    said: tuple[Message | str, ...]
    kept: tuple[StoredBall, ...] = ()
    made: tuple[Made, ...] = ()
    air: Weather = UNKNOWN_AIR
    standing: bool = False

    @property
    def made_of(self) -> str:
        """Which chart this is: its dates, ball, ground and air."""
        return chart_words(self.made, self.air, standing=self.standing) if self.made else ""

    @property
    def chart(self) -> Chart:
        """The chart."""
        return self.answer.chart

    @property
    def balls(self) -> tuple[Carried, ...]:
        """The balls, as carries, under the names of the plan."""
        return self.answer.balls


def answered(
    balls: tuple[Ball, ...],
    unit: DistanceUnit,
    ground: Ground,
    kept: tuple[StoredBall, ...] = (),
    plan: Plan | None = None,
) -> SessionChart:
    """Brings the balls to carry and asks the plan of them. Raises UserError where there is nothing to chart."""
    notes, found = _answered(tuple(balls), ground, plan, locale())
    return SessionChart(found, unit, notes, kept)


def session_chart(store: Store, session_id: int, unit: DistanceUnit | None) -> tuple[SessionInfo, SessionChart | None]:
    """A session and its chart by the plan of its player, in the player's units; no chart where no ball is left."""
    info = store.session(session_id)
    kept = store.kept_balls(session_id)
    balls = tuple(one.ball for one in kept)
    reader = use_preferences(store, info.player, unit, info.unit)
    if not any(ball.use for ball in balls):
        return info, None
    plan, facts = Plans(store).of_session(session_id), store.facts(session_id)
    air = weather_of(facts)
    found = answered(balls, unit or reader.distance or info.unit, info.ground, kept, plan)  # type: ignore[arg-type]
    return info, replace(found, made=((info, facts, air),), air=air)


def need_chart(store: Store, session_id: int, unit: DistanceUnit | None) -> tuple[SessionInfo, SessionChart]:
    """A session and its chart. Raises UserError where no ball is left."""
    info, found = session_chart(store, session_id, unit)
    if found is None:
        raise UserError(_("No balls to chart yet."))
    return info, found


def use_preferences(
    store: Store, player: str | None, unit: DistanceUnit | None = None, measured: DistanceUnit | None = None
) -> Preferences:
    """What a player reads in; from here on heights, wind and temperature are said and typed so. Heights go with the distances: in `unit`
    where that is asked for, as the player chose, else as they were `measured`."""
    reader = Roster(store).reader(player) if player else Preferences()
    use_units(reader.units(usual(), unit or reader.distance or measured))
    return reader


def in_language_of(store: Store, player: str | None) -> AbstractContextManager[None]:
    """Says everything within in the language of a player (for what goes home with them), else in the one in use."""
    chosen = Roster(store).reader(player).language if player else None
    return languages.language(chosen) if chosen in LANGUAGES else nullcontext()


def session_weather(store: Store, session_id: int) -> Weather:
    """What is kept of the weather a session was hit in."""
    return weather_of(store.facts(session_id))


def weather_of(facts: Facts) -> Weather:
    """The weather among the facts of a day."""
    return Weather(
        temp_c=facts.temp_c,
        altitude_m=facts.altitude_m,
        humidity=facts.humidity_pct,
        pressure_hpa=facts.pressure_hpa,
        wind_mps=facts.wind_mps,
        wind_from_deg=facts.wind_from_deg,
    )
