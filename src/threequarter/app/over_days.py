"""What changed over a player's days: from the balls of the standing chart and from the swings filmed on them."""

import datetime

from threequarter.app.charts import SessionChart
from threequarter.app.lessons import session_swings
from threequarter.app.standing import StandingChart
from threequarter.language.localize import _
from threequarter.paper.pictures.over_days_picture import sentence, title_of
from threequarter.practice.over_days import OverDays, of_balls, of_swings
from threequarter.store.store import Store
from threequarter.swing.words import match


def over_days(store: Store, standing: StandingChart) -> tuple[OverDays, ...]:
    """Mishits, spread, carry and match over the days; only what at least two of them tell."""
    dates = sorted({day.info.held_on for day in standing.days})
    found = of_balls(standing.chart, standing.balls, dates, standing.shifts, standing.counts)
    return (*found, *of_swings(_matches(store, standing)))


def told_over_days(store: Store, view: SessionChart) -> list[str]:
    """What changed over the days by more than chance does, in a line each; nothing where it is the chart of one day."""
    found = over_days(store, view) if isinstance(view, StandingChart) else ()
    return [
        _("Over the days, {what}: {says}").format(what=title_of(one), says=sentence(one))
        for one in found
        if one.told != "chance"
    ]


def _matches(store: Store, standing: StandingChart) -> dict[datetime.date, list[tuple[float, float]]]:
    matches: dict[datetime.date, list[tuple[float, float]]] = {}
    for day in standing.days:
        for seen in session_swings(store, day.info.id)[0]:
            by = match(seen.swing)
            if by.by_deg is not None and by.doubt_deg is not None:
                matches.setdefault(day.info.held_on, []).append((by.by_deg, by.doubt_deg))
    return matches
