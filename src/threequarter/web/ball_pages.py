"""Single balls: set aside with a reason, brought back, mended; and all balls of a session as a table."""

import csv
import io
import json
from dataclasses import replace
from typing import Annotated, Any, Final

from fastapi import APIRouter, Form, Request
from fastapi.responses import JSONResponse, RedirectResponse, Response

from threequarter.golf.ball import Ball, Strike
from threequarter.golf.errors import UserError
from threequarter.golf.language import _
from threequarter.golf.units import METRES_PER
from threequarter.store.ball_json import to_json
from threequarter.web.parts import number, store_of

pages = APIRouter()
COLUMNS: Final = ("Ball", "Day", "Player", "Club", "Loft (deg)", "Swing", "Carry (m)", "Offline (m)", "Ball speed (m/s)", "Launch angle (deg)",
                  "Backspin (rpm)", "Note", "Use")  # fmt: skip
RISKY: Final = ("=", "+", "-", "@", "\t", "\r")


@pages.post("/sessions/{session_id}/balls/{ball_id}/aside")
def aside(request: Request, session_id: int, ball_id: int, why: Annotated[str, Form()] = "") -> RedirectResponse:
    """Leaves a ball out; the chart follows at once."""
    _mine(request, session_id, ball_id)
    store_of(request).leave_out(ball_id, (why.strip() or _("set aside by hand"))[:200])
    return RedirectResponse(f"/sessions/{session_id}#balls", status_code=303)


@pages.post("/sessions/{session_id}/balls/{ball_id}/back")
def back(request: Request, session_id: int, ball_id: int) -> RedirectResponse:
    """Takes a ball in again."""
    _mine(request, session_id, ball_id)
    store_of(request).leave_out(ball_id, None)
    return RedirectResponse(f"/sessions/{session_id}#balls", status_code=303)


@pages.post("/sessions/{session_id}/balls/{ball_id}/mend")
def mend(
    request: Request, session_id: int, ball_id: int, carry: Annotated[str, Form()] = "", unit: Annotated[str, Form()] = "yd", strike: Annotated[str, Form()] = ""
) -> RedirectResponse:  # fmt: skip
    """Gives a ball another distance or strike; what the file said is kept."""
    ball = _mine(request, session_id, ball_id)
    distance_m = (number(carry, _("The carry")) or 0.0) * METRES_PER["m" if unit == "m" else "yd"]
    if not 0.5 <= distance_m <= 250:
        raise UserError(_("No wedge carries {typed} {unit}.").format(typed=carry.strip()[:30], unit=unit))
    told = Strike(strike) if strike in set(Strike) else None
    store_of(request).edit_ball(ball_id, replace(ball, number=0, distance_m=distance_m, strike=told))
    return RedirectResponse(f"/sessions/{session_id}#balls", status_code=303)


def _mine(request: Request, session_id: int, ball_id: int) -> Ball:
    found = next((kept.ball for kept in store_of(request).kept_balls(session_id) if kept.id == ball_id), None)
    if found is None:
        raise UserError(_("There is no ball {number} in this session.").format(number=ball_id))
    return found


@pages.get("/sessions/{session_id}/balls.csv")
def balls_csv(request: Request, session_id: int) -> Response:
    """All balls as a table that this tool reads again without a question. Metres; 1 in Use counts."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(COLUMNS)
    for ball in store_of(request).session_balls(session_id):
        writer.writerow([_cell(value) for value in _row(ball)])
    headers = {"content-disposition": f'attachment; filename="balls-{session_id}.csv"'}
    return Response("\ufeff" + out.getvalue(), media_type="text/csv; charset=utf-8", headers=headers)


@pages.get("/sessions/{session_id}/balls.json")
def balls_json(request: Request, session_id: int) -> JSONResponse:
    """All balls with everything that is known of them, SI."""
    return JSONResponse({"balls": [json.loads(to_json(ball)) for ball in store_of(request).session_balls(session_id)]})


def _row(ball: Ball) -> list[Any]:
    return [ball.number, ball.day, ball.player, ball.club, ball.loft_deg, ball.swing, round(ball.distance_m, 3), _rounded(ball.offline_m), _rounded(ball.ball_speed_mps),
            _rounded(ball.launch_deg), _rounded(ball.backspin_rpm), ball.note or (ball.strike.value if ball.strike else None), int(ball.use)]  # fmt: skip


def _rounded(value: float | None) -> float | None:
    return None if value is None else round(value, 3)


def _cell(value: Any) -> Any:
    """A text that a spreadsheet would run as a formula is made plain."""
    if value is None:
        return ""
    return f"'{value}" if isinstance(value, str) and value.startswith(RISKY) else value
