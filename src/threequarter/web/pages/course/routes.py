"""Using the chart: which shot, which wedges, where the spread comes from, and the round view that shows the card
only."""

from collections.abc import Sequence
from typing import Any, Final, get_args

import numpy as np
from fastapi import Request
from fastapi.responses import HTMLResponse, Response
from markupsafe import Markup

from threequarter.answers.shot import shot_answer
from threequarter.app.lessons import session_swings
from threequarter.app.reports import card_details
from threequarter.choice.green import NEAR_M
from threequarter.choice.green_words import PINS, green_of
from threequarter.choice.shot import choose
from threequarter.choice.strokes import Level
from threequarter.choice.today import LIES, LieNow, shot_models
from threequarter.choice.wedges import advise_wedges, worth_told
from threequarter.flight.ground import Firmness
from threequarter.flight.weather import FROM
from threequarter.golf.errors import UserError
from threequarter.golf.message import Message
from threequarter.golf.units import METRES_PER, DistanceUnit, from_metres
from threequarter.language import lines, localize, say, say_error, words
from threequarter.language.localize import N_, _
from threequarter.language.typed_weather import from_fields
from threequarter.paper.card import card_content
from threequarter.paper.pictures.green_picture import green_picture
from threequarter.paper.pictures.green_picture import sentence as green_sentence
from threequarter.practice.spread import join, spread_shares
from threequarter.store.results import SessionInfo
from threequarter.web.page_context import charted, charted_for, number, page, store_of
from threequarter.web.security.authorization import AuthorizedRouter
from threequarter.web.security.policy import SEE, need
from threequarter.web.view import ChartView
from threequarter.web.weather_fields import marks, settled_address, shown

pages = AuthorizedRouter()

LEVELS = get_args(Level)
SIDES = (N_("short"), N_("long"), N_("left"), N_("right"))
SAID_AS: Final[dict[str, str]] = {
    "front": N_("in front"),
    "middle": N_("in the middle"),
    "back": N_("at the back"),
    "expert": N_("an expert"),
    "club": N_("a club player"),
    "newer": N_("a newer player"),
    "ahead": N_("ahead"),
    "behind": N_("behind"),
}
"""What a choice of the form is called, where its own word will not do."""
SEED = 1


def _of_chart(info: SessionInfo, view: ChartView, fields: dict[str, str]) -> dict[str, Any]:
    """What every page about the use of a chart shows: whose and which it is, what was typed."""
    return {"info": info, "made_of": view.made_of, "chart_at": view.at, "fields": fields, "unit": view.unit}


def _one_of(told: str | None, allowed: Sequence[str], usual: str) -> Any:
    return told if told in allowed else usual


@pages.get("/sessions/{session_id}/shot", response_class=HTMLResponse, dependencies=[need(SEE)])
def shot(request: Request, session_id: int, unit: DistanceUnit | None = None) -> Response:
    """Which shot for a number, a wind and a green."""
    fields = dict(request.query_params)
    info, view = charted_for(request, session_id, unit)
    values = _of_chart(info, view, fields) | {
        "sides": SIDES,
        "winds": FROM,
        "pins": PINS,
        "lies": LIES,
        "levels": LEVELS,
        "trouble": request.query_params.getlist("trouble"),
    }
    values |= {
        "typed": shown(fields),
        "marks": marks(),
        "said_as": SAID_AS | {str(lie): say(Message(f"lie.{lie}")) for lie in LIES},
    }
    try:
        if settled := settled_address(request):
            return settled
        if not fields.get("to"):
            return page(request, "course/shot.html", **values)
        return page(request, "course/shot.html", **values, **_played(request, view, fields))
    except UserError as error:
        return page(request, "course/shot.html", 400, problem=say_error(error), **values)


def _played(request: Request, view: ChartView, fields: dict[str, str]) -> dict[str, Any]:
    to_m = (number(fields.get("to", ""), _("The distance to the flag")) or 0.0) * METRES_PER[view.unit]
    kind = fields.get("kind") if fields.get("kind") in ("sand", "water") else "sand"
    trouble = [f"{side}:{kind}" for side in request.query_params.getlist("trouble") if side in SIDES]
    depth = number(fields.get("depth", ""), _("The depth of the green"))
    green = green_of(
        to_m,
        pin=fields.get("pin") or "middle",
        depth_m=None if depth is None else depth * METRES_PER[view.unit],
        trouble=trouble,
    )
    wind = number(fields.get("wind_mps", ""), _("The wind"))
    day = from_fields(
        {
            "wind_mps": wind,
            "wind_from": fields.get("wind_from") if wind else None,
            "slope_percent": number(fields.get("slope", ""), _("The slope")) or 0.0,
        }
    )
    ground: Firmness = _one_of(fields.get("ground"), get_args(Firmness), "normal")
    lie: LieNow = _one_of(fields.get("lie"), get_args(LieNow), "fairway")
    level: Level = _one_of(fields.get("level"), LEVELS, "club")
    models, _air = shot_models(
        view.chart,
        view.balls,
        view.air,
        day,
        firmness=ground,
        lie=lie,
        to_m=to_m,
    )
    options = choose(models, green, level=level, rng=np.random.default_rng(SEED))
    answer = shot_answer(options, green, view.unit, level)
    return {
        "answer": answer,
        "near": Message("shot.near", within_m=NEAR_M),
        "picture_wide": Markup(green_picture(options, green, view.unit)) if options else "",
        "picture_narrow": Markup(green_picture(options, green, view.unit, columns=1)) if options else "",
        "picture_says": green_sentence(options[:3], green, view.unit),
    }


