"""The lesson's end, and the roster: one page to take home, who is due a recheck, a player's bag."""

import datetime
from typing import Annotated, Any, Final

from fastapi import APIRouter, Form, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response

from threequarter.golf.club import parse_club
from threequarter.golf.errors import UserError
from threequarter.golf.units import DistanceUnit
from threequarter.paper.report import RECHECK_WEEKS, report
from threequarter.practice.work_on import work_on
from threequarter.store.results import Club, SessionInfo
from threequarter.web.clip_pages import clips_of
from threequarter.web.jobs import pictures_of
from threequarter.web.parts import chart_of, page, store_of

pages = APIRouter()
DUE: Final = datetime.timedelta(weeks=RECHECK_WEEKS)


@pages.get("/sessions/{session_id}/report", response_class=HTMLResponse)
def report_page(request: Request, session_id: int, unit: DistanceUnit | None = None) -> HTMLResponse:
    """What the page to take home says, and the notes for it."""
    info, view = chart_of(request, session_id, unit)
    if view is None:
        raise UserError("There is no ball to report on.")
    swings, lines, _ = _swings(request, session_id)
    return page(
        request, "report.html", info=info, unit=view.unit, work=work_on(view.chart, swings, view.unit), lines=lines
    )


@pages.get("/sessions/{session_id}/report.pdf")
def report_pdf(request: Request, session_id: int, unit: DistanceUnit | None = None, notes: str = "") -> Response:
    """One page to take home."""
    info, view = chart_of(request, session_id, unit)
    if view is None:
        raise UserError("There is no ball to report on.")
    swings, lines, pictures = _swings(request, session_id)
    pdf = report(
        view.chart, work_on(view.chart, swings, view.unit), player=info.player or "", date=info.made_at.date(), unit=view.unit, notes=notes,
        pictures=pictures, swing_words=lines,
    )  # fmt: skip
    return Response(pdf, media_type="application/pdf", headers={"content-disposition": 'inline; filename="report.pdf"'})


def _swings(request: Request, session_id: int) -> tuple[list[dict[str, Any]], list[str], list[str]]:
    """The swings of a session's clips, what to say of them, and one sheet of each of the first clips."""
    swings: list[dict[str, Any]] = []
    lines: list[str] = []
    sheets: list[str] = []
    for clip in clips_of(request).of_session(session_id):
        if clip.state != "done" or clip.answer is None:
            continue
        for number, swing in enumerate(clip.answer["swings"], start=1):
            swings.append(swing)
            lines.append(f"{clip.name}, swing {number}: " + "; ".join(swing["words"]))
        folder = clips_of(request).folder(clip.id)
        sheets += [(folder / "pictures" / name).read_text(encoding="utf-8") for name in pictures_of(folder)[:1]]
    return swings, lines, sheets


@pages.get("/players", response_class=HTMLResponse)
def roster(request: Request, q: str = "") -> HTMLResponse:
    """Everybody, by name, with who is due a recheck."""
    store = store_of(request)
    sessions = store.sessions()
    rows = [
        _row(player.name, [s for s in sessions if s.player == player.name])
        for player in store.players()
        if q.casefold() in player.name.casefold()
    ]
    return page(request, "players.html", rows=rows, q=q, weeks=RECHECK_WEEKS)


def _row(name: str, sessions: list[SessionInfo]) -> dict[str, Any]:
    last = max((session.made_at for session in sessions), default=None)
    now = datetime.datetime.now(datetime.UTC).replace(tzinfo=None)
    due = last is not None and now - last.replace(tzinfo=None) > DUE
    return {
        "name": name,
        "sessions": len(sessions),
        "balls": sum(s.balls for s in sessions),
        "last": last.date().isoformat() if last else "",
        "due": due,
    }


@pages.get("/players/{name}", response_class=HTMLResponse)
def player(request: Request, name: str) -> HTMLResponse:
    """A player: bag, sessions through time."""
    store = store_of(request)
    known = next((p for p in store.players() if p.name.casefold() == name.casefold()), None)
    if known is None:
        raise UserError(f"There is no player {name[:80]!r}.")
    sessions = sorted((s for s in store.sessions() if s.player == known.name), key=lambda s: s.made_at, reverse=True)
    bag = ", ".join(
        f"{club.label}" + (f" {club.loft_deg:g}°" if club.loft_deg and f"{club.loft_deg:g}" not in club.label else "")
        for club in store.bag(known.name)
    )
    return page(request, "player.html", player=known, sessions=sessions, bag=bag, row=_row(known.name, sessions))


@pages.post("/players/{name}/bag")
def bag(request: Request, name: str, clubs: Annotated[str, Form()] = "") -> RedirectResponse:
    """Keeps a player's wedges."""
    labels = [part.strip()[:100] for part in clubs.split(",") if part.strip()]
    if len(labels) > 14:
        raise UserError(f"A bag holds at most 14 clubs (Rule 4.1b), not {len(labels)}.")
    store_of(request).set_bag(name, [Club(label=label, loft_deg=parse_club(label).loft_deg) for label in labels])
    return RedirectResponse(f"/players/{name}", status_code=303)
