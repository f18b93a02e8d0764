"""The roster: who is due a recheck, a player's bag, notes, sessions, and the charts through time."""

import datetime
from collections import Counter, defaultdict
from collections.abc import Sequence
from typing import Annotated, Any, Final, Literal
from urllib.parse import quote

from fastapi import Form, Request
from fastapi.responses import HTMLResponse, RedirectResponse
from markupsafe import Markup

from threequarter.answers.recheck import verdict_words
from threequarter.app.charts import use_preferences
from threequarter.app.standing import StandingChart, standing_chart, verdicts
from threequarter.golf.ball import Ball
from threequarter.golf.swing_length import SwingLength, parse_swing
from threequarter.golf.units import DistanceUnit, from_metres
from threequarter.language.localize import N_, _, day, number
from threequarter.language.measures import units_in_use
from threequarter.paper.pictures.through_time_picture import through_time_picture
from threequarter.paper.report import RECHECK_WEEKS
from threequarter.practice.recheck import Verdict
from threequarter.practice.through_time import Track
from threequarter.store.accounts.shares import Shares
from threequarter.store.imports.save_import import now_utc
from threequarter.store.people.roster import Roster
from threequarter.store.results import SessionInfo
from threequarter.swing.words import clock
from threequarter.web.page_context import MOST_OFFERED, page, store_of
from threequarter.web.pages.players.guesses import guesses_view
from threequarter.web.pages.players.lookup import known_player
from threequarter.web.pages.players.plan import plan_form
from threequarter.web.pages.players.preferences import READS
from threequarter.web.pages.recheck.routes import recheck_view
from threequarter.web.pages.swings.routes import clips_of
from threequarter.web.security.authorization import AuthorizedRouter
from threequarter.web.security.policy import COACH, SEE, SIGNED_IN, need
from threequarter.web.view import ChartView

pages = AuthorizedRouter()
DUE: Final = datetime.timedelta(weeks=RECHECK_WEEKS)
MOST_CHARTS: Final = 12
MOST_PLAYERS: Final = 100
"""On one page; a search finds the others."""


@pages.get("/players", response_class=HTMLResponse, dependencies=[need(SIGNED_IN)])
def roster(request: Request, q: str = "", show: Literal["", "due", "archived"] = "") -> HTMLResponse:
    """Everybody by name, with who is due a recheck; a search finds names and words in notes. Archived players only if
    asked for."""
    store = store_of(request)
    every = Roster(store)
    late = every.due(now_utc() - DUE)
    names = late[: MOST_PLAYERS + 1] if show == "due" else every.names(q, MOST_PLAYERS + 1, archived=show == "archived")
    known = verdicts(store, names[:MOST_PLAYERS])
    held: dict[str | None, list[SessionInfo]] = defaultdict(list)
    for session in store.sessions(names[:MOST_PLAYERS]):
        held[session.player].append(session)
    return page(
        request,
        "players/players.html",
        rows=[_row(name, held[name], known.get(name)) for name in names[:MOST_PLAYERS]],
        q=q,
        weeks=RECHECK_WEEKS,
        show=show,
        due=len(late),
        archived=len(every.names(archived=True, most=MOST_PLAYERS)),
        notes=every.search(q),
        more=len(names) > MOST_PLAYERS,
    )


def _row(name: str, sessions: Sequence[SessionInfo], verdict: Verdict | None = None) -> dict[str, Any]:
    last = max((session.held_on for session in sessions), default=None)
    return {
        "name": name,
        "sessions": len(sessions),
        "balls": sum(s.balls for s in sessions),
        "last": day(last) if last else "",
        "verdict": verdict_words(verdict) if verdict else "",
        "due": last is not None and now_utc().date() - last > DUE,
    }


@pages.get("/players/{name:path}", response_class=HTMLResponse, dependencies=[need(SEE, N_("looked at a player"))])
def player(request: Request, name: str, moved: str = "", to: str = "", merged: int | None = None) -> HTMLResponse:
    """A player: bag, swing names, notes, sessions, clips, charts through time."""
    store = store_of(request)
    known = known_player(request, name)
    sessions = sorted(store.sessions([known]), key=lambda one: (one.held_on, one.made_at, one.id), reverse=True)
    reader = use_preferences(store_of(request), known)
    unit: DistanceUnit = reader.distance or (sessions[0].unit if sessions else units_in_use().distance)
    standing = standing_chart(store, known, unit)
    return page(
        request,
        "players/player.html",
        name=known,
        reader=reader,
        reads=READS,
        sessions=sessions,
        clubs=Roster(store).bag(known),
        row=_row(known, sessions),
        moved=moved,
        to=to,
        merged=merged,
        archived=Roster(store).archived(known),
        swings=_swing_names(standing.balls if standing else ()),
        clips=[(info, clip) for info in sessions[:MOST_CHARTS] for clip in clips_of(request).of_session(info.id)],
        notes=Roster(store).notes(known),
        links=Shares(store).of_sessions([info.id for info in sessions]),
        others=Roster(store).names(most=MOST_OFFERED),
        **_time(standing.tracks if standing else (), unit),
        **standing_view(standing),
        **plan_form(store, known, unit, standing.answer.plan if standing else None),
        **guesses_view(store, known, unit),
    )


