"""Links for others: made on the report's page, listed with the player, ended at once; and what whoever has one sees."""

from typing import Annotated, Final

from fastapi import Form, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response

from threequarter.language.localize import N_
from threequarter.store.accounts.shares import USUAL_DAYS, Shares
from threequarter.web.page_context import page, store_of
from threequarter.web.pages.lesson.report import report_page, report_pdf
from threequarter.web.pages.sessions.routes import card
from threequarter.web.request_locale import own_page
from threequarter.web.security.authorization import AuthorizedRouter
from threequarter.web.security.policy import COACH, LINK, need
from threequarter.web.security.sign_in import link_of

pages = AuthorizedRouter()
DAYS: Final = (7, 30, 90)


@pages.post("/sessions/{session_id}/share", dependencies=[need(COACH, N_("made a link for others"))])
def share(
    request: Request,
    session_id: int,
    what: Annotated[str, Form()] = "report",
    days: Annotated[int, Form()] = USUAL_DAYS,
) -> HTMLResponse:
    """A new link, shown once."""
    secret = Shares(store_of(request)).make(session_id, what, days)
    return page(
        request,
        "accounts/made_link.html",
        title="",
        what=what,
        link=link_of(request, f"/shared/{secret}"),
        days=days,
        once=False,
        back=f"/sessions/{session_id}/report",
    )


@pages.post("/shares/{share_id}/revoke", dependencies=[need(COACH, N_("ended a link for others"))])
def revoke(request: Request, share_id: int, back: Annotated[str, Form()] = "") -> RedirectResponse:
    """Ends a link at once; back to the list it was ended in, else to the report."""
    session_id = Shares(store_of(request)).revoke(share_id)
    return RedirectResponse((own_page(back) if back else f"/sessions/{session_id}/report") + "#links", status_code=303)


@pages.get("/shared/{secret}", response_class=HTMLResponse, dependencies=[need(LINK)])
def shared(request: Request, secret: str) -> Response:
    """What a link shows: the report as a page, or the card."""
    session_id, what = request.state.link
    answer: Response = report_page(request, session_id) if what == "report" else card(request, session_id)
    return _quiet(answer)


@pages.get("/shared/{secret}/report.pdf", dependencies=[need(LINK)])
def shared_report(request: Request, secret: str) -> Response:
    """The report of a link for printing."""
    session_id, what = request.state.link
    return _quiet(report_pdf(request, session_id) if what == "report" else card(request, session_id))


@pages.get("/shared/{secret}/card.pdf", dependencies=[need(LINK)])
def shared_card(request: Request, secret: str) -> Response:
    """The card of a link; a link to a report shows the same chart, so its card too."""
    session_id, _what = request.state.link
    return _quiet(card(request, session_id))


def _quiet(answer: Response) -> Response:
    """The address is the secret: no copy is kept by the browser (and no other site is told, as of every page)."""
    answer.headers["cache-control"] = "no-store"
    return answer
