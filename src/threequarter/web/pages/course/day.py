"""Another day: the weather a session was hit in, the chart before and after, the day card, the flights."""

import datetime
from dataclasses import replace
from typing import Annotated, Any

from fastapi import Form, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response
from markupsafe import Markup

from threequarter.answers.day import effect_words, largest_first, side_words
from threequarter.app.charts import in_language_of, session_weather, use_preferences
from threequarter.chart.day import EFFECT_DOUBT, RULE, DayCell, DayChart, effects, move_chart, shown_shots, wind_rose
from threequarter.chart.in_air import chart_in_air, pairs_told
from threequarter.flight.ground import Firmness
from threequarter.flight.weather import FROM, Weather
from threequarter.golf.errors import UserError
from threequarter.golf.units import DistanceUnit, from_metres
from threequarter.language import line, lines, say, say_error, words
from threequarter.language.localize import N_, _
from threequarter.language.measures import units_in_use
from threequarter.language.typed_weather import from_fields
from threequarter.paper.day_card import day_card
from threequarter.paper.pictures.flight_picture import flight_picture
from threequarter.paper.pictures.flight_picture import sentence as flight_sentence
from threequarter.paper.pictures.wind_picture import sentence as wind_sentence
from threequarter.paper.pictures.wind_picture import wind_picture
from threequarter.web.page_context import charted_for, number, page, pdf_answer, store_of
from threequarter.web.security.authorization import AuthorizedRouter
from threequarter.web.security.policy import COACH, SEE, need
from threequarter.web.view import ChartView
from threequarter.web.weather_fields import FIELDS, in_si, marks, settled_address, shown

pages = AuthorizedRouter()

NUMBERS = {
    "temp_c": N_("The temperature"),
    "altitude_m": N_("The altitude"),
    "wind_mps": N_("The wind"),
    "humidity": N_("The humidity"),
    "pressure_hpa": N_("The pressure"),
    "sea_level_hpa": N_("The pressure"),
    "slope_percent": N_("The slope"),
}
USUAL_WIND_MPS = 5.0
GREENS = {"soft": N_("soft greens"), "normal": N_("normal greens"), "firm": N_("firm greens")}


@pages.get(
    "/sessions/{session_id}/day", response_class=HTMLResponse, dependencies=[need(SEE, N_("looked at another day"))]
)
def day(request: Request, session_id: int, unit: DistanceUnit | None = None) -> Response:
    """The form; with a weather in the address also the chart on that day."""
    fields = dict(request.query_params)
    info, view = charted_for(request, session_id, unit)
    made, hit_in = view.air, session_weather(store_of(request), session_id)
    values: dict[str, Any] = {
        "info": info,
        "fields": fields,
        "made": made,
        "unit": view.unit,
        "rule": line(RULE),
        "effect_doubt": line(EFFECT_DOUBT),
        "sides": FROM,
        "typed": shown(fields),
        "marks": marks(),
        "hit_in": hit_in,
        "kept": _kept(hit_in),
        "made_of": view.made_of,
        "chart_at": view.at,
    }
    try:
        if settled := settled_address(request):
            return settled
        told, firmness = _told(fields)
    except UserError as error:
        return page(request, "course/day.html", 400, problem=say_error(error), **values)
    if not told.known and "ground" not in fields:
        return page(request, "course/day.html", **values, **_flights(view, made))
    moved = move_chart(view.chart, view.balls, made, told, firmness=firmness)
    return page(request, "course/day.html", **values, **_moved(view, moved, told))


@pages.get("/sessions/{session_id}/day.pdf", dependencies=[need(SEE, N_("printed a day card"))])
def card(request: Request, session_id: int, unit: DistanceUnit | None = None, date: str = "") -> Response:
    """The day card for the weather in the address, in SI or (`temp`, `altitude`, `wind`) as the player reads it."""
    info, view = charted_for(request, session_id, unit)
    fields = dict(request.query_params)
    typed = {name: fields[name] for name in FIELDS if fields.get(name, "").strip()}
    told, firmness = _told(fields | in_si(typed))
    shots = shown_shots(view.chart)
    with in_language_of(store_of(request), info.player):
        moved = move_chart(view.chart, view.balls, view.air, told, firmness=firmness)
        found = effects(view.chart, view.balls, told, shots, units=units_in_use())
        pdf = day_card(moved, found, shots, player=info.player or "", date=date[:40], unit=view.unit)
    return pdf_answer(pdf, "day-card.pdf")


