"""The lesson: one screen for the 45 minutes, from the first ball to the page to take home."""

import datetime
import re
import secrets
from collections.abc import Sequence
from typing import Annotated, Any, Final

from fastapi import Form, Request
from fastapi.responses import HTMLResponse, JSONResponse, RedirectResponse

from threequarter.app.lesson_view import MINUTES, LessonView, change_words
from threequarter.app.lessons import lesson_from
from threequarter.app.plans import plan_of
from threequarter.golf.errors import UserError
from threequarter.golf.units import DistanceUnit, from_metres
from threequarter.intake.notes.read import NoteOptions, read_notes
from threequarter.language import say, words
from threequarter.language.localize import N_, _
from threequarter.store.balls.phone_ball_parser import told_of
from threequarter.store.balls.phone_balls import PhoneBalls
from threequarter.store.clips.clips import Clip
from threequarter.store.clips.lessons import Lessons
from threequarter.store.imports.save_import import now_utc
from threequarter.store.people.roster import Roster
from threequarter.store.results import SessionInfo, StoredBall
from threequarter.web.page_context import MOST_OFFERED, chart_of, page, store_of
from threequarter.web.pages.lesson.homework import homework_shown
from threequarter.web.pages.lesson.workspace import workspace
from threequarter.web.pages.swings.routes import STATES, clips_of
from threequarter.web.security.authorization import AuthorizedRouter
from threequarter.web.security.policy import COACH, need
from threequarter.web.whole_number import whole_number

pages = AuthorizedRouter()
LONGEST_LINE: Final = 2000
RUNS: Final = datetime.timedelta(hours=4)
"""So long after its start a lesson's clock is shown; then only the day."""


@pages.get("/lesson", response_class=HTMLResponse, dependencies=[need(COACH)])
def new(request: Request, player: str = "") -> HTMLResponse:
    """Whose lesson."""
    return page(
        request, "lesson/begin.html", player=player[:300], roster=Roster(store_of(request)).names(most=MOST_OFFERED)
    )


@pages.post("/lesson", dependencies=[need(COACH, N_("began a lesson"))])
def begin(
    request: Request, player: Annotated[str, Form()] = "", unit: Annotated[str, Form()] = "yd"
) -> RedirectResponse:
    """Begins a lesson; its clock starts."""
    session_id = PhoneBalls(store_of(request)).begin(player, unit)
    Lessons(store_of(request)).start(session_id)
    return RedirectResponse(f"/sessions/{session_id}/lesson", status_code=303)


@pages.get(
    "/sessions/{session_id}/lesson", response_class=HTMLResponse, dependencies=[need(COACH, N_("looked at a lesson"))]
)
def lesson(
    request: Request,
    session_id: int,
    unit: DistanceUnit | None = None,
    after: int | None = None,
    linked: int | None = None,
) -> HTMLResponse:
    """Swings and balls side by side, the best on film, before and after."""
    info, view = chart_of(store_of(request), session_id, unit)
    shown = lesson_from(store_of(request), info, view, unit)
    clips = clips_of(request).of_session(session_id)
    return page(
        request,
        "lesson/lesson.html",
        story=shown.story(),
        info=info,
        unit=shown.unit,
        **homework_shown(store_of(request), info),
        **workspace(shown, view, plan_of(store_of(request), session_id), len(clips)),
        rows=shown.lines(),
        swings=len(shown.seen),
        balls=_offered(shown),
        clips=clips,
        waiting=[clip for clip in clips if clip.state != "done"],
        states=STATES,
        clock=_clock(request, session_id),
        minutes=MINUTES,
        best=[_best(shown, one) for one in shown.best()],
        linked=linked,
        token=_token(shown.kept, clips),
        **_compared(shown, after),
    )


def lesson_of(request: Request, session_id: int, unit: DistanceUnit | None = None) -> tuple[SessionInfo, LessonView]:
    """A session as a lesson."""
    info, view = chart_of(store_of(request), session_id, unit)
    return info, lesson_from(store_of(request), info, view, unit)


def _offered(shown: LessonView) -> list[dict[str, Any]]:
    """The balls that a swing may be given to."""
    return [
        {
            "id": kept.id,
            "number": kept.ball.number,
            "says": f"{kept.ball.number}: {kept.ball.club} {kept.ball.swing} {from_metres(kept.ball.distance_m, shown.unit):.0f}",
        }
        for kept in shown.kept
    ]


def _best(shown: LessonView, one: Any) -> dict[str, Any]:
    seen, ball = shown.seen[one.swing], shown.kept[one.ball].ball
    return {
        "shot": words.shot(one.cell),
        "stock": words.carry(one.cell, shown.unit),
        "carry": f"{words.rounded(ball.distance_m, shown.unit)} {shown.unit}",
        "number": ball.number,
        "swing": seen.number,
        "clip": seen.clip.id,
        "sheet": seen.sheet,
        "name": seen.clip.name,
    }


