"""Tasks to look at: how far one is, and what it made."""

from typing import assert_never

from fastapi import Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response

from threequarter.golf.errors import NotThereError
from threequarter.jobs.queue import Jobs
from threequarter.language.localize import _
from threequarter.store.tasks.tasks import Task, Tasks
from threequarter.web.page_context import page, pdf_answer, store_of
from threequarter.web.security.authorization import AuthorizedRouter
from threequarter.web.security.policy import COACH, need

pages = AuthorizedRouter()


@pages.get("/tasks/{task_id}", response_class=HTMLResponse, dependencies=[need(COACH)])
def task_page(request: Request, task_id: int) -> Response:
    """How far a task is; what came in is shown as soon as it is there."""
    task = Tasks(store_of(request)).task(task_id)
    to = (task.result or {}).get("to")
    if to is None:
        return page(request, "tasks/task.html", task=task, says=_says(task))
    if "hx-request" in request.headers:  # the page that waits is left, not filled with another
        return Response(headers={"HX-Redirect": to})
    return RedirectResponse(to, status_code=303)


@pages.get("/tasks/{task_id}/file", dependencies=[need(COACH)])
def task_file(request: Request, task_id: int) -> Response:
    """The print that a task made. Raises NotThereError where there is none, or it was made more than a day ago."""
    made = Tasks(store_of(request)).made(task_id)
    if made is None:
        raise NotThereError(_("Prints stay for a day. Print it again."))
    return pdf_answer(made, "print.pdf")


def begun(request: Request, task_id: int) -> RedirectResponse:
    """Has a task done, and leads to the page that follows it."""
    jobs: Jobs = request.app.state.jobs
    jobs.run_task(task_id)
    return RedirectResponse(f"/tasks/{task_id}", status_code=303)


def _says(task: Task) -> str:
    """What a task is, in words."""
    match task.kind:
        case "import":
            names = [one["name"] for one in task.asked.get("files", ())]
            return _("Reading {names}").format(names=", ".join(names[:3]) + (" …" if len(names) > 3 else ""))
        case "print":
            return _("A card and a page for each, in one print")
        case "backup":
            return _("A backup")
        case kind:
            assert_never(kind)
