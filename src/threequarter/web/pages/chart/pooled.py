"""One chart of several sessions."""

from typing import Any, Final

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse

from threequarter.app.charts import session_weather, use_preferences
from threequarter.golf.language import _, number
from threequarter.golf.units import DistanceUnit
from threequarter.measurement.carry import to_carry
from threequarter.practice.pooled import DayBalls, DayShift, pool
from threequarter.web.page_context import page, store_of
from threequarter.web.pages.players.lookup import known_player
from threequarter.web.view import ChartView

pages = APIRouter()


MOST_POOLED: Final = 24


@pages.get("/players/{name:path}/pooled", response_class=HTMLResponse)
def pooled(request: Request, name: str, unit: DistanceUnit | None = None) -> HTMLResponse:
    """One chart of the sessions chosen (all, where none is named), brought to one air."""
    known = known_player(request, name)
    store = store_of(request)
    sessions = [info for info in store.sessions([known]) if info.balls][:MOST_POOLED]
    wanted = {int(text) for text in request.query_params.getlist("s") if text.isdigit()}
    chosen = [info for info in sessions if not wanted or info.id in wanted]
    days, said = [], []
    for info in chosen:
        carried, words_ = to_carry(store.session_balls(info.id), info.ground)  # type: ignore[arg-type]
        said += [line for line in words_ if line not in said]
        days.append(
            DayBalls(
                day=store.facts(info.id).held_on or info.made_at.date(),
                balls=carried,
                weather=session_weather(store_of(request), info.id),
            )
        )
    found = pool(days)
    shown = ChartView(
        found.chart,
        found.balls,
        unit or use_preferences(store_of(request), known).distance or sessions[0].unit,
        (*said, *found.said),
    )
    return page(
        request,
        "chart/pooled.html",
        name=known,
        sessions=sessions,
        chosen={info.id for info in chosen},
        days=[_day_words(one) for one in found.days],
        many=len(chosen),
        **shown.page(),
    )


def _day_words(one: DayShift) -> dict[str, Any]:
    if one.shift is None or one.shift90 is None:
        return {"day": one.day, "balls": one.balls, "shift": "–", "says": _("too few balls to tell")}
    low, high = (number(100 * end, 1, sign=True) for end in (one.shift90.low, one.shift90.high))
    told = one.shift90.low > 0 or one.shift90.high < 0
    says = (
        (_("further than the pooled chart") if one.shift > 0 else _("less far than the pooled chart"))
        if told
        else _("within chance")
    )
    return {
        "day": one.day,
        "balls": one.balls,
        "shift": f"{number(100 * one.shift, 1, sign=True)} % [{low} … {high}]",
        "says": says,
    }
