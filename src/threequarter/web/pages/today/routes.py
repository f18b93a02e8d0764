"""The first page: the newest sessions, and the ways to begin."""

from typing import Final

from fastapi import Request
from fastapi.responses import HTMLResponse

from threequarter.language import words
from threequarter.language.localize import _, ngettext
from threequarter.store.balls.phone_balls import PhoneBalls
from threequarter.store.media.retention import ending
from threequarter.store.people.clinics import Clinics
from threequarter.web.page_context import page, store_of
from threequarter.web.security.authorization import AuthorizedRouter
from threequarter.web.security.policy import SIGNED_IN, may, need

pages = AuthorizedRouter()


NEWEST: Final = 30
"""Sessions on the first page; the roster leads to all."""


@pages.get("/", response_class=HTMLResponse, dependencies=[need(SIGNED_IN)])
def start(
    request: Request, shared: int = 0, added: int = 0, batch: str = "", undone: int = 0, done: int = 0
) -> HTMLResponse:
    """The sessions, and the ways to begin; after an import, what it did and the way back."""
    message = ""
    if undone:
        message = ngettext("{count} import was taken back.", "{count} imports were taken back.", undone).format(
            count=undone
        )
    elif done or (batch and not shared):
        message = _("It is all there again.") if done else _("{added} came in.").format(added=words.balls(added))
    elif shared:
        message = _("{added} came in, shared out to {shared} sessions.").format(added=words.balls(added), shared=shared)
    return page(
        request,
        "today/start.html",
        sessions=store_of(request).sessions(newest=NEWEST),
        clinics=Clinics(store_of(request)).newest(3) if may("GET /clinic") else [],
        begun=[one for one in PhoneBalls(store_of(request)).recent() if not one.balls],
        films_ending=len(ending(store_of(request))) if may("GET /films-ending") else 0,
        message=message,
        batch=batch,
        undone=undone,
    )
