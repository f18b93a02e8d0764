"""Does this chart still hold, by the balls of a newer session?"""

from typing import Any

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse

from threequarter.language import lines
from threequarter.practice.recheck import recheck, told
from threequarter.store.results import SessionInfo
from threequarter.store.store import Store
from threequarter.web.page_context import MOST_OFFERED, charted, page, store_of
from threequarter.web.view import ChartView

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
    other, newer = charted(store_of(request), int(chosen), view.unit)
    before, after = _in_time(store_of(request), (info, view), (other, newer))
    found = recheck(before.chart, after.balls)
    return page(request, "recheck/recheck.html", found=lines(told(found), view.unit), **values)


def _in_time(
    store: Store, one: tuple[SessionInfo, ChartView], other: tuple[SessionInfo, ChartView]
) -> tuple[ChartView, ChartView]:
    """The chart before and the one after: a recheck has one direction, wherever it is asked from."""
    both = sorted(
        (one, other), key=lambda pair: (store.facts(pair[0].id).held_on or pair[0].made_at.date(), pair[0].id)
    )
    return both[0][1], both[1][1]
