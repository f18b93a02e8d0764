"""The lesson's end: one page to take home."""

from fastapi import Request
from fastapi.responses import HTMLResponse, Response
from markupsafe import Markup

from threequarter.app.lessons import lesson_notes
from threequarter.app.reports import make_report, report_facts, report_parts
from threequarter.chart.meaning import meaning
from threequarter.golf.units import DistanceUnit
from threequarter.language.localize import N_
from threequarter.paper.report import MOST_PICTURES, content
from threequarter.store.accounts.shares import Shares
from threequarter.web.page_context import charted_for, page, pdf_answer, store_of
from threequarter.web.security.authorization import AuthorizedRouter
from threequarter.web.security.policy import SEE, need

pages = AuthorizedRouter()


@pages.get(
    "/sessions/{session_id}/report", response_class=HTMLResponse, dependencies=[need(SEE, N_("looked at a report"))]
)
def report_page(request: Request, session_id: int, unit: DistanceUnit | None = None) -> HTMLResponse:
    """The page to take home on a screen, and the notes for its print."""
    store = store_of(request)
    info, view = charted_for(request, session_id, unit)
    told = report_parts(store, info, view)
    notes = lesson_notes(store, session_id)
    says = content(
        view.chart,
        told.work,
        **report_facts(store, info, view),
        notes=notes,
        swing_words=told.lines,
        captions=told.captions,
        changes=told.changes,
    )
    pictures = list(zip([Markup(svg) for svg in told.pictures[:MOST_PICTURES]], says["captions"], strict=False))
    ladder = {} if pictures else view.ladder(meaning(view.chart.on_another_day()))
    return page(
        request,
        "lesson/report.html",
        **ladder,
        info=info,
        made_of=view.made_of,
        chart_at=view.at,
        unit=view.unit,
        says=says,
        pictures=pictures,
        notes=notes,
        session_id=session_id,
        links=Shares(store).of_sessions([session_id]),
    )


@pages.get("/sessions/{session_id}/report.pdf", dependencies=[need(SEE, N_("printed a report"))])
def report_pdf(
    request: Request, session_id: int, unit: DistanceUnit | None = None, notes: str | None = None
) -> Response:
    """The same printed."""
    info, view = charted_for(request, session_id, unit)
    return pdf_answer(make_report(store_of(request), info, view, notes), "report.pdf")
