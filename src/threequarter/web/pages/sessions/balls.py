"""Single balls: set aside with a reason, brought back, mended; and all balls of a session as a table."""

from dataclasses import replace
from typing import Annotated

from fastapi import Form, Request
from fastapi.responses import RedirectResponse

from threequarter.golf.ball import Ball, Strike
from threequarter.golf.errors import NotThereError, UserError
from threequarter.golf.units import METRES_PER
from threequarter.language.localize import N_, _
from threequarter.web.page_context import number, store_of
from threequarter.web.security.authorization import AuthorizedRouter
from threequarter.web.security.policy import TYPE, need

pages = AuthorizedRouter()


@pages.post("/sessions/{session_id}/balls/{ball_id}/aside", dependencies=[need(TYPE, N_("left a ball out"))])
def aside(request: Request, session_id: int, ball_id: int, why: Annotated[str, Form()] = "") -> RedirectResponse:
    """Leaves a ball out; the chart follows at once."""
    _mine(request, session_id, ball_id)
    store_of(request).leave_out(ball_id, (why.strip() or N_("left out by hand"))[:200])
    return RedirectResponse(f"/sessions/{session_id}?ball={ball_id}#ball", status_code=303)


@pages.post("/sessions/{session_id}/balls/{ball_id}/back", dependencies=[need(TYPE, N_("brought a ball back"))])
def back(request: Request, session_id: int, ball_id: int) -> RedirectResponse:
    """Takes a ball in again."""
    _mine(request, session_id, ball_id)
    store_of(request).leave_out(ball_id, None)
    return RedirectResponse(f"/sessions/{session_id}?ball={ball_id}#ball", status_code=303)


@pages.post("/sessions/{session_id}/balls/{ball_id}/mend", dependencies=[need(TYPE, N_("corrected a ball"))])
def mend(
    request: Request,
    session_id: int,
    ball_id: int,
    carry: Annotated[str, Form()] = "",
    unit: Annotated[str, Form()] = "yd",
    strike: Annotated[str, Form()] = "",
) -> RedirectResponse:
    """Gives a ball another distance or strike; what the file said is kept."""
    ball = _mine(request, session_id, ball_id)
    distance_m = (number(carry, _("The carry")) or 0.0) * METRES_PER["m" if unit == "m" else "yd"]
    if not 0.5 <= distance_m <= 250:
        raise UserError(_("No wedge carries {typed} {unit}.").format(typed=carry.strip()[:30], unit=unit))
    told = Strike(strike) if strike in set(Strike) else None
    store_of(request).edit_ball(ball_id, replace(ball, number=0, distance_m=distance_m, strike=told))
    return RedirectResponse(f"/sessions/{session_id}?ball={ball_id}#ball", status_code=303)


def _mine(request: Request, session_id: int, ball_id: int) -> Ball:
    found = next((kept.ball for kept in store_of(request).kept_balls(session_id) if kept.id == ball_id), None)
    if found is None:
        raise NotThereError(_("This day has no ball {number}.").format(number=ball_id))
    return found
