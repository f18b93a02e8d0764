"""The bucket page: balls typed one by one on a phone, kept there first, sent when the server can be reached."""

import itertools
import json
from dataclasses import asdict, replace
from typing import Annotated, Any, Final
from urllib.parse import urlencode

from fastapi import Form, Request
from fastapi.responses import FileResponse, HTMLResponse, JSONResponse, RedirectResponse, Response

from threequarter.app.charts import session_chart, use_preferences
from threequarter.app.plans import begin_plan, plan_of
from threequarter.app.reports import card_details
from threequarter.chart.next_ball import CHILD_BALLS, Limits
from threequarter.golf.ball_codec import ball_to
from threequarter.golf.errors import UserError
from threequarter.language import say, say_error
from threequarter.language.localize import N_, _
from threequarter.paper.card import pocket_card
from threequarter.paper.pictures.chart_picture import chart_picture
from threequarter.paper.typesetting import png_of_pdf
from threequarter.store.balls.conflicts import Conflicts
from threequarter.store.balls.days import Days
from threequarter.store.balls.phone_balls import MOST_BALLS, PhoneBalls, SessionGoneError
from threequarter.store.people.clinics import Clinics
from threequarter.store.people.plans import Plans
from threequarter.store.people.roster import Roster
from threequarter.web.assets import assets_version, page_files
from threequarter.web.page_context import HERE, MOST_OFFERED, charted, charted_for, names_in, page, status_of, store_of
from threequarter.web.pages.keys.bodies import Begun, Moved, Sent, Settled
from threequarter.web.pages.keys.context import filling, to_look_at
from threequarter.web.pages.keys.here import HERE_ONLY, USUAL_CLUBS, usual_swings, values_here
from threequarter.web.pages.keys.texts import bucket_texts, engine_texts
from threequarter.web.problem import problem
from threequarter.web.security.authorization import AuthorizedRouter
from threequarter.web.security.policy import COACH, OPEN, SEE, SIGNED_IN, TYPE, need
from threequarter.web.security.typing_phone import note_begun
from threequarter.web.whole_number import whole_number

pages = AuthorizedRouter()

MOST_CLUBS: Final = 8
MOST_SWINGS: Final = 10
MOST_AT_ONE_PAGE: Final = 24


@pages.get("/bucket", response_class=HTMLResponse, dependencies=[need(SIGNED_IN, typing=True)])
def begin_page(request: Request) -> HTMLResponse:
    """Who hits, and with what; or on with a session begun before."""
    players = Roster(store_of(request)).names(most=MOST_OFFERED)
    return page(
        request,
        "keys/begin.html",
        players=players,
        clubs=", ".join(USUAL_CLUBS),
        swings=", ".join(usual_swings()),
        recent=PhoneBalls(store_of(request)).recent(),
    )


@pages.post("/bucket", dependencies=[need(TYPE, N_("began a bucket"), typing=True)])
def begin(
    request: Request,
    player: Annotated[str, Form()] = "",
    unit: Annotated[str, Form()] = "yd",
    clubs: Annotated[str, Form()] = "",
    swings: Annotated[str, Form()] = "",
) -> RedirectResponse:
    """A new session to type into."""
    session_id = PhoneBalls(store_of(request)).begin(player, unit)
    note_begun(request, session_id)
    wedges = names_in(clubs, MOST_CLUBS) or list(USUAL_CLUBS)
    lengths = names_in(swings, MOST_SWINGS) or usual_swings()
    chosen = wedges != list(USUAL_CLUBS) or lengths != usual_swings()
    begin_plan(store_of(request), session_id, wedges, lengths, chosen=chosen)
    return RedirectResponse(f"/bucket/{session_id}", status_code=303)


@pages.get("/bucket/waiting", response_class=HTMLResponse, dependencies=[need(SIGNED_IN, typing=True)])
def waiting(request: Request) -> HTMLResponse:
    """Everything that waits on this phone, whatever became of its sessions."""
    return page(request, "keys/waiting.html", texts=bucket_texts())


@pages.post("/api/buckets", dependencies=[need(TYPE, N_("began a bucket"))])
def begin_from_phone(request: Request, told: Begun) -> JSONResponse:
    """Begins a session for a bucket that a phone began; the same key again is the same session."""
    try:
        session_id = PhoneBalls(store_of(request)).begin(told.player, told.unit, key=told.key)
    except UserError as error:
        return problem(status_of(error, 409), say_error(error))
    clubs, swings = told.clubs[:MOST_CLUBS], told.swings[:MOST_SWINGS]
    begin_plan(store_of(request), session_id, clubs, swings, chosen=True)
    return JSONResponse({"id": session_id})


