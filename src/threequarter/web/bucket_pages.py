"""The bucket page: balls typed one by one on a phone, kept there first, sent when the server can be reached."""

from typing import Annotated, Any
from urllib.parse import urlencode

from fastapi import APIRouter, Body, Form, Request
from fastapi.responses import FileResponse, HTMLResponse, JSONResponse, RedirectResponse, Response

from threequarter import __version__
from threequarter.chart import next_ball, words
from threequarter.golf.errors import UserError
from threequarter.golf.swing_length import REACH
from threequarter.store.bucket import Bucket
from threequarter.store.roster import Roster
from threequarter.web.parts import HERE, MOST_OFFERED, chart_of, names_in, page, status_of, store_of
from threequarter.web.view import ChartView

pages = APIRouter()

USUAL_CLUBS = ("50", "54", "58")
USUAL_SWINGS = tuple(name for name in REACH if name != "full")


@pages.get("/bucket", response_class=HTMLResponse)
def begin_page(request: Request) -> HTMLResponse:
    """Who hits, and with what."""
    players = Roster(store_of(request)).names(most=MOST_OFFERED)
    return page(
        request, "bucket_new.html", players=players, clubs=", ".join(USUAL_CLUBS), swings=", ".join(USUAL_SWINGS)
    )


@pages.post("/bucket")
def begin(
    request: Request, player: Annotated[str, Form()] = "", unit: Annotated[str, Form()] = "yd", clubs: Annotated[str, Form()] = "",
    swings: Annotated[str, Form()] = "",
) -> RedirectResponse:  # fmt: skip
    """A new session to type into."""
    session_id = Bucket(store_of(request)).begin(player, unit)
    asked = {name: text for name, text in (("clubs", clubs), ("swings", swings)) if text.strip()}
    return RedirectResponse(f"/bucket/{session_id}" + (f"?{urlencode(asked)}" if asked else ""), status_code=303)


@pages.get("/bucket/{session_id}", response_class=HTMLResponse)
def bucket(request: Request, session_id: int, clubs: str = "", swings: str = "") -> HTMLResponse:
    """The keys. Clubs and swings are those asked for, else those already in the session, else the usual ones."""
    info = store_of(request).session(session_id)
    balls = store_of(request).session_balls(session_id)
    names = names_in(clubs, 8) or list(dict.fromkeys(ball.club for ball in balls)) or list(USUAL_CLUBS)
    lengths = names_in(swings, 10) or list(dict.fromkeys(ball.swing for ball in balls)) or list(USUAL_SWINGS)
    return page(request, "bucket.html", info=info, clubs=names[:8], swings=lengths[:10])


@pages.post("/api/sessions/{session_id}/balls")
def take(request: Request, session_id: int, told: Annotated[dict[str, Any], Body()]) -> JSONResponse:
    """Keeps what a phone sent. The same again gives the same answer; each ball has an outcome of its own."""
    balls, back = told.get("balls") or [], told.get("back") or []
    if not isinstance(balls, list) or not isinstance(back, list) or not all(isinstance(b, dict) for b in balls):
        return JSONResponse({"error": "balls is a list of balls, back a list of keys."}, status_code=400)
    try:
        found = Bucket(store_of(request)).take(session_id, balls, [str(key) for key in back])
    except UserError as error:
        return JSONResponse({"error": str(error)}, status_code=status_of(error, 409))
    return JSONResponse({"outcomes": [{"key": o.key, "state": o.state, "why": o.why} for o in found]})


@pages.get("/api/sessions/{session_id}/live")
def live(request: Request, session_id: int) -> JSONResponse:
    """The chart as it fills: each cell with its doubt, what to hit next, and when to stop."""
    info, view = chart_of(request, session_id, None)
    if view is None:
        return JSONResponse({"unit": info.unit, "balls": 0, "cells": [], "next": [], "stop": False})
    return JSONResponse({"unit": view.unit, "balls": sum(c.balls for c in view.chart.cells), **_live(view)})


def _live(view: ChartView) -> dict[str, Any]:
    advice = next_ball.advise(view.chart)
    return {
        "cells": [
            {"club": c.club, "swing": c.swing, "balls": c.balls, "carry": words.rounded(c.stock_carry_m, view.unit),
             "doubt": words.doubt(c.stock90_m, view.unit), "next": words.span(c.next90_m, view.unit)}
            for c in view.chart.cells
        ],
        "next": [{"club": s.cell.club, "swing": s.cell.swing, "why": s.why} for s in advice.suggestions[:3]],
        "stop": advice.stop,
        "words": next_ball.say(advice, view.unit),
    }  # fmt: skip


@pages.get("/sw.js")
def service_worker() -> Response:
    """Keeps the bucket page usable without a server. A new version takes over at once and forgets the old one's pages."""
    text = (HERE / "static" / "sw.js").read_text(encoding="utf-8").replace("VERSION", __version__)
    return Response(
        text, media_type="text/javascript", headers={"cache-control": "no-store", "service-worker-allowed": "/"}
    )


@pages.get("/manifest.webmanifest")
def manifest() -> FileResponse:
    """What makes the page installable."""
    return FileResponse(HERE / "static" / "manifest.webmanifest", media_type="application/manifest+json")
