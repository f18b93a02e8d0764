"""The range, live: the page with the camera, the swing it saw as points, and the ball that was struck with it."""

from importlib import import_module
from typing import Annotated, Any, Final

import numpy as np
from fastapi import Form, Request
from fastapi.responses import HTMLResponse, JSONResponse, RedirectResponse
from pydantic import BaseModel, ConfigDict, Field, model_validator

from threequarter.app.live import keep_live, measure_live
from threequarter.app.plans import plan_of
from threequarter.golf.errors import NotThereError, UserError
from threequarter.golf.message import Message
from threequarter.golf.swing_length import REACH
from threequarter.language import localize, say, say_error
from threequarter.language.localize import N_, _
from threequarter.store.balls.phone_balls import PhoneBalls
from threequarter.store.clips.lessons import Lessons
from threequarter.store.clips.live import LiveSwings
from threequarter.swing.live import LiveSeen
from threequarter.swing.words import match, match_words
from threequarter.web.page_context import page, status_of, store_of
from threequarter.web.pages.keys.bodies import TypedBall
from threequarter.web.pages.swings.live_texts import live_texts
from threequarter.web.pages.swings.routes import clips_of, jobs_of
from threequarter.web.problem import problem
from threequarter.web.security.authorization import AuthorizedRouter
from threequarter.web.security.policy import TYPE, need

pages = AuthorizedRouter()

WATCHES: Final = "camera=(self), microphone=(self), geolocation=()"
"""The one page that may ask for camera and microphone."""
MOST_ROWS: Final = 600
MOST_MS: Final = 8000
MOST_AGO_S: Final = 60.0
USUAL_CLUBS: Final = ("50", "54", "58")
WATCHED: Final = "watched"
"""The cookie of a browser in which a player agreed to be watched, not filmed. It holds for one lesson, until the next day."""
WATCHED_S: Final = 12 * 3600
MOST_FILM_S: Final = 60.0

Number = Annotated[float, Field(allow_inf_nan=False, ge=-1e6, le=1e6)]
Seconds = Annotated[float, Field(allow_inf_nan=False, ge=-1e9, le=1e9)]
Row = Annotated[list[Number], Field(min_length=198, max_length=198)]
"""A picture's 33 points: x and y in pixels, how well each is seen, and x, y, z in metres about the hips."""


class Moved(BaseModel):
    """The last seconds before the hands came to rest: points, times and loudness; no picture, no sound."""

    model_config = ConfigDict(extra="ignore")

    clip: Annotated[int, Field(ge=1, lt=2**63)] | None = None
    times: list[Seconds] = Field(min_length=4, max_length=MOST_ROWS)
    rows: list[Row] = Field(max_length=MOST_ROWS)
    size: tuple[Annotated[int, Field(ge=16, le=8192)], Annotated[int, Field(ge=16, le=8192)]]
    light: Annotated[float, Field(ge=0, le=255)] = 90.0
    down_s: Seconds
    now_s: Seconds
    sound_s: Seconds = 0.0
    loud_db: list[Number] = Field(default_factory=list, max_length=MOST_MS)
    own_db: Number | None = None
    lag_s: Annotated[float, Field(ge=-1, le=1)] | None = None

    @model_validator(mode="after")
    def _in_step(self) -> "Moved":
        rising = all(a < b for a, b in zip(self.times, self.times[1:], strict=False))
        if len(self.rows) != len(self.times) or not rising:
            raise ValueError("a row for each time, in order")
        return self

    def seen(self) -> LiveSeen:
        """The same as arrays."""
        rows = np.array(self.rows, dtype=float)
        return LiveSeen(
            time_s=np.array(self.times, dtype=float),
            points=rows[:, :66].reshape(-1, 33, 2),
            visibility=rows[:, 66:99],
            world=rows[:, 99:].reshape(-1, 33, 3),
            width=self.size[0],
            height=self.size[1],
            light=self.light,
            sound_s=self.sound_s,
            loud_db=np.array(self.loud_db, dtype=float),
            own_db=self.own_db,
        )


@pages.get(
    "/sessions/{session_id}/live",
    response_class=HTMLResponse,
    dependencies=[need(TYPE, N_("watched the range live"))],
)
def live(request: Request, session_id: int) -> HTMLResponse:
    """The page with the camera."""
    info = clips_of(request).store.session(session_id)
    plan = plan_of(store_of(request), session_id)
    import_module("scipy.signal")  # half a second that the first ball need not wait for
    shown = page(
        request,
        "swings/live.html",
        info=info,
        agreed=_may_watch(request, session_id),
        films=clips_of(request).agreed(session_id) and jobs_of(request).possible,
        texts=live_texts(),
        clubs=[club.label for club in plan.clubs] or list(USUAL_CLUBS),
        lengths=[swing.label for swing in plan.swings] or [_(name) for name in REACH],
    )
    shown.headers["permissions-policy"] = WATCHES
    return shown


