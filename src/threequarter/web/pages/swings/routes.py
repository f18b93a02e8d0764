"""Clips of swings: upload in parts, analysis in the background, what was found, and deleting it all for good."""

import datetime
import json
import math
from typing import Annotated, Any, Final

from fastapi import Body, File, Form, Request, UploadFile
from fastapi.concurrency import run_in_threadpool
from fastapi.responses import FileResponse, HTMLResponse, JSONResponse, RedirectResponse, Response

from threequarter.app.film import swings_beside
from threequarter.app.lessons import with_marks
from threequarter.app.own_swings import own_lengths, own_tempos
from threequarter.golf.errors import NotThereError, UserError
from threequarter.golf.message import Message
from threequarter.golf.units import from_metres
from threequarter.jobs.queue import Jobs
from threequarter.language import localize, say, say_error
from threequarter.language.localize import N_, _
from threequarter.store.clips.clips import Clip, Clips
from threequarter.store.history.trash import Trash
from threequarter.store.imports.save_import import now_utc
from threequarter.store.media.media_files import pictures_of
from threequarter.swing.compare import NOT_A_SWING
from threequarter.swing.marks import POINTS, POSES
from threequarter.swing.measure import INSTANTS
from threequarter.swing.words import LEVELS, tempo_beside
from threequarter.web.page_context import page, status_of, store_of
from threequarter.web.problem import problem
from threequarter.web.security.authorization import AuthorizedRouter
from threequarter.web.security.credentials import by_phone
from threequarter.web.security.policy import COACH, SEE, TYPE, need
from threequarter.web.security.turned_away import turned_away
from threequarter.web.whole_number import whole_number

pages = AuthorizedRouter()
MOST_AGE_S: Final = 2 * 86400
KINDS: Final = {
    ".mp4": "video/mp4",
    ".m4v": "video/mp4",
    ".mov": "video/quicktime",
    ".mkv": "video/x-matroska",
    ".webm": "video/webm",
}

STATES = {
    "coming": N_("arriving"),
    "waiting": N_("waiting for its turn"),
    "running": N_("being measured"),
    "done": N_("measured"),
    "failed": N_("not measured"),
}
ADVICE = (
    N_("Stand the phone 3 to 4 m in front of the chest, square to it, at hip to chest height, on something steady."),
    N_("The whole body and the club in view from address to finish, nobody else."),
    N_("60 frames a second or more (slow motion is fine), in good light, from the front."),
    N_("Ten swings in one clip are fine: walking about and rehearsals are left out."),
)
INSTANT_WORDS: Final = {
    "t_takeaway_s": N_("takeaway"),
    "t_top_s": N_("top"),
    "t_impact_s": N_("impact"),
    "t_finish_s": N_("finish"),
}
MARK_WORDS: Final = INSTANT_WORDS | {
    "lead_arm_top_deg": N_("lead arm at the top"),
    "hand_height_top": N_("hands at the top"),
    "tempo_ratio": N_("tempo"),
    "lead_arm_finish_deg": N_("lead arm at the finish"),
    "hand_height_finish": N_("hands at the finish"),
    "impact_over_peak": N_("speed at the ball"),
    "decelerating": N_("speed at the ball"),
}


def clips_of(request: Request) -> Clips:
    """The clips of the app that was asked."""
    clips: Clips = request.app.state.jobs.clips
    return clips


def jobs_of(request: Request) -> Jobs:
    """The background work of the app that was asked."""
    jobs: Jobs = request.app.state.jobs
    return jobs


@pages.get("/clips/new", response_class=HTMLResponse, dependencies=[need(TYPE)])
def new(request: Request, session: int | None = None) -> HTMLResponse:
    """Where to stand the phone, consent, and the upload."""
    if session is not None:
        clips_of(request).store.session(session)  # says where there is none
    return page(
        request,
        "swings/begin.html",
        advice=[_(line) for line in ADVICE],
        session=session,
        agreed=clips_of(request).agreed(session),
        possible=jobs_of(request).possible,
    )


@pages.post("/clips", dependencies=[need(TYPE, N_("sent a film"))])
def whole(
    request: Request,
    file: Annotated[UploadFile | None, File()] = None,
    session: Annotated[str, Form()] = "",
    felt: Annotated[str, Form()] = "",
    agree: Annotated[str, Form()] = "",
    by_whom: Annotated[str, Form()] = "",
) -> RedirectResponse:
    """A small clip in one go, for browsers without JavaScript."""
    if file is None or not file.filename:
        raise UserError(_("Choose a clip first."))
    content = file.file.read()
    clip_id = _begin(request, file.filename, len(content), session, felt, agree, by_whom)
    for at in range(0, len(content), 8 * 2**20):
        clip = clips_of(request).take(clip_id, at, content[at : at + 8 * 2**20])
    jobs_of(request).add(clip.id)
    return RedirectResponse(f"/clips/{clip_id}", status_code=303)


