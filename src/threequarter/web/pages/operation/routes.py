"""Health, readiness and figures, for machines; the page of whoever keeps the server running, for people."""

import shutil
from functools import partial
from typing import Any, Final

from fastapi import FastAPI, Request
from fastapi.responses import HTMLResponse, JSONResponse, RedirectResponse, Response
from sqlalchemy import func, select, text

from threequarter import __version__
from threequarter.golf.errors import UserError
from threequarter.language import say, say_error
from threequarter.language.localize import N_, _
from threequarter.store.accounts.current_user import as_user
from threequarter.store.database.schema import BallRow, Base, ClipRow, TaskRow
from threequarter.store.messages import message_from_text
from threequarter.store.store import Store
from threequarter.store.tasks import tasks
from threequarter.store.tasks.integrity import last_integrity
from threequarter.store.tasks.tasks import Tasks
from threequarter.web.operation.figures import TYPE, Figures
from threequarter.web.page_context import page, store_of
from threequarter.web.security.authorization import AuthorizedRouter
from threequarter.web.security.policy import HEAD, OPEN, need

pages = AuthorizedRouter()
KINDS_SAID: Final = {"import": N_("a large table"), "print": N_("a print for many players"), "backup": N_("a backup")}
LEAST_FREE: Final = 200 * 2**20
"""Bytes on the disk below which a server is not ready: a clip or a backup would not fit."""


@pages.get("/health", dependencies=[need(OPEN)])
async def health() -> dict[str, str]:
    """That the process answers at all, also while every thread is at work: it waits for none."""
    return {"status": "ok", "version": __version__}


@pages.get("/ready", dependencies=[need(OPEN)])
def ready(request: Request) -> JSONResponse:
    """Whether work can be sent here: the database answers and the disk has room. 503 with what is wrong otherwise."""
    wrong = troubles(request)
    return JSONResponse({"ready": not wrong, "wrong": wrong}, status_code=503 if wrong else 200)


def troubles(request: Request) -> list[str]:
    """What keeps this server from working, in words; nothing where all is well."""
    store, wrong = store_of(request), []
    try:
        with store.reading() as session:
            session.execute(text("SELECT 1"))
    except UserError as error:
        wrong.append(say_error(error))
    checked = last_integrity(store.data_dir)
    if checked and checked.damage:
        wrong.append(say(message_from_text(checked.damage)))
    free = shutil.disk_usage(store.data_dir).free
    if free < LEAST_FREE:
        wrong.append(_("Only {mb} MB are left on the disk; free some space.").format(mb=free // 2**20))
    return wrong


@pages.get("/metrics", dependencies=[need(HEAD, here=True)])
def metrics(request: Request) -> Response:
    """Figures in the Prometheus text format, of the whole server: counts, no names."""
    figures: Figures = request.app.state.figures
    with as_user(None):
        return Response(figures.text(), media_type=TYPE)


def figures(app: FastAPI) -> Figures:
    """The figures of an app: what is asked of it, its queue, its disk."""
    made, store = Figures(), app.state.store
    for state in ("waiting", "running", "failed"):
        made.read_when_asked(f"clips_{state}", f"Clips whose analysis is {state}.", partial(_clips, store, state))
    for state in ("waiting", "running", "failed"):
        made.read_when_asked(f"tasks_{state}", f"Long work that is {state}.", partial(_tasks, store, state))
    made.read_when_asked(
        "disk_free_bytes", "Room on the disk of the data.", lambda: shutil.disk_usage(store.data_dir).free
    )
    made.read_when_asked("balls", "Balls kept.", partial(_count, store, BallRow))
    return made


def _clips(store: Store, state: str) -> float:
    with store.reading() as session:
        return float(session.scalar(select(func.count()).select_from(ClipRow).where(ClipRow.state == state)) or 0)


def _tasks(store: Store, state: str) -> float:
    with store.reading() as session:
        return float(session.scalar(select(func.count()).select_from(TaskRow).where(TaskRow.state == state)) or 0)


def _count(store: Store, table: type[Base]) -> float:
    with store.reading() as session:
        return float(session.scalar(select(func.count()).select_from(table)) or 0)


@pages.get(
    "/operation",
    response_class=HTMLResponse,
    dependencies=[need(HEAD, N_("looked at the state of the server"), here=True)],
)
def operation(request: Request) -> HTMLResponse:
    """Queue, failures and a way to try again, and whether all is well."""
    store = store_of(request)
    with store.reading() as session:
        waiting = session.scalars(
            select(ClipRow).where(ClipRow.state.in_(("waiting", "running"))).order_by(ClipRow.id)
        ).all()
        failed = session.scalars(
            select(ClipRow).where(ClipRow.state == "failed").order_by(ClipRow.id.desc()).limit(50)
        ).all()
        rows = [_job(row) for row in waiting], [_job(row) for row in failed]
    disk, kept = shutil.disk_usage(store.data_dir), Tasks(store)
    return page(
        request,
        "operation/operation.html",
        waiting=rows[0],
        failed=rows[1],
        wrong=troubles(request),
        checked=last_integrity(store.data_dir),
        kinds=KINDS_SAID,
        work=[*kept.listed(tasks.OPEN), *kept.listed(("failed",))],
        free_gb=disk.free / 1e9,
        share=disk.used / disk.total,
    )


def _job(row: ClipRow) -> dict[str, Any]:
    return {
        "id": row.id,
        "name": row.name,
        "state": row.state,
        "progress": row.progress,
        "error": row.error,
        "made_at": row.made_at,
        "mb": row.size / 1e6,
    }


@pages.post("/operation/clips/{clip_id}/again", dependencies=[need(HEAD, N_("measured a film again"), here=True)])
def again(request: Request, clip_id: int) -> RedirectResponse:
    """Analyses a clip once more whose analysis failed. Raises UserError for one that did not."""
    request.app.state.jobs.again(clip_id)
    return RedirectResponse("/operation", status_code=303)


@pages.post("/operation/tasks/{number}/again", dependencies=[need(HEAD, N_("had work done again"), here=True)])
def task_again(request: Request, number: int) -> RedirectResponse:
    """Has long work done once more that failed. Raises UserError for what did not."""
    request.app.state.jobs.retry_task(number)
    return RedirectResponse("/operation", status_code=303)
