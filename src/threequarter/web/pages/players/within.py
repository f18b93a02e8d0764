"""The places within a player: chart, swings, days, practise, course, and what else is known of them."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Final
from urllib.parse import quote

from fastapi import Request
from fastapi.responses import HTMLResponse
from markupsafe import Markup

from threequarter.app.charts import use_preferences
from threequarter.app.over_days import over_days
from threequarter.app.standing import StandingChart, standing_chart
from threequarter.app.then_and_now import then_and_now
from threequarter.flight.weather import FROM
from threequarter.golf.ball import Ball
from threequarter.golf.swing_length import SwingLength, parse_swing
from threequarter.golf.units import DistanceUnit, from_metres
from threequarter.language.localize import N_, _, number
from threequarter.language.measures import units_in_use
from threequarter.paper.pictures.over_days_picture import over_days_picture, range_words, sentence, title_of
from threequarter.paper.pictures.through_time_picture import through_time_picture
from threequarter.practice.over_days import OverDays
from threequarter.practice.through_time import Track
from threequarter.store.accounts.shares import Shares
from threequarter.store.people.roster import Roster
from threequarter.store.results import Preferences
from threequarter.swing.words import clock, match_words
from threequarter.web.page_context import MOST_OFFERED, page, store_of
from threequarter.web.pages.chart.workspace import workspace
from threequarter.web.pages.players.guesses import guesses_view
from threequarter.web.pages.players.head import Head, newest_first
from threequarter.web.pages.players.lookup import known_player
from threequarter.web.pages.players.plan import plan_form
from threequarter.web.pages.players.preferences import READS
from threequarter.web.pages.recheck.routes import recheck_view
from threequarter.web.pages.swings.routes import clips_of
from threequarter.web.security.authorization import AuthorizedRouter
from threequarter.web.security.policy import SEE, need
from threequarter.web.view import ChartView
from threequarter.web.weather_fields import marks

pages = AuthorizedRouter()
MOST_CHARTS: Final = 12


@dataclass(frozen=True, slots=True, kw_only=True)
class Known:
    """What all places of a player need: the head, the standing chart (None without a ball), what is read in which unit."""

    name: str
    reader: Preferences
    unit: DistanceUnit
    standing: StandingChart | None
    head: Head

    @property
    def values(self) -> dict[str, Any]:
        """For a template."""
        return {
            "name": self.name,
            "unit": self.unit,
            "head": self.head,
            "sessions": self.head.sessions,
            "work": self.standing is not None,
            "recheck": None,
        }


def _known(request: Request, name: str, unit: DistanceUnit | None = None) -> Known:
    store, player = store_of(request), known_player(request, name)
    sessions = newest_first(store, player)
    reader = use_preferences(store, player, unit, sessions[0].unit if sessions else None)
    used: DistanceUnit = unit or reader.distance or (sessions[0].unit if sessions else units_in_use().distance)
    standing = standing_chart(store, player, used)
    enough = standing is not None and standing.answer.advice.enough
    head = Head(name=player, sessions=tuple(sessions), unit=used, enough=enough)
    return Known(name=player, reader=reader, unit=used, standing=standing, head=head)


def _recheck(known: Known) -> dict[str, Any] | None:
    held = known.standing.recheck if known.standing else None
    return recheck_view(held) if held else None


@pages.get("/players/{name:path}/swings", response_class=HTMLResponse, dependencies=[need(SEE, N_("looked at swings"))])
def swings(request: Request, name: str) -> HTMLResponse:
    """The swing lengths of a player, and their clips."""
    known = _known(request, name)
    clips = [
        (info, clip) for info in known.head.sessions[:MOST_CHARTS] for clip in clips_of(request).of_session(info.id)
    ]
    lengths = _swing_names(known.standing.balls if known.standing else ())
    pair = then_and_now(store_of(request), known.head.sessions[:MOST_CHARTS]) if len(clips) > 1 else None
    two = [(_("Then"), pair.then), (_("Now"), pair.now)] if pair else []
    pictures = [(name, one, match_words(one.matched)) for name, one in two]
    return page(request, "players/swings.html", **known.values, swings=lengths, clips=clips, two_swings=pictures)


@pages.get("/players/{name:path}/days", response_class=HTMLResponse, dependencies=[need(SEE, N_("looked at days"))])
def days(request: Request, name: str) -> HTMLResponse:
    """The days of a player, what changed over them, and notes."""
    known, store = _known(request, name), store_of(request)
    values = {**known.values, **_time(known.standing.tracks if known.standing else (), known.unit)}
    values |= _progress(over_days(store, known.standing) if known.standing else ())
    return page(request, "players/days.html", notes=Roster(store).notes(known.name), **values)


@pages.get(
    "/players/{name:path}/practise", response_class=HTMLResponse, dependencies=[need(SEE, N_("looked at practice"))]
)
def practise(request: Request, name: str) -> HTMLResponse:
    """What there is to practise."""
    known, store = _known(request, name), store_of(request)
    values = {**known.values, "recheck": _recheck(known)}
    return page(request, "players/practise.html", **values, **guesses_view(store, known.name, known.unit))


@pages.get(
    "/players/{name:path}/course", response_class=HTMLResponse, dependencies=[need(SEE, N_("looked at a course"))]
)
def course(request: Request, name: str) -> HTMLResponse:
    """What goes to the course: card, tomorrow, which shot, the round."""
    return page(request, "players/course.html", **_known(request, name).values, marks=marks(), sides=FROM)


@pages.get("/players/{name:path}/about", response_class=HTMLResponse, dependencies=[need(SEE, N_("looked at a bag"))])
def about(request: Request, name: str, moved: str = "", to: str = "", merged: int | None = None) -> HTMLResponse:
    """The plan, units, consent, links, and what can be done with all of a player."""
    known, store = _known(request, name), store_of(request)
    return page(
        request,
        "players/about.html",
        **known.values,
        reader=known.reader,
        reads=READS,
        moved=moved,
        to=to,
        merged=merged,
        archived=Roster(store).archived(known.name),
        clubs=Roster(store).bag(known.name),
        notes=Roster(store).notes(known.name),
        links=Shares(store).of_sessions([info.id for info in known.head.sessions]),
        others=Roster(store).names(most=MOST_OFFERED),
        **plan_form(store, known.name, known.unit, known.standing.answer.plan if known.standing else None),
    )


@pages.get("/players/{name:path}", response_class=HTMLResponse, dependencies=[need(SEE, N_("looked at a player"))])
def player(
    request: Request,
    name: str,
    moved: str = "",
    to: str = "",
    merged: int | None = None,
    club: str = "",
    swing: str = "",
    unit: DistanceUnit | None = None,
) -> HTMLResponse:
    """A player's standing chart, with one shot looked at (`club`, `swing`)."""
    known, store = _known(request, name, unit), store_of(request)
    values = known.values
    if known.standing is not None and known.head.newest is not None:
        view = ChartView.of(known.standing)
        every = f"/players/{quote(known.name, safe='')}/pooled#pic"
        values["work"] = workspace(view, chosen=(club, swing), day=known.head.newest, balls=every)
        values["recheck"] = _recheck(known)
    return page(
        request,
        "players/player.html",
        moved=moved,
        to=to,
        merged=merged,
        archived=Roster(store).archived(known.name),
        **values,
    )


