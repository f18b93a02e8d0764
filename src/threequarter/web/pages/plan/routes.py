"""Before the first ball: how many balls, in which order, how long."""

from typing import Any

from fastapi import Request
from fastapi.responses import HTMLResponse

from threequarter.chart.plan import TYPICAL_SPREAD, plan_session
from threequarter.golf.errors import UserError
from threequarter.golf.units import METRES_PER
from threequarter.language import lines, say_error
from threequarter.language.localize import N_, _
from threequarter.language.measures import units_in_use
from threequarter.web.page_context import names_in, number, page
from threequarter.web.security.authorization import AuthorizedRouter
from threequarter.web.security.policy import SIGNED_IN, need

pages = AuthorizedRouter()
CLUBS = "50, 54, 58"
SWINGS = N_("waist, chest, shoulder")


@pages.get("/plan", response_class=HTMLResponse, dependencies=[need(SIGNED_IN)])
def plan(
    request: Request,
    clubs: str = CLUBS,
    swings: str = "",
    spread: str = "",
    minutes: str = "",
    balls: str = "",
    full: str = "",
    child: bool = False,
) -> HTMLResponse:
    """The plan for some clubs and swings; what was typed stays in the fields when it cannot be used."""
    swings = swings or _(SWINGS)
    unit = units_in_use().distance
    values: dict[str, Any] = {
        "clubs": clubs,
        "swings": swings,
        "spread": spread or f"{100 * TYPICAL_SPREAD:.0f}",
        "minutes": minutes,
        "balls": balls,
        "full": full,
        "child": child,
    }
    try:
        percent = number(values["spread"], _("The spread in percent")) or 0.0
        count, carry = number(balls, _("Balls you have")), number(full, _("Carry of a full swing"))
        planned = plan_session(
            names_in(clubs),
            names_in(swings),
            spread=percent / 100,
            minutes=number(minutes, _("Minutes you have")),
            balls=None if count is None else int(count),
            full_m=None if carry is None else carry * METRES_PER[unit],
            child=child,
        )
    except UserError as error:
        return page(request, "plan/plan.html", 400, problem=say_error(error), **values)
    return page(request, "plan/plan.html", plan=planned, says=lines(planned.messages), **values)
