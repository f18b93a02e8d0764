"""Kept: one page that leads to all that is kept, and to what holds for every page."""

from fastapi import Request
from fastapi.responses import HTMLResponse

from threequarter.web.page_context import page
from threequarter.web.security.authorization import AuthorizedRouter
from threequarter.web.security.policy import SIGNED_IN, need

pages = AuthorizedRouter()


@pages.get("/kept", response_class=HTMLResponse, dependencies=[need(SIGNED_IN)])
def kept(request: Request) -> HTMLResponse:
    """The bin, backups, ways out, phones, language and units, as far as whoever asks may open them."""
    return page(request, "kept/kept.html")