@pages.get("/sessions/{session_id}/wedges", response_class=HTMLResponse, dependencies=[need(SEE)])
def wedges(request: Request, session_id: int, unit: DistanceUnit | None = None) -> HTMLResponse:
    """Which lofts leave the fewest gaps."""
    fields = dict(request.query_params)
    info, view = charted_for(request, session_id, unit)
    values = _of_chart(info, view, fields)
    try:
        have = [float(part) for part in (fields.get("have") or "").replace(";", ",").split(",") if part.strip()]
    except ValueError:
        return page(
            request,
            "course/wedges.html",
            400,
            problem=_("Write lofts as numbers with commas between: 46, 50, 54, 58."),
            **values,
        )
    metres = METRES_PER[view.unit]
    try:
        low, high = (
            number(fields.get("from", ""), _("The shortest number")),
            number(fields.get("to", ""), _("The longest number")),
        )
        advice = advise_wedges(
            view.chart,
            have=have,
            from_m=None if low is None else low * metres,
            to_m=None if high is None else high * metres,
        )
    except UserError as error:
        return page(request, "course/wedges.html", 400, problem=say_error(error), **values)
    rows = [
        {
            "name": name,
            "lofts": ", ".join(map(str, s.lofts)),
            "gaps": words.percent(round(s.gaps, 6)),  # as the command tells it: a half is rounded alike
            "gap": localize.number(from_metres(s.miss_m, view.unit), 1),
        }
        for name, s in [
            (_("in the bag now"), advice.now),
            *((_("best {count}").format(count=len(s.lofts)), s) for s in advice.best),
        ]
    ]
    return page(
        request,
        "course/wedges.html",
        rows=rows,
        advice=advice,
        worths=lines(
            [
                worth_told(code, one)
                for code, one in (("wedges.one_more", advice.one_more), ("wedges.one_less", advice.one_less))
                if one is not None
            ],
            view.unit,
        ),
        low=round(from_metres(advice.from_m, view.unit)),
        high=round(from_metres(advice.to_m, view.unit)),
        **values,
    )


@pages.get("/sessions/{session_id}/spread", response_class=HTMLResponse, dependencies=[need(SEE)])
def spread(request: Request, session_id: int, unit: DistanceUnit | None = None) -> HTMLResponse:
    """How wide each shot is, and where that comes from by what was filmed on this day."""
    info, view = charted_for(request, session_id, unit)
    swings = [one.swing for one in session_swings(store_of(request), session_id)[0]]
    problem, found = "", None
    if swings:
        alone = charted(store_of(request), session_id, unit)[1]
        try:
            found = spread_shares(alone.chart, join([ball for ball in alone.balls if ball.use], swings))
        except UserError as error:
            problem = say_error(error)
    widest = sorted(
        (cell for cell in view.chart.cells if cell.balls), key=lambda cell: -cell.good_sd_m / cell.stock_carry_m
    )
    rows = [
        {
            "shot": words.shot(c),
            "spread": localize.number(100 * c.good_sd_m / c.stock_carry_m, 1),
            "next": words.span(c.next90_m, view.unit),
            "balls": c.balls,
        }
        for c in widest
    ]
    return page(
        request,
        "course/spread.html",
        info=info,
        made_of=view.made_of,
        chart_at=view.at,
        found=found,
        problem=problem,
        rows=rows,
        clips=len(swings),
    )


@pages.get("/sessions/{session_id}/round", response_class=HTMLResponse, dependencies=[need(SEE)])
def round_view(request: Request, session_id: int, unit: DistanceUnit | None = None) -> HTMLResponse:
    """The printed card's content and nothing else: what may be looked at in a round."""
    info, view = charted_for(request, session_id, unit)
    return page(
        request,
        "course/round.html",
        info=info,
        made_of=view.made_of,
        chart_at=view.at,
        card=card_content(view.chart, card_details(info, view), view.unit),
    )