def _swing_names(balls: Sequence[Ball]) -> list[dict[str, Any]]:
    """The names of swing lengths, what each is taken for, and in how many balls; short to long."""
    counts = Counter(ball.swing for ball in balls)
    lengths = sorted((parse_swing(name) for name in counts), key=lambda length: length.order)
    return [{"name": length.label, "balls": counts[length.label], "says": _length_words(length)} for length in lengths]


def _length_words(length: SwingLength) -> str:
    if length.kind == "own" or length.reach is None:
        return _("the player's own name: only the balls tell how long it is")
    reach = _("usually about {share} % of a full carry").format(share=number(100 * length.reach, 0))
    if length.kind == "clock" and length.hour is not None:
        return _("lead arm to {hour} on the clock face; {reach}").format(
            hour=clock(30 * (length.hour - 6)), reach=reach
        )
    if length.kind == "level":
        return _("hands to {level}; {reach}").format(level=_(length.key), reach=reach)
    return reach


def _time(found: Sequence[Track], unit: DistanceUnit) -> dict[str, Any]:
    """The charts of the newest days as one picture and a table; nothing while there is one date only."""
    if len({point.day for track in found for point in track.points}) < 2:
        return {"through_time": ()}
    shown = [
        {
            "shot": track.shot,
            "carries": ", ".join(
                _("{carry} ± {doubt} ({balls})").format(
                    carry=number(from_metres(p.carry_m, unit)),
                    doubt=number(max(1, from_metres(p.half90_m, unit))),
                    balls=p.balls,
                )
                for p in track.points
            ),
        }
        for track in found
    ]
    drawn = [track for track in found if len(track.points) > 1]  # one dot is no line
    pictures = [Markup(through_time_picture(drawn, unit, width=width)) for width in (760, 360)] if drawn else ["", ""]
    return {"through_time": shown, "unit": unit, "time_wide": pictures[0], "time_narrow": pictures[1]}


def _progress(found: Sequence[OverDays]) -> dict[str, Any]:
    """Each measure as a picture with its sentence, and all of them as one table by day."""
    days = sorted({one.day for each in found for one in each.points})
    cells = [{one.day: range_words(each, one) for one in each.points} for each in found]
    return {
        "progress": [
            {"title": title_of(each), "says": sentence(each), "picture": Markup(over_days_picture(each))}
            for each in found
        ],
        "progress_rows": [(day, [column.get(day, "–") for column in cells]) for day in days],
    }
