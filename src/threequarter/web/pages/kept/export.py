"""The ways out: everything, a player or a session as a file in an open form, and what its columns mean."""

import json
import shutil
import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any, Literal

from fastapi import Request
from fastapi.responses import FileResponse, HTMLResponse, RedirectResponse, StreamingResponse
from starlette.background import BackgroundTask

from threequarter.golf.errors import NotThereError
from threequarter.intake.own_format.columns import COLUMNS
from threequarter.intake.own_format.files import FORMS, MEDIA, Form, parquet_is_there, write_own
from threequarter.language import say
from threequarter.language.localize import N_, _
from threequarter.store.exchange.export_json import export_all
from threequarter.store.exchange.export_table import own_rows
from threequarter.store.exchange.reimport import redo_batch, undo_batch
from threequarter.store.people.roster import Roster
from threequarter.web.page_context import TEMPLATES, page, store_of
from threequarter.web.security.authorization import AuthorizedRouter
from threequarter.web.security.policy import COACH, NEVER, SEE, SIGNED_IN, need

pages = AuthorizedRouter()
TEMPLATES.env.globals["parquet_here"] = parquet_is_there


@pages.get("/ways-out", response_class=HTMLResponse, dependencies=[need(SIGNED_IN)])
def ways_out(request: Request, undone: int = 0, done: int = 0, batch: str = "") -> HTMLResponse:
    """What can be taken along, in which forms, and what every column means."""
    return page(
        request,
        "kept/export.html",
        columns=COLUMNS,
        forms=forms_here(),
        parquet=parquet_is_there(),
        undone=undone,
        done=done,
        batch=batch,
    )


def forms_here() -> tuple[str, ...]:
    """The forms that can be written on this computer."""
    return tuple(form for form in FORMS if form != "parquet" or parquet_is_there())


@pages.get("/everything/balls.{form}", dependencies=[need(COACH, N_("exported the balls of all"), here=True)])
def everything(request: Request, form: Form) -> FileResponse:
    """All balls of everybody, and bags, players and notes, as a table."""
    return table_answer(request, form, "threequarter")


@pages.get("/everything/export.json", dependencies=[need(NEVER, here=True)])
def everything_row_by_row(request: Request) -> StreamingResponse:
    """All that is kept, row by row: what `threequarter import` puts into an empty folder bit for bit."""
    return _export(request, None, "threequarter")


@pages.get("/players/{name:path}/balls.{form}", dependencies=[need(SEE, N_("exported the balls of a player"))])
def of_a_player(request: Request, name: str, form: Form) -> FileResponse:
    """All balls of a player, with bag and notes, as a table."""
    known = _known(request, name)
    return table_answer(request, form, known, player=known)


@pages.get("/players/{name:path}/export.json", dependencies=[need(SEE, N_("exported all that is kept of a player"))])
def of_a_player_row_by_row(request: Request, name: str) -> StreamingResponse:
    """All that is kept of a player, row by row."""
    known = _known(request, name)
    return _export(request, known, known)


@pages.get("/sessions/{session_id}/balls.{form}", dependencies=[need(SEE, N_("exported the balls of a session"))])
def of_a_session(request: Request, session_id: int, form: Form) -> FileResponse:
    """The balls of a session as a table."""
    return table_answer(request, form, f"balls-{session_id}", session_id=session_id)


@pages.post(
    "/batches/{batch}/{act}", dependencies=[need(COACH, N_("took several imports back, or brought them again"))]
)
def settle_batch(request: Request, batch: str, act: Literal["undo", "redo"]) -> RedirectResponse:
    """Takes a whole act of imports back, or does it again."""
    count = (undo_batch if act == "undo" else redo_batch)(store_of(request), batch)
    return RedirectResponse(f"/?batch={batch}&{'undone' if act == 'undo' else 'done'}={count}", status_code=303)


def table_answer(request: Request, form: Form, name: str, **chosen: Any) -> FileResponse:
    """A table as a file, written whole before its first byte goes out. Raises UserError for what is not there."""
    folder = tempfile.mkdtemp(prefix="threequarter-")
    try:
        file = Path(folder, f"table.{form}")
        write_own(own_rows(store_of(request), **chosen), form, file, say)
    except BaseException:
        shutil.rmtree(folder, ignore_errors=True)
        raise
    return FileResponse(
        file,
        media_type=MEDIA[form],
        filename=f"{name[:100]}.{form}",
        headers={"cache-control": "no-store"},
        background=BackgroundTask(shutil.rmtree, folder, ignore_errors=True),
    )


def _export(request: Request, player: str | None, name: str) -> StreamingResponse:
    found = export_all(store_of(request), player)

    def parts() -> Iterator[bytes]:
        yield from (part.encode() for part in json.JSONEncoder(ensure_ascii=False).iterencode(found))

    safe = "".join(letter if letter.isascii() and letter.isalnum() else "-" for letter in name[:60])
    headers = {"content-disposition": f'attachment; filename="{safe}-export.json"', "cache-control": "no-store"}
    return StreamingResponse(parts(), media_type="application/json", headers=headers)


def _known(request: Request, name: str) -> str:
    known = Roster(store_of(request)).known(name)
    if known is None:
        raise NotThereError(_("There is no player {name}.").format(name=repr(name[:80])))
    return known
