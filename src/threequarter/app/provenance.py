"""What a chart was made from, in words: the dates the balls were hit (never the day of printing), the ball, ground and air."""

import datetime
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, Protocol

from threequarter.flight.weather import Weather
from threequarter.language import say
from threequarter.language.localize import N_, _, day
from threequarter.store.results import Facts

BALLS: Final = (N_("range ball"), N_("own ball"))
"""Kinds of ball that are kept in English and called by their name in the reader's language."""


class Dated(Protocol):
    """A day that balls were hit on; `assumed` where nobody told its date."""

    @property
    def held_on(self) -> datetime.date: ...
    @property
    def assumed(self) -> bool: ...


@dataclass(frozen=True, slots=True)
class HitOn:
    """The day of balls that are in no store."""

    held_on: datetime.date
    assumed: bool = False


Made = tuple[Dated, Facts, Weather]


def dates_words(days: Sequence[Dated]) -> str:
    """The dates: one, two, or from the first to the last; said to be assumed where nobody told one of them."""
    dates = sorted({info.held_on for info in days})
    if len(dates) == 1:
        said = day(dates[0])
    elif len(dates) == 2:
        said = _("{first} and {last}").format(first=day(dates[0]), last=day(dates[1]))
    else:
        said = _("{count} days, {first} to {last}").format(count=len(dates), first=day(dates[0]), last=day(dates[-1]))
    return _("{dates} (date assumed)").format(dates=said) if any(info.assumed for info in days) else said


def ball_words(days: Sequence[Made]) -> str:
    """The balls and what they were hit from, as far as somebody noted it: "range ball, mat". A kind that
    was typed otherwise stays as it is."""
    kinds = dict.fromkeys(facts.ball_kind for _info, facts, _weather in days if facts.ball_kind)
    surfaces = dict.fromkeys(facts.surface for _info, facts, _weather in days if facts.surface)
    said = [_("from the mat") if surface == "mat" else _("from turf") for surface in surfaces]
    return ", ".join([*(_(kind) if kind in BALLS else kind for kind in kinds), *said])


def chart_words(days: Sequence[Made], air: Weather, *, standing: bool) -> str:
    """Which chart this is and what it was made from, in one line; `air` is that which its carries are of."""
    dates = dates_words([info for info, _facts, _weather in days])
    which = _("Standing chart: {dates}") if standing else _("This day alone: {dates}")
    rest = [part for part in (ball_words(days), say(air.message()) if air.known else "") if part]
    return ", ".join([which.format(dates=dates), *rest])
