"""The roster: who is due a recheck, a player's bag, notes, sessions, and the charts through time."""

import datetime
from collections import defaultdict
from collections.abc import Sequence
from typing import Annotated, Any, Final, Literal
from urllib.parse import quote

from fastapi import APIRouter, Form, Request
from fastapi.responses import HTMLResponse, RedirectResponse
from markupsafe import Markup

from threequarter.chart.result import Chart
from threequarter.golf.club import parse_club
from threequarter.golf.errors import UserError
from threequarter.golf.language import _, day
from threequarter.golf.units import from_metres
from threequarter.paper.pictures.through_time_picture import through_time_picture
from threequarter.paper.report import RECHECK_WEEKS
from threequarter.practice.through_time import say, tracks
from threequarter.store.results import Club, SessionInfo
from threequarter.store.roster import Roster
from threequarter.web.parts import MOST_OFFERED, chart_of, names_in, page, store_of

pages = APIRouter()
DUE: Final = datetime.timedelta(weeks=RECHECK_WEEKS)
MOST_CHARTS: Final = 12
MOST_PLAYERS: Final = 100
"""On one page; a search finds the others."""


@pages.get("/players", response_class=HTMLResponse)
def roster(request: Request, q: str = "") -> HTMLResponse:
    """Everybody by name, with who is due a recheck; a search finds names and words in notes."""
    store = store_of(request)
    names = Roster(store).names(q, MOST_PLAYERS + 1)
    held: dict[str | None, list[SessionInfo]] = defaultdict(list)
    for session in store.sessions(names[:MOST_PLAYERS]):
        held[session.player].append(session)
    return page(
        request, "players.html", rows=[_row(name, held[name]) for name in names[:MOST_PLAYERS]], q=q, weeks=RECHECK_WEEKS,
        notes=Roster(store).search(q), more=len(names) > MOST_PLAYERS,
    )  # fmt: skip


def _row(name: str, sessions: Sequence[SessionInfo]) -> dict[str, Any]:
    last = max((session.made_at for session in sessions), default=None)
    now = datetime.datetime.now(datetime.UTC).replace(tzinfo=None)
    return {
        "name": name,
        "sessions": len(sessions),
        "balls": sum(s.balls for s in sessions),
        "last": day(last) if last else "",
        "due": last is not None and now - last.replace(tzinfo=None) > DUE,
    }


@pages.get("/players/{name:path}", response_class=HTMLResponse)
def player(request: Request, name: str, moved: str = "", to: str = "") -> HTMLResponse:
    """A player: bag, notes, sessions, charts through time."""
    store = store_of(request)
    known = _known(request, name)
    sessions = store.sessions([known])
    clubs = ", ".join(_club(club) for club in Roster(store).bag(known))
    return page(
        request, "player.html", name=known, sessions=sessions, bag=clubs, row=_row(known, sessions), moved=moved, to=to,
        notes=Roster(store).notes(known), others=Roster(store).names(most=MOST_OFFERED), **_time(request, sessions),
    )  # fmt: skip


def _known(request: Request, name: str) -> str:
    known = Roster(store_of(request)).known(name)
    if known is None:
        raise UserError(_("There is no player {name}.").format(name=repr(name[:80])))
    return known


def _club(club: Club) -> str:
    loft = f"{club.loft_deg:g}" if club.loft_deg else ""
    return club.label if not loft or loft in club.label else f"{club.label} {loft}°"


def _time(request: Request, sessions: Sequence[SessionInfo]) -> dict[str, Any]:
    """The charts of the newest sessions as one picture and a table; nothing while there is one session only."""
    charts: list[tuple[datetime.date, Chart]] = []
    for info in reversed(sessions[:MOST_CHARTS]):  # oldest first: the order within one day stays
        _info, view = chart_of(request, info.id, info.unit)
        if view is not None:
            charts.append((store_of(request).facts(info.id).held_on or info.made_at.date(), view.chart))
    if len(charts) < 2:
        return {"through_time": ()}
    unit, found = sessions[0].unit, tracks(charts)
    shown = [
        {
            "shot": t.shot,
            "says": say(t, unit),
            "carries": ", ".join(f"{from_metres(p.carry_m, unit):.0f}" for p in t.points),
        }
        for t in found
    ]
    return {
        "through_time": shown,
        "unit": unit,
        "time_wide": Markup(through_time_picture(found, unit)),
        "time_narrow": Markup(through_time_picture(found, unit, width=360)),
    }


@pages.post("/players/{name:path}/bag")
def bag(request: Request, name: str, clubs: Annotated[str, Form()] = "") -> RedirectResponse:
    """Keeps a player's wedges."""
    labels = [name[:100] for name in names_in(clubs, 50)]
    if len(labels) > 14:
        raise UserError(_("A bag holds at most 14 clubs (Rule 4.1b), not {count}.").format(count=len(labels)))
    Roster(store_of(request)).set_bag(
        name, [Club(label=label, loft_deg=parse_club(label).loft_deg) for label in labels]
    )
    return _to(name)


@pages.post("/players/{name:path}/notes")
def note(request: Request, name: str, text: Annotated[str, Form()] = "") -> RedirectResponse:
    """Keeps a note about a player."""
    Roster(store_of(request)).note(_known(request, name), text)
    return _to(name, "#notes")


@pages.post("/notes/{note_id}/{act}")
def settle_note(request: Request, note_id: int, act: Literal["undo", "redo"]) -> RedirectResponse:
    """Takes a note back, or brings it again."""
    roster = Roster(store_of(request))
    whose = roster.undo_note(note_id) if act == "undo" else roster.redo_note(note_id)
    return _to(whose, f"?gone={note_id}#notes" if act == "undo" else "#notes")


@pages.post("/players/{name:path}/give")
def give(
    request: Request, name: str, to: Annotated[str, Form()] = "", sessions: Annotated[str, Form()] = ""
) -> RedirectResponse:
    """Gives a player's sessions to another: one entered twice, or the wrong one at the tee. The page offers the way back."""
    only = [int(part) for part in sessions.split(",") if part.strip().isdigit()]
    moved = Roster(store_of(request)).move_sessions(name, to, only)
    return _to(to, f"?moved={','.join(map(str, moved))}&to={quote(name, safe='')}")


@pages.post("/players/{name:path}/drop")
def drop(request: Request, name: str) -> RedirectResponse:
    """Takes a player of whom nothing is kept off the roster."""
    Roster(store_of(request)).drop(name)
    return RedirectResponse("/players", status_code=303)


def _to(name: str, more: str = "") -> RedirectResponse:
    return RedirectResponse(f"/players/{quote(name, safe='')}{more}", status_code=303)
