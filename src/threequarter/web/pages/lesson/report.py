"""The lesson's end: one page to take home."""

from dataclasses import dataclass
from typing import Any

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, Response
from markupsafe import Markup

from threequarter.chart.meaning import meaning
from threequarter.golf.language import _
from threequarter.golf.units import DistanceUnit
from threequarter.language import words
from threequarter.paper.report import MOST_PICTURES, content, report
from threequarter.practice.work_on import WorkOn, work_on
from threequarter.store.accounts.shares import Shares
from threequarter.store.clips.clips import Clips
from threequarter.store.results import SessionInfo
from threequarter.store.store import Store
from threequarter.web.page_context import charted, page, pdf_answer, spoken_to, store_of
from threequarter.web.pages.lesson.context import Seen, all_swings, change_line, plain_swing
from threequarter.web.pages.lesson.routes import lesson_from, lesson_notes
from threequarter.web.view import ChartView

pages = APIRouter()


@pages.get("/sessions/{session_id}/report", response_class=HTMLResponse)
def report_page(request: Request, session_id: int, unit: DistanceUnit | None = None) -> HTMLResponse:
    """The page to take home on a screen, and the notes for its print."""
    store = store_of(request)
    info, view = charted(store, session_id, unit)
    told = _told(store, info, view)
    notes = lesson_notes(store, session_id)
    says = content(
        view.chart,
        told.work,
        **_whose(store, info, view),
        notes=notes,
        swing_words=told.lines,
        captions=told.captions,
        changes=told.changes,
    )
    pictures = list(zip([Markup(svg) for svg in told.pictures[:MOST_PICTURES]], says["captions"], strict=False))
    ladder = {} if pictures else view.ladder(meaning(view.chart))
    return page(
        request,
        "lesson/report.html",
        **ladder,
        info=info,
        unit=view.unit,
        says=says,
        pictures=pictures,
        notes=notes,
        session_id=session_id,
        links=Shares(store).of_sessions([session_id]),
    )


@pages.get("/sessions/{session_id}/report.pdf")
def report_pdf(
    request: Request, session_id: int, unit: DistanceUnit | None = None, notes: str | None = None
) -> Response:
    """The same printed."""
    info, view = charted(store_of(request), session_id, unit)
    return pdf_answer(report_of(store_of(request), info, view, notes), "report.pdf")


def report_of(store: Store, info: SessionInfo, view: ChartView, notes: str | None = None) -> bytes:
    """The page to take home of a session, with its swings, as PDF; `notes` None takes those of the lesson."""
    with spoken_to(store, info.player):
        told = _told(store, info, view)
        return report(
            view.chart,
            told.work,
            **_whose(store, info, view),
            notes=lesson_notes(store, info.id) if notes is None else notes,
            pictures=told.pictures,
            captions=told.captions,
            swing_words=told.lines,
            changes=told.changes,
        )


def _whose(store: Store, info: SessionInfo, view: ChartView) -> dict[str, Any]:
    return {"player": info.player or "", "date": store.facts(info.id).held_on or info.made_at.date(), "unit": view.unit}


@dataclass(frozen=True, slots=True, kw_only=True)
class _Told:
    """What a lesson tells: what to work on, its swings in words, pictures of the best with what stands under each, what
    changed."""

    work: tuple[WorkOn, ...]
    lines: list[str]
    pictures: list[str]
    captions: list[str]
    changes: list[str]


def _told(store: Store, info: SessionInfo, view: ChartView) -> _Told:
    lesson = lesson_from(store, info, view)
    shown: list[tuple[Seen, str]] = [
        (
            lesson.seen[best.swing],
            _("{shot}, {carry} {unit}: the best of this shot on film.").format(
                shot=words.shot(best.cell),
                carry=words.rounded(lesson.kept[best.ball].ball.distance_m, view.unit),
                unit=view.unit,
            ),
        )
        for best in lesson.best()
    ]
    shown = shown or [(one, "") for one in lesson.seen[:1]]
    pictures, captions = [], []
    for one, caption in shown[:MOST_PICTURES]:
        if one.sheet is not None:
            path = Clips(store).made(one.clip.id) / "pictures" / one.sheet
            pictures.append(path.read_text(encoding="utf-8"))
            captions.append(f"{caption} {plain_swing(one)}".strip())
    swings = [one.swing for one in lesson.seen]
    used = sorted(kept.ball.distance_m for kept in lesson.kept if kept.ball.use)
    usual_m = used[len(used) // 2] if used else None
    changes = [change_line(change, view.unit, usual_m) for change in lesson.changes() if change.told]
    if not changes and lesson.seen:
        changes = [_("Nothing that can be told from chance. That is usual for one lesson; the recheck will show.")]
    return _Told(
        work=work_on(view.chart, swings),
        lines=all_swings(swings),
        pictures=pictures,
        captions=captions,
        changes=changes,
    )