@pages.post("/clips/begin", dependencies=[need(TYPE, N_("sent a film"))])
def begin(
    request: Request,
    name: Annotated[str, Form()],
    size: Annotated[int, Form()],
    session: Annotated[str, Form()] = "",
    felt: Annotated[str, Form()] = "",
    agree: Annotated[str, Form()] = "",
    by_whom: Annotated[str, Form()] = "",
    age_s: Annotated[str, Form()] = "",
) -> JSONResponse:
    """A clip that comes in parts."""
    try:
        clip_id = _begin(request, name, size, session, felt, agree, by_whom)
        age = whole_number(age_s)  # how long ago the phone saved the film, by its own clock
        if age is not None and age < MOST_AGE_S:
            clips_of(request).set_filmed_at(clip_id, now_utc() - datetime.timedelta(seconds=age))
    except UserError as error:
        return problem(status_of(error), say_error(error))
    return JSONResponse({"id": clip_id, "received": 0})


def _begin(request: Request, name: str, size: int, session: str, felt: str, agree: str, by_whom: str) -> int:
    session_id = whole_number(session)
    clips = clips_of(request)
    if not jobs_of(request).possible:
        raise UserError(_("Measuring clips needs the video extra. Run: pip install 'threequarter[video]'"))
    if not clips.agreed(session_id):
        if not agree:
            raise UserError(
                _("We take a clip only if the player, or a guardian for a child, agreed to be filmed. Tick the box.")
            )
        clips.agree(session_id, by_whom)
    return clips.begin(name, size, session_id=session_id, felt=felt)


@pages.put("/clips/{clip_id}/bytes", dependencies=[need(TYPE)])
def part(
    request: Request, clip_id: int, at: int, body: Annotated[bytes, Body(media_type="application/octet-stream")]
) -> JSONResponse:
    """One part of a clip that begins at byte `at`; the answer says how many bytes are safe."""
    try:
        clip = clips_of(request).take(clip_id, at, body)
        if clip.state == "waiting":
            jobs_of(request).add(clip_id)
    except UserError as error:
        return problem(status_of(error, 409), say_error(error), received=_received(request, clip_id))
    return JSONResponse({"received": clip.received, "state": clip.state})


def _received(request: Request, clip_id: int) -> int | None:
    try:
        return clips_of(request).clip(clip_id).received
    except UserError:
        return None


@pages.get("/clips/{clip_id}", response_class=HTMLResponse, dependencies=[need(SEE, N_("looked at a film's measures"))])
def clip_page(request: Request, clip_id: int) -> HTMLResponse:
    """How far a clip is, and what was found."""
    clip = clips_of(request).clip(clip_id)
    return page(request, "swings/clip.html", clip=clip, says=_says(clip), **_found(request, clip))


@pages.get("/clips/{clip_id}/state.json", dependencies=[need(SEE)])
def state(request: Request, clip_id: int) -> JSONResponse:
    """The same for a page that waits."""
    clip = clips_of(request).clip(clip_id)
    return JSONResponse(
        {"state": clip.state, "progress": clip.progress, "received": clip.received, "says": _says(clip)}
    )


def _says(clip: Clip) -> str:
    if clip.state == "coming":
        return _("{at} of {all} MB have arrived. Send it again to go on.").format(
            at=round(clip.received / 2**20), all=round(clip.size / 2**20)
        )
    return _(STATES[clip.state]) + (f", {localize.number(100 * clip.progress)} %" if clip.state == "running" else "")


def _found(request: Request, clip: Clip) -> dict[str, Any]:
    if clip.state != "done" or clip.answer is None:
        return {"swings": [], "pictures": []}
    answer = with_marks(store_of(request), clip, clip.marks or {})
    store = store_of(request)
    own, tempos = own_lengths(store, clip).heights, own_tempos(store, clip)
    levels = {say(Message(f"swing.level_{name}")): height for name, height in list(own.items())[1:]}
    swings = []
    for place, swing in enumerate(answer["swings"], start=1):
        doubt, number = swing["doubt90"], swing.get("number", place)
        swings.append(
            {
                "number": number,
                "at": f"{localize.number(swing['t_impact_s'], 2)} s",
                "words": [*swing["words"], *([say(beside)] if (beside := tempo_beside(swing, tempos)) else [])],
                "warnings": swing["warnings"],
                "back": _with(swing["lead_arm_top_deg"], doubt.get("lead_arm_top_deg"), 0, "°"),
                "through": _with(swing["lead_arm_finish_deg"], doubt.get("lead_arm_finish_deg"), 0, "°"),
                "tempo": _with(swing["tempo_ratio"], doubt.get("tempo_ratio"), 1, ""),
                "speed": f"{localize.number(100 * swing['impact_over_peak'])} %"
                if swing["impact_over_peak"] is not None
                else _("not measured"),
                "marked": [_(MARK_WORDS.get(name, name)) for name in swing.get("marked", [])],
                "sheet": swing.get("sheet"),
                "instants": {name: swing[name] for name in INSTANTS},
                "told": (clip.marks or {}).get(str(number), {}),
            }
        )
    return {
        "swings": swings,
        "pictures": pictures_of(clips_of(request).made(clip.id)),
        "answer": answer,
        "handed": _("left-handed") if answer["handedness"] == "left" else _("right-handed"),
        "instant_words": INSTANT_WORDS,
        "poses": [(name, say(Message(f"swing.level_{name}"))) for name in LEVELS],
        "posed": (clip.marks or {}).get(POSES) or {},
        "balls": _balls(request, clip),
        "levels": json.dumps(levels),
        "told_marks": json.dumps({key: told for key, told in (clip.marks or {}).items() if key.isdigit()}),
        "dropped": [
            key for key, told in (clip.marks or {}).items() if isinstance(told, dict) and told.get(NOT_A_SWING)
        ],
        "beside": swings_beside(store_of(request), clip),
    }


