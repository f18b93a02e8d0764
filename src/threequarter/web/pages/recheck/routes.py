"""Does the chart still hold? Always the newest day against the standing chart of the days before it."""

from typing import Any

from fastapi import Request
from fastapi.responses import HTMLResponse

from threequarter.answers.recheck import left_out_words, recheck_lines, verdict_words
from threequarter.app.provenance import dates_words
from threequarter.app.standing import Rechecked, recheck_of
from threequarter.web.page_context import page, store_of
from threequarter.web.security.authorization import AuthorizedRouter
from threequarter.web.security.policy import SEE, need

pages = AuthorizedRouter()


@pages.get("/sessions/{session_id}/recheck", response_class=HTMLResponse, dependencies=[need(SEE)])
def recheck_page(request: Request, session_id: int) -> HTMLResponse:
    """Does the chart of the player of a session still hold?"""
    store = store_of(request)
    info = store.session(session_id)
    found = recheck_of(store, info.player) if info.player else None
    return page(request, "recheck/recheck.html", info=info, **(recheck_view(found) if found else {"found": None}))


def recheck_view(found: Rechecked) -> dict[str, Any]:
    """A recheck for a template: verdict, lines, and which days stand against each other."""
    unit = found.unit
    return {
        "found": found.found,
        "verdict": verdict_words(found.found.verdict),
        "recheck_lines": recheck_lines(found.found, unit)[1:],
        "left_out": left_out_words(found.found),
        "before": dates_words([day.info for day in found.before]),
        "newest": dates_words([found.newest.info]),
        "days": [day.info for day in (found.newest, *reversed(found.before))],
    }
