"""What was done lately, each with the way back; and the bin."""

from typing import Annotated, Final, Literal

from fastapi import Form, Request
from fastapi.responses import HTMLResponse, RedirectResponse

from threequarter.language.localize import N_, _
from threequarter.store.balls.phone_balls import TYPED
from threequarter.store.history.history import TRASH_DAYS, History, HistoryEntry
from threequarter.store.history.trash import Trash
from threequarter.web.page_context import page, store_of
from threequarter.web.security.authorization import AuthorizedRouter
from threequarter.web.security.policy import COACH, need

pages = AuthorizedRouter()

SAYS: Final[dict[str, str]] = {
    "archive": N_("{player} was archived"),
    "bring back": N_("{player} was brought back"),
    "merge": N_("{of} was merged into {player}"),
    "give": N_("Days of {of} were given to {player}"),
    "bag": N_("The bag of {player} was changed"),
    "plan": N_("The plan of {player} was changed"),
    "day": N_("A day of {player} was corrected"),
    "clinic": N_("A clinic with {player} was corrected"),
    "clinic away": N_("A clinic with {player} was taken off the lists"),
    "join": N_("Two days of {player} were joined"),
    "move balls": N_("Balls of {player} were moved to another day"),
    "whose": N_("A day was given to {player}"),
    "bin session": N_("A day of {player} was put in the bin"),
    "bin clip": N_("The clip {of} was put in the bin"),
    "import": N_("{of} was saved for {player}"),
    "edit": N_("A ball of {player} was corrected or left out: {of}"),
    "note": N_("Note about {player}: {of}"),
    "link": N_("Swing {of} of {player} was given a ball"),
}


@pages.get("/history", response_class=HTMLResponse, dependencies=[need(COACH)])
def acts(request: Request) -> HTMLResponse:
    """The acts, newest first, and what lies in the bin."""
    bin_ = Trash(store_of(request))
    found = [(done, say(done)) for done in History(store_of(request)).recent()]
    return page(request, "kept/history.html", acts=found, bin=bin_.contents(), days=TRASH_DAYS)


def say(done: HistoryEntry) -> str:
    """An act in words."""
    if done.kind == "import" and done.of == TYPED:
        return _("Balls of {player} were typed").format(player=done.player or _("nobody"))
    says = _(SAYS[done.kind]).format(player=done.player or _("nobody"), of=done.of)
    return says.rstrip(": ")


@pages.post("/history/{kind}/{entry_id}/{way}", dependencies=[need(COACH, N_("undid or redid a step"))])
def settle(
    request: Request, kind: str, entry_id: int, way: Literal["back", "again"], to: Annotated[str, Form()] = ""
) -> RedirectResponse:
    """Takes an act back, or makes it again."""
    every = History(store_of(request))
    every.take_back(kind, entry_id) if way == "back" else every.again(kind, entry_id)
    here = to.startswith("/") and not to.startswith(("//", "/\\"))
    return RedirectResponse(to if here else "/history", status_code=303)


@pages.post("/sessions/{session_id}/bin", dependencies=[need(COACH, N_("put a session in the bin"))])
def bin_session(request: Request, session_id: int) -> RedirectResponse:
    """Puts a session with its balls and clips in the bin."""
    Trash(store_of(request)).put_session(session_id)
    return RedirectResponse("/history", status_code=303)


@pages.post(
    "/bin/{what}/{thing_id}/delete", dependencies=[need(COACH, N_("deleted something in the bin for good"), here=True)]
)
def delete(request: Request, what: Literal["session", "clip"], thing_id: int) -> RedirectResponse:
    """Deletes something that lies in the bin for good."""
    bin_ = Trash(store_of(request))
    (bin_.delete_session if what == "session" else bin_.delete_clip)(thing_id)
    return RedirectResponse("/history", status_code=303)
