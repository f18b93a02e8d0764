"""The lesson's end: one page to take home."""

from typing import Any

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, Response
from markupsafe import Markup

from threequarter.golf.language import _
from threequarter.golf.units import DistanceUnit
from threequarter.paper.report import content, report
from threequarter.practice.work_on import work_on
from threequarter.store.results import SessionInfo
from threequarter.web.clip_pages import clips_of
from threequarter.web.jobs import pictures_of
from threequarter.web.parts import charted, page, pdf_answer
from threequarter.web.view import ChartView

pages = APIRouter()


@pages.get("/sessions/{session_id}/report", response_class=HTMLResponse)
def report_page(request: Request, session_id: int, unit: DistanceUnit | None = None) -> HTMLResponse:
    """The page to take home on a screen, and the notes for its print."""
    info, view = charted(request, session_id, unit)
    swings, lines, pictures = _swings(request, session_id)
    says = content(
        view.chart, work_on(view.chart, swings, view.unit), player=info.player or "", date=info.made_at.date(), unit=view.unit, swing_words=lines
    )  # fmt: skip
    return page(
        request, "report.html", info=info, unit=view.unit, says=says, pictures=[Markup(svg) for svg in pictures]
    )


@pages.get("/sessions/{session_id}/report.pdf")
def report_pdf(request: Request, session_id: int, unit: DistanceUnit | None = None, notes: str = "") -> Response:
    """The same printed."""
    info, view = charted(request, session_id, unit)
    return pdf_answer(report_of(request, info, view, notes), "report.pdf")


def report_of(request: Request, info: SessionInfo, view: ChartView, notes: str = "") -> bytes:
    """The page to take home of a session, with its swings, as PDF."""
    swings, lines, pictures = _swings(request, info.id)
    return report(
        view.chart, work_on(view.chart, swings, view.unit), player=info.player or "", date=info.made_at.date(), unit=view.unit, notes=notes,
        pictures=pictures, swing_words=lines,
    )  # fmt: skip


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
            lines.append(f"{clip.name}, {_('Swing')} {number}: " + "; ".join(swing["words"]))
        folder = clips_of(request).folder(clip.id)
        sheets += [(folder / "pictures" / name).read_text(encoding="utf-8") for name in pictures_of(folder)[:1]]
    return swings, lines, sheets
