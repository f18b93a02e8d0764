"""A clinic: the rotation, a bucket page for each child, the wall where all charts fill, and everything in one print."""

from typing import Annotated, Any, Final
from urllib.parse import urlencode

from fastapi import Form, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response

from threequarter.app.plans import begin_plan
from threequarter.chart.result import Cell
from threequarter.golf.ball import shot_key
from threequarter.golf.club import parse_club
from threequarter.golf.errors import UserError
from threequarter.golf.units import DistanceUnit
from threequarter.language import say_error, words
from threequarter.language.localize import N_, _, locale
from threequarter.paper.pictures.sign import wedge_marks
from threequarter.practice.clinic import rotation
from threequarter.practice.games import MOST_IN_GAME
from threequarter.store.people.clinics import Clinic, Clinics
from threequarter.store.people.roster import Roster
from threequarter.store.store import Store
from threequarter.store.tasks.tasks import Tasks
from threequarter.web.page_context import chart_of, names_in, page, store_of, typed_day
from threequarter.web.pages.tasks.routes import begun
from threequarter.web.security.authorization import AuthorizedRouter
from threequarter.web.security.policy import COACH, need

pages = AuthorizedRouter()
MOST_PIPS: Final = 12


@pages.get("/clinic", response_class=HTMLResponse, dependencies=[need(COACH)])
def plan(request: Request) -> HTMLResponse:
    """Who comes, which stations."""
    return page(
        request,
        "clinic/begin.html",
        names="",
        clubs="50, 56",
        swings=_("waist, chest"),
        balls=6,
        clinics=Clinics(store_of(request)).newest(),
    )


@pages.post("/clinic", response_class=HTMLResponse, dependencies=[need(COACH, N_("began a clinic"))])
def begin(
    request: Request,
    names: Annotated[str, Form()] = "",
    clubs: Annotated[str, Form()] = "",
    swings: Annotated[str, Form()] = "",
    balls: Annotated[int, Form()] = 6,
    unit: Annotated[str, Form()] = "yd",
    name: Annotated[str, Form()] = "",
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
            name=name,
            clinics=[],
            clubs=clubs,
            swings=swings,
            balls=balls,
        )
    made = Clinics(store_of(request)).begin(players, wedges, lengths, balls, unit=unit, name=name)
    for session_id in Clinics(store_of(request)).one(made).sessions:
        begin_plan(store_of(request), session_id, wedges, lengths)
    return RedirectResponse(f"/clinics/{made}", status_code=303)


@pages.get("/clinics/{clinic_id}", response_class=HTMLResponse, dependencies=[need(COACH)])
def wall(request: Request, clinic_id: int) -> HTMLResponse:
    """All charts of a clinic filling, who stands where, and the way to each one's keys; without those archived since."""
    store = store_of(request)
    kept = Clinics(store).one(clinic_id)
    here = [day for day, player in _players(store, kept).items() if not (player and Roster(store).archived(player))]
    rows = [_row(request, session_id, kept) for session_id in here]
    stations = [f"{club} {swing}" for club in kept.clubs for swing in kept.swings][:8] or [_("any shot")]
    clinic = rotation([row["player"] for row in rows], stations, kept.balls_each) if rows else None
    return page(
        request,
        "clinic/wall.html",
        rows=rows,
        kept=kept,
        clinic=clinic,
        game=urlencode([("who", row["player"]) for row in rows if row["balls"]][:MOST_IN_GAME]),
        hidden=len(kept.sessions) - len(here),
        keys=urlencode({"beside": ",".join(map(str, here))}),
    )


@pages.post("/clinics/{clinic_id}", dependencies=[need(COACH, N_("changed a clinic"))])
def edit(
    request: Request, clinic_id: int, name: Annotated[str, Form()] = "", held_on: Annotated[str, Form()] = ""
) -> RedirectResponse:
    """Gives a clinic another name and date."""
    every = Clinics(store_of(request))
    every.edit(clinic_id, name, typed_day(held_on) or every.one(clinic_id).held_on)
    return RedirectResponse(f"/clinics/{clinic_id}", status_code=303)


@pages.post("/clinics/{clinic_id}/away", dependencies=[need(COACH, N_("changed a clinic"))])
def put_away(request: Request, clinic_id: int) -> RedirectResponse:
    """Takes a clinic off the lists; its players' days stay."""
    Clinics(store_of(request)).put_away(clinic_id)
    return RedirectResponse("/history", status_code=303)


def _players(store: Store, kept: Clinic) -> dict[int, str | None]:
    """Whose each day of a clinic is, in the order of the rotation."""
    return {session_id: store.session(session_id).player for session_id in kept.sessions}


def _row(request: Request, session_id: int, kept: Clinic) -> dict[str, Any]:
    """One player of the wall: the matrix of the clinic's shots, how many balls of each, what comes next."""
    info, view = chart_of(store_of(request), session_id, None)
    chart = view.chart if view else None
    found = {shot_key(c.club, c.swing, c.loft_deg): c for c in chart.cells if c.balls} if chart else {}
    unit = view.unit if view else info.unit
    rows = [
        {
            "club": club,
            "mark": mark,
            "cells": [_cell(swing, found.get(shot_key(club, swing)), kept.balls_each, unit) for swing in kept.swings],
        }
        for club, mark in zip(kept.clubs, wedge_marks([parse_club(club).loft_deg for club in kept.clubs]), strict=True)
    ]
    advice = view.answer.advice if view else None
    following = advice.suggestions[0].cell if advice and advice.suggestions and not advice.stop else None
    return {
        "id": session_id,
        "player": info.player or info.title,
        "unit": unit,
        "rows": rows,
        "balls": info.balls,
        "enough": bool(advice and advice.stop),
        "next": words.shot(following) if following else "",
    }


def _cell(swing: str, cell: Cell | None, wanted: int, unit: DistanceUnit) -> dict[str, Any]:
    balls = cell.balls if cell else 0
    return {
        "swing": swing,
        "carry": words.rounded(cell.stock_carry_m, unit) if cell else "",
        "doubt": words.doubt(cell.stock90_m, unit) if cell else "",
        "balls": balls,
        "pips": [n < balls for n in range(min(max(wanted, 1), MOST_PIPS))],
    }


@pages.post("/clinics/{clinic_id}/print", dependencies=[need(COACH, N_("printed a clinic"))])
def print_all(request: Request, clinic_id: int) -> RedirectResponse:
    """A card and a page for each child, in one print; leads to the page that follows how far it is."""
    store = store_of(request)
    players = _players(store, Clinics(store).one(clinic_id))
    sessions = [day for day, player in players.items() if not (player and Roster(store).archived(player))]
    return begun(request, Tasks(store_of(request)).add("print", {"sessions": sessions}, language=locale()))
