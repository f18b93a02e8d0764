"""A game for two to eight on one phone: numbers in turn, each player's from the own chart and scored by the own spread."""

from typing import Annotated, Any, Final

import numpy as np
from fastapi import Query, Request
from fastapi.concurrency import run_in_threadpool
from fastapi.responses import HTMLResponse

from threequarter.app.standing import StandingChart, standing_chart
from threequarter.golf.errors import UserError
from threequarter.golf.message import Message
from threequarter.golf.units import METRES_PER, DistanceUnit, from_metres
from threequarter.language import say_error
from threequarter.language.localize import N_, _
from threequarter.language.measures import units_in_use
from threequarter.practice import games
from threequarter.store.people.roster import Roster
from threequarter.web.page_context import MOST_OFFERED, number, page, store_of
from threequarter.web.pages.players.lookup import known_player
from threequarter.web.pages.practice.texts import caller_texts
from threequarter.web.security.authorization import AuthorizedRouter
from threequarter.web.security.policy import COACH, need
from threequarter.web.whole_number import whole_number

pages = AuthorizedRouter()
BALLS: Final = 5
MOST_BALLS: Final = 10
FIRST_SEED: Final = 1
LAST_SEED: Final = 10**6


@pages.get("/game", response_class=HTMLResponse, dependencies=[need(COACH)])
def game_page(
    request: Request,
    who: Annotated[list[str] | None, Query()] = None,
    balls: int = BALLS,
    unit: DistanceUnit | None = None,
    seed: Annotated[int | None, Query(ge=0, le=10**9)] = None,
) -> HTMLResponse:
    """The numbers in turn; without two players who have a chart, who plays."""
    if seed is None or len(who or []) < 2:
        return _choose(request, who or [], balls)
    found = _charts(request, who or [])
    if len(found) < 2:
        return _choose(request, who or [], balls, say_error(_too_few()), 400)
    used: DistanceUnit = unit or next(iter(found.values())).unit
    try:
        turns = _turns(found, balls, seed, used)
    except UserError as error:
        return _choose(request, who or [], balls, say_error(error), 400)
    return page(
        request,
        "practice/game.html",
        game="game",
        unit=used,
        seed=seed,
        balls=min(max(balls, 1), MOST_BALLS),
        who=list(found),
        turns=[
            {
                "who": turn.who,
                "carry": round(from_metres(turn.call.target.carry_m, used)),
                "half": from_metres(turn.call.half_m, used),
            }
            for turn in turns
        ],
        texts=caller_texts(),
    )


@pages.post("/game", response_class=HTMLResponse, dependencies=[need(COACH, N_("played a game"))])
async def game_over(request: Request) -> HTMLResponse:
    """Who is furthest ahead of the own usual."""
    form = await request.form()
    fields = {name: str(value) for name, value in form.items()}
    who = [str(name) for name in form.getlist("who")]
    return await run_in_threadpool(_placed, request, who, fields)  # charts are fitted: not in the event loop


def _placed(request: Request, who: list[str], fields: dict[str, str]) -> HTMLResponse:
    unit: DistanceUnit = "m" if fields.get("unit") == "m" else "yd"
    balls, seed = (whole_number(fields.get(name, "")) or 0 for name in ("balls", "seed"))
    turns = _turns(_charts(request, who), balls, seed, unit)
    typed = [number(fields.get(f"ended-{k}", ""), _("A ball")) for k in range(1, len(turns) + 1)]
    ended = [None if one is None else one * METRES_PER[unit] for one in typed]
    return page(request, "practice/game_over.html", who=who, balls=balls, unit=unit, placed=games.placed(turns, ended))


def _too_few() -> UserError:
    return UserError(Message("practice.game_players", most=games.MOST_IN_GAME))


def _turns(found: dict[str, StandingChart], balls: int, seed: int, unit: DistanceUnit) -> tuple[games.Turn, ...]:
    """The turns of a game: the same for the same seed and charts, so that they need not be kept."""
    charts = {name: view.chart for name, view in found.items()}
    return games.game(charts, min(max(balls, 1), MOST_BALLS), np.random.default_rng(seed), METRES_PER[unit])


def _charts(request: Request, who: list[str]) -> dict[str, StandingChart]:
    """The standing charts of those named who have one. Raises NotThereError for a stranger."""
    names = dict.fromkeys(known_player(request, name) for name in who[: games.MOST_IN_GAME])
    charts = {name: standing_chart(store_of(request), name) for name in names}
    return {name: view for name, view in charts.items() if view is not None}


def _choose(request: Request, who: list[str], balls: int, problem: str = "", status: int = 200) -> HTMLResponse:
    store = store_of(request)
    counts: dict[str, int] = {}
    for info in store.sessions(Roster(store).names(most=MOST_OFFERED)):
        if info.player:
            counts[info.player] = counts.get(info.player, 0) + info.balls
    values: dict[str, Any] = {"players": [name for name, count in counts.items() if count]}
    return page(
        request,
        "practice/game_begin.html",
        status,
        problem=problem,
        who=who,
        balls=balls,
        most=games.MOST_IN_GAME,
        unit=units_in_use().distance,
        seed=int(np.random.default_rng().integers(FIRST_SEED, LAST_SEED)),
        **values,
    )
