"""What is known of a day: its date, place, ball and ground; two days joined, balls parted into another. Everything can be undone."""

from dataclasses import replace
from typing import Annotated, Final, get_args
from urllib.parse import quote

from fastapi import Form, Request
from fastapi.concurrency import run_in_threadpool
from fastapi.responses import HTMLResponse, RedirectResponse

from threequarter.golf.errors import UserError
from threequarter.golf.units import from_metres
from threequarter.language.localize import N_, _
from threequarter.measurement.carry import Ground
from threequarter.store.balls.days import Days
from threequarter.web.page_context import page, store_of, typed_day
from threequarter.web.security.authorization import AuthorizedRouter
from threequarter.web.security.policy import COACH, SEE, TYPE, need
from threequarter.web.whole_number import whole_number

pages = AuthorizedRouter()
GROUNDS: Final = get_args(Ground)
SURFACES: Final = {"": N_("not noted"), "mat": N_("a mat"), "turf": N_("turf")}
GROUND_NAMES: Final = {"soft": N_("soft"), "normal": N_("normal"), "firm": N_("firm"), "plugs": N_("the ball plugs")}


@pages.get("/sessions/{session_id}/about", response_class=HTMLResponse, dependencies=[need(SEE)])
def about(request: Request, session_id: int, undo: str = "") -> HTMLResponse:
    """The facts of a day, and what can be done with whole days."""
    store = store_of(request)
    info = store.session(session_id)
    others = [one for one in store.sessions([info.player]) if one.id != session_id] if info.player else []
    kind, _dash, number = undo.rpartition("-")
    return page(
        request,
        "sessions/about.html",
        info=info,
        facts=store.facts(session_id),
        surfaces=SURFACES,
        grounds={name: GROUND_NAMES[name] for name in GROUNDS},
        others=others,
        balls=[
            (
                kept.id,
                f"{kept.ball.number}: {kept.ball.club} {kept.ball.swing} {from_metres(kept.ball.distance_m, info.unit):.0f}",
            )
            for kept in store.kept_balls(session_id)
        ],
        undo=None if (act := whole_number(number)) is None else (kind.replace("-", " "), act),
    )


@pages.post("/sessions/{session_id}/about", dependencies=[need(TYPE, N_("put a day right"))])
def keep(
    request: Request,
    session_id: int,
    held_on: Annotated[str, Form()] = "",
    where_held: Annotated[str, Form()] = "",
    ball_kind: Annotated[str, Form()] = "",
    surface: Annotated[str, Form()] = "",
    ground: Annotated[str, Form()] = "normal",
    taught_by: Annotated[str, Form()] = "",
) -> RedirectResponse:
    """Puts the facts of a day right; a date left empty is assumed again."""
    store = store_of(request)
    if ground not in GROUNDS or surface not in SURFACES:
        raise UserError(_("Choose the ground and the surface from the list."))
    told = replace(
        store.facts(session_id),
        held_on=typed_day(held_on),
        where_held=where_held.strip()[:300] or None,
        ball_kind=ball_kind.strip()[:100] or None,
        surface=surface or None,
        taught_by=taught_by.strip()[:300] or None,
    )
    return _back(session_id, "day", Days(store).edit(session_id, told, ground))


@pages.post("/sessions/{session_id}/join", dependencies=[need(COACH, N_("joined two days"))])
def join(request: Request, session_id: int, other: Annotated[int, Form()]) -> RedirectResponse:
    """Brings another day of the player into this one."""
    return _back(session_id, "join", Days(store_of(request)).join(other, session_id))


@pages.post("/sessions/{session_id}/part", dependencies=[need(COACH, N_("moved balls to another session"))])
async def part(request: Request, session_id: int) -> RedirectResponse:
    """Parts the balls that were ticked into a day of their own, or moves them to another day of the player."""
    form = await request.form()
    balls = [one for value in form.getlist("ball") if (one := whole_number(str(value))) is not None]
    to, held_on = whole_number(str(form.get("to") or "")), typed_day(str(form.get("held_on") or ""))
    days = Days(store_of(request))
    if to is not None:
        return _back(session_id, "move balls", await run_in_threadpool(days.move, session_id, to, balls))
    made, act = await run_in_threadpool(days.part, session_id, balls, held_on)
    return _back(made, "move balls", act)


def _back(session_id: int, kind: str, act: int | None) -> RedirectResponse:
    mark = f"?undo={quote(kind.replace(' ', '-'))}-{act}" if act else ""
    return RedirectResponse(f"/sessions/{session_id}/about{mark}", status_code=303)
