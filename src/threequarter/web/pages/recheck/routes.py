"""Does this chart still hold, by the balls of a newer session?"""

from typing import Any

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse

from threequarter.practice.recheck import recheck, say
from threequarter.web.page_context import MOST_OFFERED, charted, page, store_of

pages = APIRouter()


@pages.get("/sessions/{session_id}/recheck", response_class=HTMLResponse)
def recheck_page(request: Request, session_id: int) -> HTMLResponse:
    """Does this chart still hold, by the balls of a newer session of the same player?"""
    info, view = charted(store_of(request), session_id, None)
    chosen = request.query_params.get("new")
    others = [
        s
        for s in store_of(request).sessions([info.player] if info.player else None, newest=MOST_OFFERED)
        if s.id != session_id
    ]
    values: dict[str, Any] = {"info": info, "others": others, "chosen": chosen, "unit": view.unit}
    if not chosen or not chosen.isdigit():
        return page(request, "recheck/recheck.html", **values)
    _info, newer = charted(store_of(request), int(chosen), view.unit)
    found = recheck(view.chart, newer.balls)
    return page(
        request,
        "recheck/recheck.html",
        found=found,
        whole=say(found.whole, view.unit),
        groups=[say(g, view.unit) for g in found.groups if g.verdict == "moved"],
        **values,
    )
