"""One chart of several sessions."""

from typing import Any

from fastapi import Request
from fastapi.responses import HTMLResponse

from threequarter.app.standing import need_standing, standing_chart
from threequarter.golf.units import DistanceUnit
from threequarter.language.localize import N_, _, number
from threequarter.practice.pooled import DayShift
from threequarter.web.page_context import page, store_of
from threequarter.web.pages.players.lookup import known_player
from threequarter.web.security.authorization import AuthorizedRouter
from threequarter.web.security.policy import SEE, need
from threequarter.web.view import ChartView
from threequarter.web.whole_number import whole_number

pages = AuthorizedRouter()


@pages.get(
    "/players/{name:path}/pooled",
    response_class=HTMLResponse,
    dependencies=[need(SEE, N_("looked at a chart of several days"))],
)
def pooled(request: Request, name: str, unit: DistanceUnit | None = None) -> HTMLResponse:
    """One chart of the sessions chosen (all, where none is named), brought to one air."""
    known = known_player(request, name)
    store = store_of(request)
    every = need_standing(store, known, unit)
    wanted = [one for text in request.query_params.getlist("s") if (one := whole_number(text)) is not None]
    found = (standing_chart(store, known, unit, wanted) if wanted else None) or every
    chosen = [day.info for day in found.days]
    return page(
        request,
        "chart/pooled.html",
        name=known,
        sessions=[day.info for day in reversed(every.days)],
        chosen={info.id for info in chosen},
        days=[_day_words(one) for one in found.shifts],
        many=len(chosen),
        **ChartView.of(found).page(),
    )


def _day_words(one: DayShift) -> dict[str, Any]:
    if one.shift is None or one.shift90 is None:
        return {"day": one.day, "balls": one.balls, "shift": "–", "says": _("too few balls to know")}
    low, high = (number(100 * end, 1, sign=True) for end in (one.shift90.low, one.shift90.high))
    told = one.shift90.low > 0 or one.shift90.high < 0
    says = (
        (_("longer than the pooled chart") if one.shift > 0 else _("shorter than the pooled chart"))
        if told
        else _("could be chance")
    )
    return {
        "day": one.day,
        "balls": one.balls,
        "shift": f"{number(100 * one.shift, 1, sign=True)} % [{low} … {high}]",
        "says": says,
    }