def _compared(shown: LessonView, after: int | None) -> dict[str, Any]:
    changes = shown.changes(after)
    split = shown.split(after)
    used = [kept.ball.distance_m for kept in shown.kept if kept.ball.use]
    usual = sorted(used)[len(used) // 2] if used else None
    return {
        "changes": [change_words(change, shown.unit, usual) for change in changes],
        "split": shown.kept[split].ball.number if shown.kept else None,
    }


def _clock(request: Request, session_id: int) -> dict[str, Any]:
    started = Lessons(store_of(request)).started_at(session_id)
    gone = now_utc() - started
    local = started.replace(tzinfo=datetime.UTC).astimezone()
    return {
        "running": datetime.timedelta() <= gone < RUNS,
        "minutes": int(gone.total_seconds() // 60),
        "at": local.strftime("%H:%M"),
        "day": local.date(),
        "iso": started.replace(tzinfo=datetime.UTC).isoformat(timespec="seconds"),
    }


def _token(kept: Sequence[StoredBall], clips: Sequence[Clip]) -> str:
    """What changes when there is something new to show: balls, clips and how far they are."""
    return f"{len(kept)}-{max((one.id for one in kept), default=0)}-" + "-".join(
        f"{clip.id}{clip.state}" for clip in clips
    )


@pages.get("/sessions/{session_id}/lesson/state.json", dependencies=[need(COACH)])
def state(request: Request, session_id: int) -> JSONResponse:
    """Whether the page has something new to show."""
    kept, clips = store_of(request).kept_balls(session_id), clips_of(request).of_session(session_id)
    return JSONResponse({"token": _token(kept, clips)})


@pages.post("/sessions/{session_id}/lesson/start", dependencies=[need(COACH, N_("began a lesson"))])
def start(request: Request, session_id: int) -> RedirectResponse:
    """Starts the clock of a lesson now."""
    Lessons(store_of(request)).start(session_id)
    return _back(session_id)


@pages.post("/sessions/{session_id}/lesson/note", dependencies=[need(COACH, N_("noted something"))])
def note(request: Request, session_id: int, text: Annotated[str, Form()] = "") -> RedirectResponse:
    """Keeps a note in the lesson."""
    Lessons(store_of(request)).note(session_id, text)
    return _back(session_id, "#line")


@pages.post("/sessions/{session_id}/lesson/line", dependencies=[need(COACH, N_("typed balls"))])
def take_line(request: Request, session_id: int, text: Annotated[str, Form()] = "") -> RedirectResponse:
    """Keeps one line: balls where it holds a number, else a note; "note: ..." is always one."""
    head, colon, rest = text.partition(":")
    if colon and head.strip().casefold() in ("note", _("Note").casefold()):
        return note(request, session_id, rest)
    return balls(request, session_id, text) if re.search(r"\d", text) else note(request, session_id, text)


@pages.post("/sessions/{session_id}/lesson/balls", dependencies=[need(COACH, N_("typed balls"))])
def balls(request: Request, session_id: int, text: Annotated[str, Form()] = "") -> RedirectResponse:
    """Keeps balls typed as a line: club, swing, distances. A line with a word that says nothing is refused whole."""
    if len(text) > LONGEST_LINE:
        raise UserError(_("Type at most {count} letters at once. Nothing was saved.").format(count=LONGEST_LINE))
    unit = store_of(request).session(session_id).unit
    reading = read_notes(text, NoteOptions(unit=unit), name=_("the balls"))
    if reading.error or reading.set_aside:
        why = say(reading.error) if reading.error else f"{reading.set_aside[0].text}: {say(reading.set_aside[0].why)}"
        raise UserError(_("{why} Nothing was saved.").format(why=why))
    stamp = secrets.token_hex(8)
    typed = [told_of(ball, f"{stamp}-{n:04}") for n, ball in enumerate(reading.balls)]
    refused = [
        say(outcome.why)
        for outcome in PhoneBalls(store_of(request)).take(session_id, typed)
        if outcome.state == "refused"
    ]
    if refused:
        raise UserError(refused[0])
    return _back(session_id, "#line")


@pages.post("/sessions/{session_id}/lesson/link", dependencies=[need(COACH, N_("said which swing hit which ball"))])
def link(
    request: Request, session_id: int, swing: Annotated[str, Form()] = "", ball: Annotated[str, Form()] = ""
) -> RedirectResponse:
    """Says which ball a swing ("clip-number") hit; an empty ball says none of them. The page offers the way back."""
    clip, _dash, place = swing.partition("-")
    film, number, hit = whole_number(clip), whole_number(place), whole_number(ball)
    if film is None or number is None or (ball and hit is None):
        raise UserError(_("Choose a swing and a ball."))
    made = Lessons(store_of(request)).link(film, number, hit)
    return RedirectResponse(f"/sessions/{session_id}/lesson?linked={made}#s{film}-{number}", status_code=303)


def _back(session_id: int, more: str = "") -> RedirectResponse:
    return RedirectResponse(f"/sessions/{session_id}/lesson{more}", status_code=303)