@pages.post("/sessions/{session_id}/weather", dependencies=[need(COACH, N_("noted the weather"))])
def weather(
    request: Request,
    session_id: int,
    temp_c: Annotated[str, Form()] = "",
    altitude_m: Annotated[str, Form()] = "",
    wind_mps: Annotated[str, Form()] = "",
    wind_from: Annotated[str, Form()] = "",
    humidity: Annotated[str, Form()] = "",
    held_on: Annotated[str, Form()] = "",
    temp: Annotated[str, Form()] = "",
    altitude: Annotated[str, Form()] = "",
    wind: Annotated[str, Form()] = "",
    unit: Annotated[DistanceUnit | None, Form()] = None,
) -> RedirectResponse:
    """Keeps the weather the balls were hit in; what is left empty stays unknown. `temp`, `altitude` and `wind` as the
    player reads them (heights as they go with distances in `unit`), the others in SI."""
    info = store_of(request).session(session_id)
    use_preferences(store_of(request), info.player, unit, info.unit)
    facts = store_of(request).facts(session_id)
    fields = {"temp_c": temp_c, "altitude_m": altitude_m, "wind_mps": wind_mps, "humidity": humidity}
    fields |= _untouched(
        {"temp": temp, "altitude": altitude, "wind": wind}, session_weather(store_of(request), session_id)
    )
    told = from_fields(_numbers(fields) | {"wind_from": wind_from or None})
    try:
        day_held = datetime.date.fromisoformat(held_on) if held_on else facts.held_on
    except ValueError:
        raise UserError(
            _("Write the day as a date like 2026-05-31, not {typed}.").format(typed=repr(held_on[:30]))
        ) from None
    store_of(request).set_facts(
        session_id,
        replace(
            facts,
            held_on=day_held,
            dated_by="hand" if day_held and day_held != facts.held_on else facts.dated_by,
            temp_c=told.temp_c,
            altitude_m=told.altitude_m,
            humidity_pct=told.humidity,
            wind_mps=told.wind_mps,
            wind_from_deg=told.wind_from_deg,
        ),
    )
    return RedirectResponse(f"/sessions/{session_id}/day", status_code=303)


def _kept(made: Weather) -> dict[str, str]:
    """What is kept of the weather, as it stands in the form."""
    return shown(
        {
            name: f"{value}"
            for name in ("temp_c", "altitude_m", "wind_mps")
            if (value := getattr(made, name)) is not None
        }
    )


def _untouched(typed: dict[str, str], made: Weather) -> dict[str, str]:
    """What was typed, in SI; a field that stands as it was shown keeps its value to the last digit."""
    before = _kept(made)
    changed = in_si({name: text for name, text in typed.items() if text.strip() != before[name]})
    same = {
        FIELDS[name][0]: f"{getattr(made, FIELDS[name][0])}"
        for name, text in typed.items()
        if text.strip() and text.strip() == before[name]
    }
    return changed | same


def _numbers(fields: dict[str, str]) -> dict[str, float]:
    told = {name: number(text, _(NUMBERS[name])) for name, text in fields.items()}
    return {name: value for name, value in told.items() if value is not None}


def _told(fields: dict[str, str]) -> tuple[Weather, Firmness]:
    firmness = fields.get("ground") or "normal"
    if firmness not in ("soft", "normal", "firm"):
        raise UserError(_("Choose soft, normal or firm greens, not {typed}.").format(typed=repr(firmness[:20])))
    numbers = _numbers({name: fields.get(name, "") for name in NUMBERS})
    direction = fields.get("wind_from") if numbers.get("wind_mps") is not None else None
    return from_fields({**numbers, "wind_from": direction}), firmness  # type: ignore[return-value]


def _flights(view: ChartView, made: Weather) -> dict[str, Any]:
    flown = chart_in_air(view.chart, view.balls, made)
    return {
        "flights_wide": Markup(flight_picture(flown, view.unit)),
        "flights_narrow": Markup(flight_picture(flown, view.unit, width=360)),
        "flights_say": flight_sentence(flown),
        "pairs": lines(pairs_told(view.chart, flown, view.answer.meaning), view.unit),
    }


def _moved(view: ChartView, moved: DayChart, told: Weather) -> dict[str, Any]:
    unit = view.unit
    shots = shown_shots(view.chart)
    speed = told.wind_mps or USUAL_WIND_MPS
    longest = shots[-1]
    rose = wind_rose(view.chart, view.balls, told, longest, speed)
    name = words.shot(view.chart.cells[longest])
    return {
        "day_words": f"{say(told.message())}; {_(GREENS[moved.firmness])}",
        "clubs": [(club, [_cell(moved.cell(club, swing), unit) for swing in moved.swings]) for club in moved.clubs],
        "swings": moved.swings,
        "shots": [words.shot(view.chart.cells[i]) for i in shots],
        "effects": [
            (line(effect.name, unit), effect_words(effect, unit))
            for effect in largest_first(effects(view.chart, view.balls, told, shots, units=units_in_use()), view.unit)
        ],
        "notes": lines(moved.notes, unit),
        "wind_svg": Markup(wind_picture(name, speed, rose.changes_m, rose.sides_m, unit)),
        "wind_say": wind_sentence(name, speed, rose.changes_m, rose.sides_m, unit),
    }


def _cell(cell: DayCell, unit: DistanceUnit) -> dict[str, Any]:
    side = from_metres(cell.side_m, unit)
    return {
        "before": words.rounded(cell.before.stock_carry_m, unit),
        "after": words.rounded(cell.carry_m, unit),
        "doubt": words.doubt(cell.after90_m, unit),
        "side": side_words(round(side)) if abs(side) >= 1 else "",
        "run": line(cell.runs(), unit),
    }
