"""The film of a clip as a working surface: its points for the page, "not a swing" and "here is one"."""

from typing import Annotated, Any

from fastapi import Form, Request
from fastapi.responses import JSONResponse, RedirectResponse

from threequarter.app.film import film_points
from threequarter.app.lessons import with_marks
from threequarter.app.own_swings import keep_pose
from threequarter.golf.errors import UserError
from threequarter.golf.message import Message
from threequarter.language.localize import N_
from threequarter.store.clips.clips import Clips
from threequarter.swing.compare import ADDED, NOT_A_SWING
from threequarter.web.page_context import store_of
from threequarter.web.security.authorization import AuthorizedRouter
from threequarter.web.security.policy import COACH, SEE, need

pages = AuthorizedRouter()


@pages.get("/clips/{clip_id}/points.json", dependencies=[need(SEE)])
def points(request: Request, clip_id: int) -> JSONResponse:
    """What is drawn on the pictures of a film, and its swings."""
    store = store_of(request)
    clip = Clips(store).clip(clip_id)
    answer = with_marks(store, clip, clip.marks or {})
    return JSONResponse(film_points(store, clip, answer), headers={"cache-control": "no-store"})


@pages.post(
    "/clips/{clip_id}/swings/{number}/not", dependencies=[need(COACH, N_("threw out a swing, or took it back in"))]
)
def not_a_swing(request: Request, clip_id: int, number: int, undo: Annotated[str, Form()] = "") -> RedirectResponse:
    """Throws a swing out of the clip, or takes it back in; what was found is kept."""
    marks = dict(Clips(store_of(request)).clip(clip_id).marks or {})
    added = list(marks.get(ADDED) or [])
    found = _found_swings(request, clip_id)
    if number > found:  # one that was added: it simply goes
        if number - found > len(added):
            raise UserError(Message("swing.mark_no_swing", swing=number))
        del added[number - found - 1]
        marks[ADDED] = added
    elif undo:
        marks.pop(str(number), None)
    else:
        marks[str(number)] = {NOT_A_SWING: True}
    return _kept(request, clip_id, marks)


@pages.post("/clips/{clip_id}/swings", dependencies=[need(COACH, N_("added a swing"))])
def here_is_one(
    request: Request, clip_id: int, t_top_s: Annotated[str, Form()] = "", t_impact_s: Annotated[str, Form()] = ""
) -> RedirectResponse:
    """Adds a swing that was missed, by its top and the ball."""
    try:
        told = {"t_top_s": float(t_top_s.replace(",", ".")), "t_impact_s": float(t_impact_s.replace(",", "."))}
    except ValueError:
        raise UserError(Message("swing.mark_added")) from None
    marks = dict(Clips(store_of(request)).clip(clip_id).marks or {})
    marks[ADDED] = [*(marks.get(ADDED) or []), told]
    return _kept(request, clip_id, marks)


@pages.post("/clips/{clip_id}/poses", dependencies=[need(COACH, N_("kept a player's pose"))])
def pose(
    request: Request, clip_id: int, level: Annotated[str, Form()], at_s: Annotated[str, Form()] = ""
) -> RedirectResponse:
    """Keeps that the player holds a body level ("this is my chest") at an instant; without one the pose is taken away."""
    store = store_of(request)
    try:
        at = float(at_s.replace(",", ".")) if at_s.strip() else None
    except ValueError:
        raise UserError(Message("swing.pose_not_seen")) from None
    keep_pose(store, Clips(store).clip(clip_id), level, at)
    return RedirectResponse(f"/clips/{clip_id}#film", status_code=303)


def _found_swings(request: Request, clip_id: int) -> int:
    """How many swings were found, without any marks."""
    answer = Clips(store_of(request)).clip(clip_id).answer
    return len(answer["swings"]) if answer else 0


def _kept(request: Request, clip_id: int, marks: dict[str, Any]) -> RedirectResponse:
    clips = Clips(store_of(request))
    marks = {name: told for name, told in marks.items() if told}
    with_marks(store_of(request), clips.clip(clip_id), marks)  # says what is wrong before anything is kept
    clips.keep_marks(clip_id, marks)
    return RedirectResponse(f"/clips/{clip_id}#film", status_code=303)
