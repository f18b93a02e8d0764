"""The roster: who is due a recheck, a player's bag, notes, sessions, and the charts through time."""

import datetime
from collections import defaultdict
from collections.abc import Sequence
from typing import Annotated, Any, Final, Literal
from urllib.parse import quote

from fastapi import Form, Request
from fastapi.responses import HTMLResponse, RedirectResponse

from threequarter.answers.recheck import verdict_words
from threequarter.app.standing import verdicts
from threequarter.language.localize import N_, day
from threequarter.paper.report import RECHECK_WEEKS
from threequarter.practice.recheck import Verdict
from threequarter.store.imports.save_import import now_utc
from threequarter.store.people.roster import Roster
from threequarter.store.results import SessionInfo
from threequarter.web.page_context import page, store_of
from threequarter.web.pages.players.lookup import known_player
from threequarter.web.security.authorization import AuthorizedRouter
from threequarter.web.security.policy import COACH, SIGNED_IN, need
from threequarter.web.whole_number import whole_number

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
    return _to(name, "/days#notes")


@pages.post("/notes/{note_id}/{act}", dependencies=[need(COACH, N_("took a note back, or brought it again"))])
def settle_note(request: Request, note_id: int, act: Literal["undo", "redo"]) -> RedirectResponse:
    """Takes a note back, or brings it again."""
    roster = Roster(store_of(request))
    whose = roster.undo_note(note_id) if act == "undo" else roster.redo_note(note_id)
    return _to(whose, f"/days?gone={note_id}#notes" if act == "undo" else "/days#notes")


@pages.post("/players/{name:path}/give", dependencies=[need(COACH, N_("gave sessions to another player"))])
def give(
    request: Request, name: str, to: Annotated[str, Form()] = "", sessions: Annotated[str, Form()] = ""
) -> RedirectResponse:
    """Gives a player's sessions to another: one entered twice, or the wrong one at the tee. The page offers the way
    back."""
    only = [one for part in sessions.split(",") if (one := whole_number(part)) is not None]
    moved = Roster(store_of(request)).move_sessions(name, to, only)
    return _to(to, f"?moved={','.join(map(str, moved))}&to={quote(name, safe='')}")


@pages.post("/players/{name:path}/drop", dependencies=[need(COACH, N_("took a player off the roster"))])
def drop(request: Request, name: str) -> RedirectResponse:
    """Takes a player of whom nothing is kept off the roster."""
    Roster(store_of(request)).drop(name)
    return RedirectResponse("/players", status_code=303)


def _to(name: str, more: str = "") -> RedirectResponse:
    return RedirectResponse(f"/players/{quote(name, safe='')}{more}", status_code=303)
