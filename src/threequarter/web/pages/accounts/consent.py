"""Consent to be filmed, given and taken back; the films that end."""

from typing import Annotated
from urllib.parse import quote

from fastapi import Form, Request
from fastapi.responses import HTMLResponse, RedirectResponse

from threequarter.golf.errors import NotThereError, UserError
from threequarter.language.localize import N_, _
from threequarter.store.accounts.settings import CLIP_MONTHS, setting
from threequarter.store.clips.clips import Clips
from threequarter.store.media.retention import NOTICE, ending, keep
from threequarter.store.people.consents import Consents
from threequarter.store.people.roster import Roster
from threequarter.web.page_context import page, store_of
from threequarter.web.pages.swings.routes import clips_of
from threequarter.web.security.authorization import AuthorizedRouter
from threequarter.web.security.policy import COACH, SEE, TYPE, need

pages = AuthorizedRouter()


@pages.get("/players/{name:path}/consent", response_class=HTMLResponse, dependencies=[need(SEE)])
def consent_page(request: Request, name: str) -> HTMLResponse:
    """Whether films may be taken of a player, since when; and the films there are."""
    known, store = _known(request, name), store_of(request)
    found = Consents(store).of_player(known)
    return page(
        request,
        "accounts/consent.html",
        name=known,
        consents=found,
        stands=next((c for c in found if c.revoked_at is None), None),
        films=len(Consents(store).clips_of(known)),
        months=int(setting(store, CLIP_MONTHS)),
    )


def _known(request: Request, name: str) -> str:
    known = Roster(store_of(request)).known(name)
    if known is None:
        raise NotThereError(_("There is no player {name}.").format(name=repr(name[:80])))
    return known


@pages.post("/players/{name:path}/consent", dependencies=[need(TYPE, N_("agreed to be filmed"))])
def give(request: Request, name: str, by_whom: Annotated[str, Form()] = "") -> RedirectResponse:
    """Keeps that a player, or a guardian, agrees."""
    Consents(store_of(request)).give_for(_known(request, name), by_whom)
    return _back(name)


@pages.post("/players/{name:path}/consent/revoke", dependencies=[need(TYPE, N_("withdrew the consent to films"))])
def revoke(request: Request, name: str) -> RedirectResponse:
    """Takes it back: no new film from now on; the page offers to delete those there are."""
    Consents(store_of(request)).revoke(_known(request, name))
    return _back(name)


@pages.post(
    "/players/{name:path}/films/delete", dependencies=[need(TYPE, N_("deleted all films of a player"), here=True)]
)
def delete_films(request: Request, name: str, sure: Annotated[str, Form()] = "") -> RedirectResponse:
    """Deletes all films of a player with everything made from them, for good."""
    if not sure:
        raise UserError(_("Tick the box first: deleted clips do not come back."))
    clips: Clips = clips_of(request)
    for clip_id in Consents(store_of(request)).clips_of(_known(request, name)):
        clips.delete(clip_id)
    return _back(name)


def _back(name: str) -> RedirectResponse:
    return RedirectResponse(f"/players/{quote(name, safe='')}/consent", status_code=303)


@pages.get("/films-ending", response_class=HTMLResponse, dependencies=[need(COACH)])
def films_ending(request: Request) -> HTMLResponse:
    """The films whose time is up, when they go, and the way to keep one."""
    store = store_of(request)
    months = int(setting(store, CLIP_MONTHS))
    return page(request, "accounts/films_ending.html", films=ending(store), months=months, days=NOTICE.days)


@pages.post("/clips/{clip_id}/keep", dependencies=[need(COACH, N_("kept a film for longer"))])
def keep_film(request: Request, clip_id: int) -> RedirectResponse:
    """A film's time begins anew."""
    keep(store_of(request), clip_id)
    return RedirectResponse("/films-ending", status_code=303)
