"""Everything of a clinic in one print: a page and a card for each child. Made apart from the pages, for it takes a
while."""

from threequarter.app.charts import in_language_of, session_chart
from threequarter.app.reports import card_details, make_report
from threequarter.app.standing import asked_chart
from threequarter.golf.errors import UserError
from threequarter.language.localize import _
from threequarter.paper.card import pocket_card
from threequarter.paper.typesetting import join_pdfs
from threequarter.store.store import Store
from threequarter.store.tasks.tasks import Task, Tasks


def print_clinic(tasks: Tasks, task: Task) -> None:
    """Makes the print that a task asks for. Raises UserError where no child has a ball."""
    sessions: list[int] = task.asked["sessions"]
    parts: list[bytes] = []
    for number, session_id in enumerate(sessions, start=1):
        parts += _one(tasks.store, session_id)
        tasks.progress(task.id, number / (len(sessions) + 1))
    if not parts:
        raise UserError(_("Nobody has hit a ball yet."))
    printed = join_pdfs(parts)
    with tasks.store.writing() as session:
        tasks.done(session, task.id, {}, printed)


def _one(store: Store, session_id: int) -> list[bytes]:
    """The page and the card of a session; nothing without a ball."""
    if session_chart(store, session_id, None)[1] is None:
        return []
    info, view = asked_chart(store, session_id)
    page = make_report(store, info, view)
    with in_language_of(store, info.player):
        return [page, pocket_card(view.chart, card_details(info, view), unit=view.unit, sheet="a4")]