def standing_view(found: StandingChart | None) -> dict[str, Any]:
    """The standing chart of a player for a template, and whether it holds; nothing without a ball."""
    if found is None:
        return {"standing": None, "recheck": None}
    held = found.recheck
    return {"standing": ChartView.of(found).in_words(), "recheck": recheck_view(held) if held else None}


def _swing_names(balls: Sequence[Ball]) -> list[dict[str, Any]]:
    """The names of swing lengths, what each is taken for, and in how many balls; short to long."""
    counts = Counter(ball.swing for ball in balls)
    lengths = sorted((parse_swing(name) for name in counts), key=lambda length: length.order)
    return [{"name": length.label, "balls": counts[length.label], "says": _length_words(length)} for length in lengths]


def _length_words(length: SwingLength) -> str:
    if length.kind == "own" or length.reach is None:
        return _("a name of their own: only the balls tell how long it is")
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
    return {
        "through_time": shown,
        "unit": unit,
        "time_wide": Markup(through_time_picture(found, unit)),
        "time_narrow": Markup(through_time_picture(found, unit, width=360)),
    }


@pages.post("/players/{name:path}/archive", dependencies=[need(COACH, N_("archived a player, or brought one back"))])
def archive(request: Request, name: str, back: Annotated[str, Form()] = "") -> RedirectResponse:
    """Hides a player from the lists, or brings one back."""
    every = Roster(store_of(request))
    every.bring_back(name) if back else every.archive(name)
    return _to(known_player(request, name))


@pages.post("/players/{name:path}/merge", dependencies=[need(COACH, N_("merged two players"))])
def merge(request: Request, name: str, to: Annotated[str, Form()] = "") -> RedirectResponse:
    """Makes this player and another one: both are the other from now on. The page offers the way back."""
    other = known_player(request, to)
    made = Roster(store_of(request)).merge(name, other)
    return _to(other, f"?merged={made}")


@pages.post("/players/{name:path}/notes", dependencies=[need(COACH, N_("noted something"))])
def note(request: Request, name: str, text: Annotated[str, Form()] = "") -> RedirectResponse:
    """Keeps a note about a player."""
    Roster(store_of(request)).note(known_player(request, name), text)
    return _to(name, "#notes")


@pages.post("/notes/{note_id}/{act}", dependencies=[need(COACH, N_("took a note back, or brought it again"))])
def settle_note(request: Request, note_id: int, act: Literal["undo", "redo"]) -> RedirectResponse:
    """Takes a note back, or brings it again."""
    roster = Roster(store_of(request))
    whose = roster.undo_note(note_id) if act == "undo" else roster.redo_note(note_id)
    return _to(whose, f"?gone={note_id}#notes" if act == "undo" else "#notes")


@pages.post("/players/{name:path}/give", dependencies=[need(COACH, N_("gave sessions to another player"))])
def give(
    request: Request, name: str, to: Annotated[str, Form()] = "", sessions: Annotated[str, Form()] = ""
) -> RedirectResponse:
    """Gives a player's sessions to another: one entered twice, or the wrong one at the tee. The page offers the way
    back."""
    only = [int(part) for part in sessions.split(",") if part.strip().isdigit()]
    moved = Roster(store_of(request)).move_sessions(name, to, only)
    return _to(to, f"?moved={','.join(map(str, moved))}&to={quote(name, safe='')}")


@pages.post("/players/{name:path}/drop", dependencies=[need(COACH, N_("took a player off the roster"))])
def drop(request: Request, name: str) -> RedirectResponse:
    """Takes a player of whom nothing is kept off the roster."""
    Roster(store_of(request)).drop(name)
    return RedirectResponse("/players", status_code=303)


def _to(name: str, more: str = "") -> RedirectResponse:
    return RedirectResponse(f"/players/{quote(name, safe='')}{more}", status_code=303)