@pages.get(
    "/bucket/{session_id}", response_class=HTMLResponse, dependencies=[need(TYPE, N_("opened a bucket"), typing=True)]
)
def bucket(request: Request, session_id: int, clubs: str = "", swings: str = "", beside: str = "") -> HTMLResponse:
    """The keys. Clubs and swings are those asked for and those already in the session, else the usual ones.

    `beside` names the sessions of the others at this page (a clinic), so that the player is changed by one tap.
    """
    info = store_of(request).session(session_id)
    plan = plan_of(store_of(request), session_id)
    shown = page(
        request,
        "keys/keys.html",
        info=info,
        reads=use_preferences(store_of(request), info.player, measured=info.unit).distance or info.unit,
        clinic=Clinics(store_of(request)).of_session(session_id),
        texts=values_here()["texts"],
        engine_texts=engine_texts(),
        clubs=_names(clubs, [club.label for club in plan.clubs], USUAL_CLUBS, MOST_CLUBS),
        swings=_names(swings, [swing.label for swing in plan.swings], tuple(usual_swings()), MOST_SWINGS),
        others=_others(request, session_id, beside),
        beside=beside,
        keys=urlencode({"clubs": clubs, "swings": swings, "beside": beside}),
        child_balls=CHILD_BALLS,
    )
    shown.headers["permissions-policy"] = HERE_ONLY
    return shown


def _names(asked: str, planned: list[str], usual: tuple[str, ...], most: int) -> list[str]:
    """Those planned, then those asked for besides; the usual ones where there are none."""
    return list(dict.fromkeys([*planned, *names_in(asked, most)] or usual))[:most]


def _others(request: Request, session_id: int, beside: str) -> list[dict[str, Any]]:
    """The players at one page: id and name of each one's session."""
    ids = [one for part in beside.split(",") if (one := whole_number(part)) is not None][:MOST_AT_ONE_PAGE]
    if session_id not in ids:
        return []
    infos = [store_of(request).session(one) for one in ids]
    return [{"id": info.id, "name": info.player or info.title} for info in infos]


@pages.get("/bucket/{session_id}/kept.json", dependencies=[need(SEE)])
def kept_json(request: Request, session_id: int) -> JSONResponse:
    """What a phone keeps of a session, to work out its chart where no server is near: plan, ground, balls with their keys."""
    store = store_of(request)
    day = Days(store).standing(session_id)
    plan = Plans(store).of_session(day)
    told = {
        "ground": store.session(day).ground,
        "plan": plan and {name: [asdict(one) for one in getattr(plan, name)] for name in ("clubs", "swings")},
        "balls": [ball_to(one.ball) | {"key": one.key} for one in store.kept_balls(day)],
    }
    return JSONResponse(told, headers={"cache-control": "no-store"})


@pages.get("/bucket/{session_id}/chart.svg", dependencies=[need(SEE)])
def chart_svg(request: Request, session_id: int) -> Response:
    """The chart as a picture that a phone keeps for when no server is near."""
    _info, view = charted(store_of(request), session_id, None)
    picture = chart_picture(view.chart, view.balls, view.unit, width=360)
    return Response(picture, media_type="image/svg+xml", headers={"cache-control": "no-store"})


@pages.get("/bucket/{session_id}/card.png", dependencies=[need(SEE)])
def card_png(request: Request, session_id: int) -> Response:
    """The pocket card as a picture that a phone keeps for when no server is near."""
    info, view = charted_for(request, session_id, None)
    png = png_of_pdf(pocket_card(view.chart, card_details(info, view), unit=view.unit))
    return Response(png, media_type="image/png", headers={"cache-control": "no-store"})


@pages.post("/api/sessions/{session_id}/balls", dependencies=[need(TYPE, N_("typed balls"), typing=True)])
def take(request: Request, session_id: int, told: Sent) -> JSONResponse:
    """Keeps what a phone sent. The same again gives the same answer; each ball has an outcome of its own."""
    balls, changes = ([one.model_dump() for one in part or ()] for part in (told.balls, told.changes))
    try:
        found = PhoneBalls(store_of(request)).take(session_id, balls, told.back or (), changes, told.phone or "")
    except SessionGoneError as error:
        return problem(410, say_error(error), gone=True)
    except UserError as error:
        return problem(status_of(error, 409), say_error(error))
    answer: dict[str, Any] = {
        "outcomes": [{"key": o.key, "state": o.state, "why": say(o.why), "rev": o.rev} for o in found]
    }
    if told.live is not None:  # the chart that follows, in the same answer
        clubs, swings = told.live.clubs, told.live.swings
        begin_plan(store_of(request), session_id, names_in(clubs, MOST_CLUBS), names_in(swings, MOST_SWINGS))
        answer["live"] = _live(request, session_id, clubs, swings, child=told.live.child)
    return JSONResponse(answer)


