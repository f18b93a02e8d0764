"""Before the first ball: how many balls, in which order, how long."""

from typing import Any

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse

from threequarter.chart.plan import TYPICAL_SPREAD, plan_session
from threequarter.golf.errors import UserError
from threequarter.golf.language import N_, _
from threequarter.language import say_error
from threequarter.web.page_context import names_in, number, page

pages = APIRouter()
CLUBS = "50, 54, 58"
SWINGS = N_("waist, chest, shoulder")


@pages.get("/plan", response_class=HTMLResponse)
def plan(request: Request, clubs: str = CLUBS, swings: str = "", spread: str = "") -> HTMLResponse:
    """The plan for some clubs and swings; what was typed stays in the fields when it cannot be used."""
    swings = swings or _(SWINGS)
    values: dict[str, Any] = {"clubs": clubs, "swings": swings, "spread": spread or f"{100 * TYPICAL_SPREAD:.0f}"}
    try:
        percent = number(values["spread"], _("The spread in percent")) or 0.0
        planned = plan_session(names_in(clubs), names_in(swings), spread=percent / 100)
    except UserError as error:
        return page(request, "plan/plan.html", 400, problem=say_error(error), **values)
    return page(request, "plan/plan.html", plan=planned, **values)
