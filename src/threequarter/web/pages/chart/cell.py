"""One shot of a chart: its balls, its flight, its clips."""

from dataclasses import replace

from fastapi import Request
from fastapi.responses import HTMLResponse
from markupsafe import Markup

from threequarter.answers.answer import Answer
from threequarter.app.lesson_view import felt_words
from threequarter.app.lessons import films_of_shot
from threequarter.chart.in_air import ShotFlight, chart_in_air
from threequarter.golf.ball import shot_key
from threequarter.golf.errors import UserError
from threequarter.golf.units import DistanceUnit
from threequarter.language import line, measures, words
from threequarter.language.localize import N_, _, number
from threequarter.paper.pictures.flight_picture import flight_picture
from threequarter.store.results import SessionInfo
from threequarter.web.page_context import charted_for, page, store_of
from threequarter.web.security.authorization import AuthorizedRouter
from threequarter.web.security.policy import SEE, need
from threequarter.web.view import ChartView

pages = AuthorizedRouter()


@pages.get("/sessions/{session_id}/one", response_class=HTMLResponse, dependencies=[need(SEE, N_("looked at a shot"))])
def one_shot(
    request: Request, session_id: int, club: str = "", swing: str = "", unit: DistanceUnit | None = None
) -> HTMLResponse:
    """One shot of the standing chart of a day's player, with "of=day" of that day alone: its balls, its flight, its clips."""
    store = store_of(request)
    info, view = charted_for(request, session_id, unit)
    cell = next((cell for cell in view.chart.cells if (cell.club, cell.swing) == (club, swing)), None)
    if cell is None:
        raise UserError(_("This chart has no shot {shot}.").format(shot=repr(f"{club} {swing}"[:60])))
    key = shot_key(cell.club, cell.swing, cell.loft_deg)
    of_cell = [ball.shot == key for ball in view.balls]
    ids = {one.ball.number: one.id for one in view.kept}
    only = ChartView(
        Answer(
            plan=view.answer.plan,
            chart=view.chart.only(club, swing),
            balls=tuple(ball for ball, mine in zip(view.balls, of_cell, strict=True) if mine),
        ),
        view.unit,
        (),
    )
    flown = chart_in_air(view.chart, view.balls, view.air)
    flight = next(one for one in flown.flights if (one.club, one.swing) == (club, swing))
    alone = replace(flown, flights=(flight,))
    days = [day for day, _facts, _air in view.made if isinstance(day, SessionInfo)]
    marks = {n: replace(mark, href=f"/sessions/{session_id}{mark.href}") for n, mark in only.marks(ids).items()}
    shown = only.page(marks) | {"made_of": view.made_of}
    dates = sorted({day.held_on for day in days})
    for row, ball in zip(shown["balls"], only.balls, strict=True):
        row["id"] = ids.get(row["number"])
        row["day"] = dates[ball.day - 1] if view.standing else None
    hit_on = {row["day"] for row in shown["balls"]}
    return page(
        request,
        "chart/cell.html",
        info=info,
        shot=words.shot(cell),
        carry=words.carry(cell, view.unit),
        cell=shown["rows"][0][1][0],
        flight_wide=Markup(flight_picture(alone, view.unit)),
        flight_narrow=Markup(flight_picture(alone, view.unit, width=360)),
        flight_says=_flight_says(flight, view.unit),
        films=films_of_shot(store, days, view.answer.plan, key),
        swing=swing,
        days=[day for day in days if day.held_on in hit_on] if view.standing else [],
        asked={"club": club, "swing": swing, "unit": view.unit},
        chart_at=view.at,
        felt=felt_words,
        **shown,
    )


def _flight_says(flight: ShotFlight, unit: DistanceUnit) -> str:
    """One flight in a sentence, with how it is known."""
    said = _("Highest point {height}, lands at {angle}°, {runs}. Nine in ten fly within the pale bands.").format(
        height=measures.apex(flight.apex_m), angle=number(flight.descent_deg, 0), runs=line(flight.runs, unit)
    )
    return said if flight.measured else said + " " + _("Worked out from carry and loft, so only a rough picture.")