@pages.get("/api/sessions/{session_id}/live", dependencies=[need(SEE, typing=True)])
def live(request: Request, session_id: int, clubs: str = "", swings: str = "", child: bool = False) -> JSONResponse:
    """The chart as it fills, in the unit its player reads: each shot with its doubt, what to hit next, when to stop; and what should
    be looked at."""
    return JSONResponse(_live(request, session_id, clubs, swings, child=child))


def _live(request: Request, session_id: int, clubs: str, swings: str, *, child: bool) -> dict[str, Any]:
    info, found = session_chart(store_of(request), Days(store_of(request)).standing(session_id), None)
    unit = found.unit if found else info.unit
    told: dict[str, Any] = {"unit": unit, "balls": 0, "cells": [], "next": [], "stop": False}
    if found is not None:
        keys = itertools.product(names_in(clubs, MOST_CLUBS), names_in(swings, MOST_SWINGS))
        answer = replace(found.answer, limits=Limits(child=True)) if child else found.answer
        told |= {"balls": sum(ball.use for ball in found.balls)} | filling(answer, list(keys), unit)
    return told | to_look_at(Conflicts(store_of(request)), info)


@pages.post(
    "/api/sessions/{session_id}/settle", dependencies=[need(TYPE, N_("settled a ball that came twice"), typing=True)]
)
def settle(request: Request, session_id: int, told: Settled) -> JSONResponse:
    """Settles what was looked at: {"conflict": id, "take": "kept" or "other"}, or {"double": ball, "same": true or false}."""
    looked = Conflicts(store_of(request))
    try:
        if told.conflict is not None:
            looked.settle(session_id, told.conflict, told.take)
        elif told.double is not None:
            looked.settle_double(session_id, told.double, same=told.same)
        else:
            return problem(400, _("You chose nothing to settle."))
    except UserError as error:
        return problem(status_of(error, 409), say_error(error))
    return JSONResponse({"settled": True})


@pages.get("/api/typed-sessions", dependencies=[need(SIGNED_IN, typing=True)])
def typed_sessions(request: Request) -> JSONResponse:
    """The sessions begun last on a bucket page: where balls of one that is gone may go."""
    found = PhoneBalls(store_of(request)).recent(12)
    return JSONResponse(
        {"sessions": [{"id": s.id, "player": s.player, "day": s.held_on.isoformat(), "balls": s.balls} for s in found]}
    )


@pages.post(
    "/api/sessions/{session_id}/move", dependencies=[need(COACH, N_("moved balls to another session"), typing=True)]
)
def move(request: Request, session_id: int, told: Moved) -> JSONResponse:
    """Gives typed balls to another session: {"keys": […], "to": id}."""
    try:
        moved = PhoneBalls(store_of(request)).move(told.keys[:MOST_BALLS], session_id, told.to)
    except UserError as error:
        return problem(status_of(error, 409), say_error(error))
    return JSONResponse({"moved": moved})


@pages.get("/sw.js", dependencies=[need(OPEN)])
def service_worker() -> Response:
    """Keeps the bucket page usable without a server. A new version takes over at once and forgets the old one's
    pages."""
    text = (HERE / "static" / "sw.js").read_text(encoding="utf-8")
    text = text.replace("FILES_OF_THIS_VERSION", json.dumps(page_files())).replace("VERSION", assets_version())
    return Response(
        text, media_type="text/javascript", headers={"cache-control": "no-store", "service-worker-allowed": "/"}
    )


@pages.get("/offline", response_class=HTMLResponse, dependencies=[need(OPEN)])
def offline(request: Request) -> HTMLResponse:
    """What stands in place of a page that is not on the phone, when no server can be reached."""
    return page(request, "keys/offline.html")


@pages.get("/manifest.webmanifest", dependencies=[need(OPEN)])
def manifest() -> FileResponse:
    """What makes the page installable."""
    return FileResponse(HERE / "static" / "manifest.webmanifest", media_type="application/manifest+json")
