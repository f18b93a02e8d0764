"""A device's table taken inside a lesson: its balls belong to the day that runs."""

from pathlib import Path
from typing import Annotated

from fastapi import File, Request, UploadFile
from fastapi.responses import RedirectResponse

from threequarter.golf.errors import UserError
from threequarter.golf.player import name_key
from threequarter.intake.options import ReadOptions
from threequarter.intake.reading import Reading
from threequarter.intake.safe_reading import read_safely
from threequarter.language.localize import N_, _
from threequarter.store.balls.days import Days
from threequarter.store.imports import import_batch
from threequarter.store.results import SessionInfo
from threequarter.web.page_context import pending_of, store_of
from threequarter.web.security.authorization import AuthorizedRouter
from threequarter.web.security.policy import COACH, need

pages = AuthorizedRouter()


@pages.post("/sessions/{session_id}/lesson/table", dependencies=[need(COACH, N_("kept a table"))])
def take_table(
    request: Request, session_id: int, file: Annotated[UploadFile | None, File()] = None
) -> RedirectResponse:
    """Keeps a table in the lesson where it reads without a question and is this player's; else it is looked at first."""
    store = store_of(request)
    info = store.session(session_id)
    if file is None or not file.filename:
        raise UserError(_("You chose nothing. Choose a file or paste the table."))
    name, content = Path(file.filename).name or "table.csv", file.file.read()
    found = import_batch.inspect_file(content, name, "table", ReadOptions(), reader=read_safely)
    if found.error or found.reading is None or not _fits(found.reading, info):
        key = pending_of(request).put(name, content, "table")
        return RedirectResponse(f"/look/{key}", status_code=303)
    kept = store.keep_reading(found.reading, content, name=name, ground=info.ground, player=info.player)
    if kept.session_id != session_id:
        Days(store).join(kept.session_id, session_id)
    mark = f"?table={kept.import_id}&added={kept.added}" if kept.import_id else "?table=0&added=0"
    return RedirectResponse(f"/sessions/{session_id}/lesson{mark}", status_code=303)


def _fits(reading: Reading, info: SessionInfo) -> bool:
    """Whether a table reads without a question, names nobody but the player of the lesson, and no other day than the lesson's (a
    device's clock may be a day off)."""
    named = {name_key(ball.player) for ball in reading.balls if ball.player}
    sure = bool(reading.balls) and not reading.questions and not reading.error
    days_off = [abs((day - info.held_on).days) for day in reading.days if day]
    return sure and info.player is not None and named <= {name_key(info.player)} and days_off in ([], [0], [1])
