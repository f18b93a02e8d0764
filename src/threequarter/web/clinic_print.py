"""Everything of a clinic in one print: a page and a card for each child. Made apart from the pages, for it takes a
while."""

from threequarter.golf.errors import UserError
from threequarter.golf.language import _, day
from threequarter.paper.card import CardDetails, pocket_card
from threequarter.paper.typesetting import join_pdfs
from threequarter.store.store import Store
from threequarter.store.tasks.tasks import Task, Tasks
from threequarter.web.page_context import chart_of, spoken_to
from threequarter.web.pages.lesson.report import report_of


def print_clinic(errands: Tasks, errand: Task) -> None:
    """Makes the print that an errand asks for. Raises UserError where no child has a ball."""
    sessions: list[int] = errand.asked["sessions"]
    parts: list[bytes] = []
    for number, session_id in enumerate(sessions, start=1):
        parts += _one(errands.store, session_id)
        errands.progress(errand.id, number / (len(sessions) + 1))
    if not parts:
        raise UserError(_("No child has a ball yet."))
    printed = join_pdfs(parts)
    with errands.store.writing() as session:
        errands.done(session, errand.id, {}, printed)


def _one(store: Store, session_id: int) -> list[bytes]:
    """The page and the card of a session; nothing without a ball."""
    info, view = chart_of(store, session_id, None)
    if view is None:
        return []
    page = report_of(store, info, view)
    with spoken_to(store, info.player):
        details = CardDetails(player=info.player or "", date=day(info.made_at))
        return [page, pocket_card(view.chart, details, unit=view.unit, sheet="a4")]
