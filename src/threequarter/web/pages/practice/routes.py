"""Practice on the keys: called numbers one at a time, a ladder of lengths, three in a row; each with its score."""

from collections.abc import Sequence
from typing import Annotated, Any, Final, Literal

import numpy as np
from fastapi import Query, Request
from fastapi.concurrency import run_in_threadpool
from fastapi.responses import HTMLResponse

from threequarter.chart.next_ball import CHILD_BALLS
from threequarter.chart.result import Chart
from threequarter.golf.errors import UserError
from threequarter.golf.units import METRES_PER, DistanceUnit, from_metres
from threequarter.language.localize import _
from threequarter.practice import games
from threequarter.practice.call import CalledBall, call_numbers, score_test, target_for
from threequarter.practice.progress import progress
from threequarter.web.page_context import charted_for, number, page
from threequarter.web.pages.practice.texts import caller_texts
from threequarter.web.security.authorization import AuthorizedRouter
from threequarter.web.security.policy import SEE, TYPE, need
from threequarter.web.whole_number import whole_number

pages = AuthorizedRouter()
SEED = 1
MOST: Final = 60
Game = Literal["called", "ladder", "row"]


@pages.get("/sessions/{session_id}/practice", response_class=HTMLResponse, dependencies=[need(SEE)])
def practice(
    request: Request,
    session_id: int,
    unit: DistanceUnit | None = None,
    balls: int = 9,
    seed: Annotated[int | None, Query(ge=0, le=10**9)] = None,
    game: Game = "called",
) -> HTMLResponse:
    """Numbers to hit one at a time; what is typed stays on the phone until it is scored."""
    info, view = charted_for(request, session_id, unit)
    chosen = seed if seed is not None else int(np.random.default_rng().integers(1, 10**6))
    calls = _calls(view.chart, game, min(max(balls, 1), MOST), chosen)
    return page(
        request,
        "practice/practice.html",
        info=info,
        made_of=view.made_of,
        chart_at=view.at,
        unit=view.unit,
        targets=[_target(one.target, view.unit) | {"half": from_metres(one.half_m, view.unit)} for one in calls],
        seed=chosen,
        balls=len(calls),
        game=game,
        in_a_row=games.IN_A_ROW,
        usual=round(games.usual_inside(calls)),
        child_balls=CHILD_BALLS,
        texts=caller_texts(),
    )


def _calls(chart: Chart, game: Game, balls: int, seed: int) -> Sequence[games.Call]:
    if game == "ladder":
        return games.ladder(chart, balls)
    if game == "row":
        return games.in_a_row(chart)
    rng = np.random.default_rng(seed)
    return [games.call_of(chart, target) for target in call_numbers(chart, balls, rng)]


@pages.post("/sessions/{session_id}/practice", response_class=HTMLResponse, dependencies=[need(TYPE)])
async def score(request: Request, session_id: int) -> HTMLResponse:
    """The score of a test."""
    form = await request.form()
    fields = {name: str(value) for name, value in form.items()}
    return await run_in_threadpool(_scored, request, session_id, fields)  # a chart is fitted: not in the event loop


def _scored(request: Request, session_id: int, fields: dict[str, str]) -> HTMLResponse:
    unit: DistanceUnit = "m" if fields.get("unit") == "m" else "yd"
    info, view = charted_for(request, session_id, unit)
    metres, done = METRES_PER[unit], []
    for name in sorted((n for n in fields if n.startswith("ended-")), key=lambda n: whole_number(n[6:]) or 0):
        ended = number(fields.get(name, ""), _("A ball"))
        called = number(fields.get(f"called-{name[6:]}", ""), _("A called number"))
        if ended is not None and called is not None:
            done.append(CalledBall(target=target_for(view.chart, called * metres), ended_m=ended * metres))
    if not done:
        raise UserError(_("You typed no ball. Type where each ball finished beside its number."))
    result, over_time = score_test(done, np.random.default_rng(SEED)), progress([ball.score for ball in done])
    return page(
        request,
        "practice/scored.html",
        info=info,
        chart_at=view.at,
        unit=unit,
        result=result,
        word=over_time,
        miss=from_metres(result.miss_m, unit),
        bias=from_metres(result.bias_m, unit),
        each=[(_target(b.target, unit), from_metres(b.ended_m, unit), b.score) for b in done],
    )


def _target(target: Any, unit: DistanceUnit) -> dict[str, Any]:
    return {
        "carry": round(from_metres(target.carry_m, unit)),
        "shot": f"{target.club} {target.swing}",
        "miss": from_metres(target.possible_miss_m, unit),
    }