def _balls(request: Request, clip: Clip) -> list[str]:
    """The balls of the same session in the order hit, to read beside the swings."""
    if clip.session_id is None:
        return []
    store = clips_of(request).store
    unit = store.session(clip.session_id).unit
    return [
        f"{b.club} {b.swing} {from_metres(b.distance_m, unit):.0f} {unit}"
        + (f" {_(b.strike.value)}" if b.strike else "")
        for b in store.session_balls(clip.session_id)
        if b.use
    ]


def _with(value: float | None, doubt: float | None, decimals: int, unit: str) -> str:
    if value is None or doubt is None:
        return _("not measured")
    return f"{localize.number(value, decimals)}{unit} ± {localize.number(doubt, decimals)}"


@pages.get("/clips/{clip_id}/pictures/{name}", dependencies=[need(SEE, N_("looked at a picture"))])
def picture(request: Request, clip_id: int, name: str) -> FileResponse:
    """One picture of a clip."""
    folder = clips_of(request).made(clip_id)
    known = {path.name for path in (folder / "pictures").glob("*.*")}
    if name not in known:
        raise NotThereError(_("There is no such picture."))
    kind = "image/png" if name.endswith(".png") else "image/svg+xml"
    return FileResponse(folder / "pictures" / name, media_type=kind, headers={"cache-control": "no-store"})


@pages.get("/clips/{clip_id}/film", dependencies=[need(SEE, N_("watched a film"))])
def film(request: Request, clip_id: int) -> FileResponse:
    """The film itself, whole or the part that is asked for."""
    clips = clips_of(request)
    path = clips.file(clip_id)
    if clips.clip(clip_id).state == "coming" or not path.is_file():
        raise NotThereError(_("Clip {clip_id} is not here, or not complete yet.").format(clip_id=clip_id))
    kind = KINDS.get(path.suffix, "application/octet-stream")
    return FileResponse(path, media_type=kind, headers={"cache-control": "no-store"})


@pages.post("/clips/{clip_id}/marks/{number}", dependencies=[need(COACH, N_("corrected a swing"))])
async def mark(request: Request, clip_id: int, number: int) -> RedirectResponse:
    """Keeps corrections of one swing: instants in seconds, points on the picture; an empty form takes them away."""
    form = await request.form()
    fields = {name: str(value).strip() for name, value in form.items()}
    return await run_in_threadpool(_marked, request, clip_id, number, fields)


def _marked(request: Request, clip_id: int, number: int, fields: dict[str, str]) -> RedirectResponse:
    clips = clips_of(request)
    clip = clips.clip(clip_id)
    told: dict[str, Any] = {}
    for name in (*INSTANTS, *POINTS):
        text = fields.get(name, "").replace(",", ".") if name in INSTANTS else fields.get(name, "")
        if not text:
            continue
        try:
            values = [float(v) for v in ([text] if name in INSTANTS else text.split(","))]
        except ValueError:
            values = [math.nan]
        if not all(map(math.isfinite, values)):
            raise UserError(_("{typed} is not a number.").format(typed=repr(text[:30])))
        told[name] = values[0] if name in INSTANTS else values
    marks = {key: value for key, value in (clip.marks or {}).items() if key != str(number)} | (
        {str(number): told} if told else {}
    )
    with_marks(store_of(request), clip, marks)  # says what is wrong before anything is kept
    clips.keep_marks(clip_id, marks)
    return RedirectResponse(f"/clips/{clip_id}", status_code=303)


@pages.post("/clips/{clip_id}/bin", dependencies=[need(TYPE, N_("put a clip in the bin"))])
def put_in_bin(request: Request, clip_id: int) -> RedirectResponse:
    """Puts a clip in the bin, where it stays for thirty days."""
    clip = clips_of(request).clip(clip_id)
    Trash(clips_of(request).store).put_clip(clip_id)
    return RedirectResponse(f"/sessions/{clip.session_id}/lesson" if clip.session_id else "/history", status_code=303)


@pages.post("/clips/{clip_id}/delete", dependencies=[need(TYPE, N_("deleted a film"))])
def delete(request: Request, clip_id: int) -> Response:
    """Deletes a clip and everything made from it for good; a phone only stops one that is still coming in."""
    if request.state.identity is None and by_phone(request) and clips_of(request).clip(clip_id).state != "coming":
        return turned_away(request, "phone")
    session_id = clips_of(request).delete(clip_id)
    return RedirectResponse(f"/sessions/{session_id}" if session_id else "/", status_code=303)
