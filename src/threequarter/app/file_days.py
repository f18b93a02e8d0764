"""What a file tells of its own days: when its balls were hit, with which ball, in which air; and the chart of them."""

from dataclasses import fields, replace
from typing import TYPE_CHECKING

from threequarter.language.localize import _

if TYPE_CHECKING:
    from threequarter.answers.answer import Answer
    from threequarter.app.provenance import Made
    from threequarter.chart.next_ball import Limits
    from threequarter.flight.weather import Weather
    from threequarter.golf.plan import Plan
    from threequarter.intake.load import FileBalls
    from threequarter.practice.recheck import Recheck


def days_of(found: "FileBalls") -> "list[Made]":
    """The days of a file, oldest first, as a card and a line name them; none where it tells no date."""
    from threequarter.app.provenance import HitOn
    from threequarter.store.results import Facts

    facts = Facts(**{name: found.conditions[name] for name in Facts.__slots__ if name in found.conditions})
    return [(HitOn(one), facts, found.weather) for one in found.dates]


def dates_of(found: "FileBalls") -> str:
    """When the balls were hit, in words; empty where the file does not tell."""
    from threequarter.app.provenance import dates_words

    return dates_words([day for day, *_rest in days_of(found)]) if found.dates else ""


def ball_of(found: "FileBalls") -> str:
    """The ball and what it was hit from, in words, as far as the file tells."""
    from threequarter.app.provenance import ball_words

    return ball_words(days_of(found)[:1]) if found.dates else str(found.conditions.get("ball_kind") or "")


def made_of(found: "FileBalls", air: "Weather | None" = None) -> str:
    """What a chart of a file was made of, in a line; `air` is that of the chart where it is not the file's own."""
    from threequarter.language import say

    words = air_of(found) if air is None else say(air.message()) if air.known else ""
    return made_line(dates_of(found), ball_of(found), words)


def made_line(date: str, ball: str, air: str) -> str:
    """What a chart or card was made of, in a line; says so where the date is not known."""
    return _("Hit: {made}.").format(made=", ".join(part for part in (date or _("date not told"), ball, air) if part))


def air_of(found: "FileBalls") -> str:
    """The air in words, as far as the file tells."""
    from threequarter.language import say

    return say(found.weather.message()) if found.weather.known else ""


def made_in(found: "FileBalls", told: "Weather") -> "Weather":
    """The weather that balls were hit in: as `told` by options, the rest as the file tells."""
    if told.wind_mps is not None:  # its direction goes with it
        told = replace(told, wind_from_deg=told.wind_from_deg or 0.0)
    given = {one.name: getattr(told, one.name) for one in fields(told)}
    return replace(found.weather, **{name: value for name, value in given.items() if value is not None})


def answer_of(
    found: "FileBalls", plan: "Plan | None" = None, *, warm: bool | None = None, limits: "Limits | None" = None
) -> "tuple[Answer, Recheck | None]":
    """The answer of a file's balls, as the pages give it: of several dates pooled, with whether the days before the newest hold."""
    from threequarter.answers.answer import NO_LIMITS, Answer, answer
    from threequarter.golf.plan import plan_of_balls
    from threequarter.practice.pooled import DayBalls, pool
    from threequarter.practice.standing import recheck_newest

    if len(found.dates) < 2:
        return answer(found.balls, plan, limits or NO_LIMITS, warm=warm), None
    asked = plan or plan_of_balls(found.balls)
    named, shots = asked.named_all(found.balls), asked.shots if asked.stored else ()
    days = [
        DayBalls(day=held_on, balls=[ball for ball in named if ball.day == n], weather=found.weather)
        for n, held_on in enumerate(found.dates, start=1)
    ]
    days = [day for day in days if any(ball.use for ball in day.balls)]
    pooled, held = pool(days, also=shots, warm=warm), recheck_newest(days, shots)
    moved = held is not None and held.verdict == "moved"
    return Answer(plan=asked, balls=pooled.balls, chart=pooled.chart, limits=limits or NO_LIMITS, moved=moved), held
