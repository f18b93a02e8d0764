"""What a file tells of its own days: when its balls were hit, with which ball, in which air; and the chart of them."""

import datetime
from dataclasses import dataclass, fields, replace
from typing import TYPE_CHECKING

from threequarter.golf.errors import UserError
from threequarter.language.localize import _

if TYPE_CHECKING:
    from collections.abc import Sequence

    from threequarter.answers.answer import Answer
    from threequarter.app.provenance import Made
    from threequarter.chart.next_ball import Limits
    from threequarter.flight.weather import Weather
    from threequarter.golf.message import Message
    from threequarter.golf.plan import Plan
    from threequarter.intake.load import FileBalls
    from threequarter.practice.pooled import DayBalls
    from threequarter.practice.recheck import Recheck


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FileChart:
    """A file as the pages give it: the answer of its balls, those of several dates pooled and in one air (`said`: what that changed),
    and whether the days before the newest hold (None: there is one day, or nobody asked)."""

    answer: "Answer"
    recheck: "Recheck | None" = None
    said: "Sequence[Message]" = ()


def days_of(found: "FileBalls") -> "list[Made]":
    """The days of a file, oldest first, as a card and a line name them; none where it tells no date."""
    from threequarter.app.provenance import HitOn
    from threequarter.store.results import Facts

    days: list[Made] = []
    for held_on, told, weather in zip(found.dates, found.of_days, found.weathers, strict=False):
        facts = Facts(**{name: told[name] for name in Facts.__slots__ if name in told})
        days.append((HitOn(held_on, bool(told.get("assumed"))), facts, weather))
    return days


def dates_of(found: "FileBalls") -> str:
    """When the balls were hit, in words; empty where the file does not tell."""
    from threequarter.app.provenance import dates_words

    return dates_words([day for day, *_rest in days_of(found)]) if found.dates else ""


def ball_of(found: "FileBalls") -> str:
    """The ball and what it was hit from, in words, as far as the file tells."""
    from threequarter.app.provenance import ball_words

    return ball_words(days_of(found)) if found.dates else str(found.conditions.get("ball_kind") or "")


def made_of(found: "FileBalls", air: "Weather | None" = None) -> str:
    """What a chart of a file was made of, in a line; `air` is that of the chart where it is not the file's own."""
    from threequarter.language import say

    words = air_of(found) if air is None else say(air.message()) if air.known else ""
    return made_line(dates_of(found), ball_of(found), words)


def made_line(date: str, ball: str, air: str) -> str:
    """What a chart or card was made of, in a line; says so where the date is not known."""
    return _("Hit: {made}.").format(made=", ".join(part for part in (date or _("no date given"), ball, air) if part))


def air_of(found: "FileBalls", *, brief: bool = False) -> str:
    """The air of the chart in words, as far as the file tells; `brief` for a card."""
    from threequarter.language import say

    air = weather_of(found)
    return say(air.brief() if brief else air.message()) if air.known else ""


def weather_of(found: "FileBalls") -> "Weather":
    """The air that the chart of a file is of: that its balls were hit in, of several days the one they were brought to."""
    from threequarter.practice.standing import air_of as air_of_days

    if len(found.dates) < 2:
        return found.weathers[0]
    return air_of_days(list(zip(found.dates, found.weathers, strict=True)))


def made_in(found: "FileBalls", told: "Weather") -> "Weather":
    """The weather that a chart was made in: as `told` by options, the rest as the file tells."""
    if told.wind_mps is not None:  # its direction goes with it
        told = replace(told, wind_from_deg=told.wind_from_deg or 0.0)
    given = {one.name: getattr(told, one.name) for one in fields(told)}
    return replace(weather_of(found), **{name: value for name, value in given.items() if value is not None})