@pages.post("/sessions/{session_id}/live", dependencies=[need(TYPE, N_("kept that a player agreed to be watched"))])
def agree(
    request: Request,
    session_id: int,
    agreed: Annotated[str, Form()] = "",
    films: Annotated[str, Form()] = "",
    by_whom: Annotated[str, Form()] = "",
) -> RedirectResponse:
    """Keeps that the player agrees to be watched and measured, and whether clips may be kept: that is the consent to be filmed."""
    if not agreed:
        raise UserError(_("The camera watches only if the player, or a guardian for a child, agreed. Tick the box."))
    clips_of(request).store.session(session_id)  # says where there is none
    answer = RedirectResponse(f"/sessions/{session_id}/live", status_code=303)
    if films:
        clips_of(request).agree(session_id, by_whom)
    else:
        answer.set_cookie(
            WATCHED,
            str(session_id),
            max_age=WATCHED_S,
            path=f"/sessions/{session_id}/live",
            secure=request.url.scheme == "https",
            httponly=True,
            samesite="strict",
        )
    return answer


def _may_watch(request: Request, session_id: int) -> bool:
    return request.cookies.get(WATCHED) == str(session_id) or clips_of(request).agreed(session_id)


@pages.post("/sessions/{session_id}/live/swings", dependencies=[need(TYPE, N_("measured a swing live"))])
def moved(request: Request, session_id: int, told: Moved) -> JSONResponse:
    """Measures the last move of the hands; a swing with a ball is kept with the lesson."""
    if not _may_watch(request, session_id):
        return problem(
            409, _("The camera watches only if the player, or a guardian for a child, agreed. Tick the box.")
        )
    found = measure_live(told.seen(), told.down_s, told.lag_s)
    shown: dict[str, Any] = {
        "kind": found.kind,
        "lines": found.lines,
        "spoken": found.spoken,
        "finished": found.finished,
        "bang_db": found.bang_db,
        "bang_off_s": found.bang_off_s,
    }
    if found.swing is not None:
        shown |= _numbers(found.swing, found.answer["handedness"])
    if found.kind == "ball" and found.swing is not None:
        ago = min(max(0.0, told.now_s - float(found.swing["t_impact_s"])), MOST_AGO_S)
        shown["clip"], shown["number"] = keep_live(store_of(request), session_id, told.clip, found, ago)
    return JSONResponse(shown, headers={"cache-control": "no-store"})


def _numbers(swing: dict[str, Any] | Any, hand: str | None) -> dict[str, Any]:
    doubt = swing["doubt90"]
    shown: dict[str, Any] = {"hand": hand, "words": swing["words"], "t_impact_s": swing["t_impact_s"]}
    for end, name in (("back", "lead_arm_top_deg"), ("through", "lead_arm_finish_deg")):
        value = swing[name]
        shown[end] = value if value is None else {"deg": round(value, 1), "doubt_deg": round(doubt[name], 1)}
        shown[f"{end}_says"] = (
            _("not seen")
            if value is None
            else _("{degrees}° ± {doubt}").format(degrees=localize.number(value), doubt=localize.number(doubt[name]))
        )
    found = match(swing)
    shown["match"] = found.kind
    shown["match_says"] = say(match_words(found))
    tempo = swing["tempo_ratio"]
    shown["tempo_says"] = (
        _("not seen")
        if tempo is None
        else _("{times} ± {doubt}").format(
            times=localize.number(tempo, 1), doubt=localize.number(doubt["tempo_ratio"], 1)
        )
    )
    return shown


@pages.post(
    "/sessions/{session_id}/live/{clip_id}/{number}/ball",
    dependencies=[need(TYPE, N_("typed a ball beside its swing"))],
)
def ball(request: Request, session_id: int, clip_id: int, number: int, told: TypedBall) -> JSONResponse:
    """Takes the ball of a swing into the keys and ties the two together."""
    store, clip = store_of(request), clips_of(request).clip(clip_id)
    if clip.session_id != session_id or clip.answer is None or not 0 < number <= len(clip.answer["swings"]):
        raise NotThereError(Message("store.there_is_no_clip_it", clip_id=clip_id))
    try:
        outcome = PhoneBalls(store).take(session_id, [told.model_dump(exclude_none=True)])[0]
        if outcome.state not in ("saved", "known"):
            return problem(409, say(outcome.why))
        kept = next(one for one in store.kept_balls(session_id) if one.key == told.key)
        Lessons(store).link(clip_id, number, kept.id)
    except UserError as error:
        return problem(status_of(error, 409), say_error(error))
    return JSONResponse({"number": kept.ball.number})


@pages.post(
    "/sessions/{session_id}/live/{clip_id}/{number}/film",
    dependencies=[need(TYPE, N_("kept the clip of a swing seen live"))],
)
def film(
    request: Request,
    session_id: int,
    clip_id: int,
    number: int,
    film: Annotated[int, Form(ge=1, lt=2**63)],
    at_s: Annotated[float, Form(ge=0, le=MOST_FILM_S, allow_inf_nan=False)],
) -> JSONResponse:
    """Hangs a clip that came in on the swing it shows, whose ball is struck `at_s` seconds after its first picture."""
    try:
        LiveSwings(store_of(request)).hang(session_id, clip_id, number, film, at_s)
    except UserError as error:
        return problem(status_of(error, 409), say_error(error))
    return JSONResponse({"film": film})
