"""Before the first ball: how many balls, in which order, how long."""

from typing import Any

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse

from threequarter.chart.plan import TYPICAL_SPREAD, plan_session
from threequarter.golf.errors import UserError
from threequarter.web.parts import page

pages = APIRouter()
CLUBS = "50, 54, 58"
SWINGS = "waist, chest, shoulder"


@pages.get("/plan", response_class=HTMLResponse)
def plan(request: Request, clubs: str = CLUBS, swings: str = SWINGS, spread: str = "") -> HTMLResponse:
    """The plan for some clubs and swings; what was typed stays in the fields when it cannot be used."""
    values: dict[str, Any] = {"clubs": clubs, "swings": swings, "spread": spread or f"{100 * TYPICAL_SPREAD:.0f}"}
    try:
        share = float(values["spread"].replace(",", ".").rstrip(" %")) / 100
    except ValueError:
        return page(request, "plan.html", 400, problem=f"The spread is a number in percent, not {spread!r}.", **values)
    try:
        planned = plan_session(_names(clubs), _names(swings), spread=share)
    except UserError as error:
        return page(request, "plan.html", 400, problem=str(error), **values)
    return page(request, "plan.html", plan=planned, **values)


def _names(text: str) -> list[str]:
    return [part.strip() for part in text.split(",") if part.strip()][:20]
