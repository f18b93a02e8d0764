"""The homework of the last lesson, asked at the beginning of this one."""

from typing import Any

from fastapi import Request
from fastapi.concurrency import run_in_threadpool
from fastapi.responses import HTMLResponse, RedirectResponse

from threequarter.app.charts_ahead import ComputingError
from threequarter.app.homework import homework_asked, keep_homework
from threequarter.golf.errors import UserError
from threequarter.language.localize import N_, _
from threequarter.store.results import SessionInfo
from threequarter.store.store import Store
from threequarter.web.page_context import page, store_of
from threequarter.web.security.authorization import AuthorizedRouter
from threequarter.web.security.policy import COACH, need
from threequarter.web.whole_number import whole_number

pages = AuthorizedRouter()


def homework_shown(store: Store, info: SessionInfo) -> dict[str, Any]:
    """The homework for a template. A lesson opens at once: where the chart that set it is still being computed, it comes later."""
    try:
        return {"homework": homework_asked(store, info), "homework_soon": False}
    except ComputingError:
        return {"homework": None, "homework_soon": True}


@pages.get("/sessions/{session_id}/lesson/homework", response_class=HTMLResponse, dependencies=[need(COACH)])
def asked(request: Request, session_id: int) -> HTMLResponse:
    """The homework of the last lesson, fetched once the page stands; nothing where there is none."""
    info = store_of(request).session(session_id)
    return page(request, "lesson/_homework.html", info=info, **homework_shown(store_of(request), info))


@pages.post("/sessions/{session_id}/lesson/homework", dependencies=[need(COACH, N_("noted something"))])
async def answer(request: Request, session_id: int) -> RedirectResponse:
    """Keeps how many balls of each task were inside; an empty field was not done."""
    fields = {name: str(value).strip() for name, value in (await request.form()).items()}
    await run_in_threadpool(_keep, request, session_id, fields)  # a chart is fitted: not in the event loop
    return RedirectResponse(f"/sessions/{session_id}/lesson", status_code=303)


def _keep(request: Request, session_id: int, fields: dict[str, str]) -> None:
    store = store_of(request)
    info = store.session(session_id)
    asked = homework_asked(store, info)
    if asked is None:
        raise UserError(_("There is no homework to answer here, or you already answered it."))
    inside: list[int | None] = []
    for place, task in enumerate(asked.tasks):
        typed = fields.get(f"inside-{place}", "")
        count = whole_number(typed)
        if typed and (count is None or count > task.balls):
            raise UserError(
                _("Write how many of {balls} balls landed in the band, not {typed}.").format(
                    balls=task.balls, typed=repr(typed[:20])
                )
            )
        inside.append(count)
    keep_homework(store, info, asked, inside)
