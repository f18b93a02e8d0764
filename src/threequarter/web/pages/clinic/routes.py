"""A clinic: the rotation, a bucket page for each child, the wall where all charts fill, and everything in one print."""

from typing import Annotated, Any
from urllib.parse import urlencode

from fastapi import APIRouter, Form, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response

from threequarter.golf.errors import UserError
from threequarter.golf.language import _
from threequarter.language import say_error, words
from threequarter.practice.clinic import rotation
from threequarter.store.balls.phone_balls import PhoneBalls
from threequarter.store.tasks.tasks import Tasks
from threequarter.web.page_context import chart_of, names_in, page, store_of
from threequarter.web.pages.tasks.routes import begun

pages = APIRouter()


@pages.get("/clinic", response_class=HTMLResponse)
def plan(request: Request) -> HTMLResponse:
    """Who comes, which stations."""
    return page(request, "clinic/begin.html", names="", clubs="50, 56", swings=_("waist, chest"), balls=6)


@pages.post("/clinic", response_class=HTMLResponse)
def begin(
    request: Request,
    names: Annotated[str, Form()] = "",
    clubs: Annotated[str, Form()] = "",
    swings: Annotated[str, Form()] = "",
    balls: Annotated[int, Form()] = 6,
    unit: Annotated[str, Form()] = "yd",
) -> Response:
    """A session for each player; the wall shows them all."""
    players, wedges, lengths = names_in(names, 100), names_in(clubs, 6), names_in(swings, 6)
    stations = [f"{club} {swing}" for club in wedges for swing in lengths][:8]
    try:
        rotation(players, stations, balls)
    except UserError as error:
        return page(
            request,
            "clinic/begin.html",
            400,
            problem=say_error(error),
            names=names,
            clubs=clubs,
            swings=swings,
            balls=balls,
        )
    bucket = PhoneBalls(store_of(request))
    made = [bucket.begin(name, unit) for name in players]
    wall = {"sessions": ",".join(map(str, made)), "clubs": clubs, "swings": swings, "balls": balls}
    return RedirectResponse(f"/clinic/wall?{urlencode(wall)}", status_code=303)


@pages.get("/clinic/wall", response_class=HTMLResponse)
def wall(request: Request, sessions: str = "", clubs: str = "", swings: str = "", balls: int = 6) -> HTMLResponse:
    """All charts of a clinic filling, who stands where, and the way to each bucket page."""
    ids = _ids(sessions)
    wedges, lengths = names_in(clubs, 6), names_in(swings, 6)
    rows = [_row(request, session_id) for session_id in ids]
    clinic = rotation(
        [row["player"] for row in rows], [f"{c} {s}" for c in wedges for s in lengths][:8] or [_("any shot")], balls
    )
    return page(
        request,
        "clinic/wall.html",
        rows=rows,
        clinic=clinic,
        sessions=sessions,
        keys=urlencode({"clubs": clubs, "swings": swings, "beside": ",".join(map(str, ids))}),
    )


def _row(request: Request, session_id: int) -> dict[str, Any]:
    info, view = chart_of(store_of(request), session_id, None)
    cells = (
        []
        if view is None
        else [
            {
                "shot": words.shot(c),
                "carry": words.rounded(c.stock_carry_m, view.unit),
                "doubt": words.doubt(c.stock90_m, view.unit),
                "balls": c.balls,
            }
            for c in view.chart.cells
            if c.balls
        ]
    )
    return {
        "id": session_id,
        "player": info.player or info.title,
        "unit": view.unit if view else info.unit,
        "cells": cells,
        "balls": sum(c["balls"] for c in cells),
    }


def _ids(text: str) -> list[int]:
    ids = [int(part) for part in text.split(",") if part.strip().isdigit()][:24]
    if not ids:
        raise UserError(_("This wall names no session. Begin a clinic first."))
    return ids


@pages.post("/clinic/print")
def print_all(request: Request, sessions: Annotated[str, Form()] = "") -> RedirectResponse:
    """A card and a page for each child, in one print; leads to the page that follows how far it is."""
    return begun(request, Tasks(store_of(request)).add("print", {"sessions": _seen(request, _ids(sessions))}))


def _seen(request: Request, ids: list[int]) -> list[int]:
    """Raises NotThereError for a session that is not theirs, before anything is begun."""
    return [store_of(request).session(session_id).id for session_id in ids]