def chart_of(
    found: "FileBalls",
    plan: "Plan | None" = None,
    *,
    warm: bool | None = None,
    limits: "Limits | None" = None,
    held: bool = True,
) -> FileChart:
    """The chart of a file. Of several dates also whether the days before the newest hold, unless nobody asks (`held`), as nobody does
    who goes by the numbers alone. Raises UserError as `fit_chart`."""
    from threequarter.answers.answer import NO_LIMITS, Answer, answer
    from threequarter.golf.plan import plan_of_balls
    from threequarter.practice.pooled import pool
    from threequarter.practice.standing import recheck_newest

    limits = limits or NO_LIMITS
    if len(found.dates) < 2:
        return FileChart(answer=answer(found.balls, plan, limits, warm=warm))
    asked = plan or plan_of_balls(found.balls)
    shots = asked.shots if asked.stored else ()
    days = _day_balls(found, asked)
    pooled = pool(days, also=shots, warm=warm)
    recheck = recheck_newest(days, shots) if held else None
    moved = recheck is not None and recheck.verdict == "moved"
    told = Answer(plan=asked, balls=pooled.balls, chart=pooled.chart, limits=limits, moved=moved)
    return FileChart(answer=told, recheck=recheck, said=pooled.said)


def _day_balls(found: "FileBalls", asked: "Plan") -> "list[DayBalls]":
    """The days of a file with their balls under the plan's names, those of which no ball is used left out; a file that tells no day as one."""
    from threequarter.practice.pooled import DayBalls

    named = asked.named_all(found.balls)
    if not found.dates:
        return [DayBalls(day=datetime.date.min, balls=named, weather=found.weathers[0])]
    days = [
        DayBalls(day=held_on, balls=[ball for ball in named if ball.day == n], weather=weather)
        for n, (held_on, weather) in enumerate(zip(found.dates, found.weathers, strict=True), start=1)
    ]
    return [day for day in days if any(ball.use for ball in day.balls)]


def recheck_of(
    old: "FileBalls", new: "FileBalls | None" = None, plan: "Plan | None" = None, move: float | None = None
) -> "tuple[Recheck, str]":
    """Whether the chart of `old` holds after the balls of `new`, in one air, and which days stand against each other, in words;
    without `new` the newest day of `old` against those before it.

    It has one direction: where both files tell their dates and `new` was hit before `old`, `old` is held against `new`.
    Raises UserError for one day alone, and without a ball.
    """
    from threequarter.practice.recheck import MOVE
    from threequarter.practice.standing import hold_against

    if new is None:
        before, newest = _parted(old)
    else:
        backwards = old.dates and new.dates and new.dates[-1] < old.dates[0]
        before, newest = (new, old) if backwards else (old, new)
    chart = chart_of(before, plan, held=False).answer
    days = _day_balls(newest, chart.plan)
    if not days:
        raise UserError(_("No balls to chart yet."))
    found = hold_against(chart.chart, weather_of(before), days, move=move or MOVE)
    told = dates_of(newest) or _("the second file"), dates_of(before) or _("the first file")
    return found, _("Compared: {newest} with {before}.").format(newest=told[0], before=told[1])


def _parted(found: "FileBalls") -> "tuple[FileBalls, FileBalls]":
    """A file of several dates as the days before the newest and the newest. Raises UserError where it tells one date only."""
    from threequarter.practice.standing import count_before

    used = [n for n in range(1, len(found.dates) + 1) if any(ball.use and ball.day == n for ball in found.balls)]
    if len(used) < 2:
        raise UserError(_("This file holds one day only. Name a second file with the balls hit since then."))
    count = count_before([found.dates[n - 1] for n in used])
    return _of_days(found, used[:count]), _of_days(found, used[count:])


def _of_days(found: "FileBalls", chosen: "Sequence[int]") -> "FileBalls":
    """Some days of a file (from 1), counted anew."""
    number = {day: n for n, day in enumerate(chosen, start=1)}
    return replace(
        found,
        balls=tuple(replace(ball, day=number[ball.day]) for ball in found.balls if ball.day in number),
        dates=tuple(found.dates[day - 1] for day in chosen),
        of_days=tuple(found.of_days[day - 1] for day in chosen),
        weathers=tuple(found.weathers[day - 1] for day in chosen),
    )
