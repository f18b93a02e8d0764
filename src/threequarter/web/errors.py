"""What is said when something goes wrong: on pages as a page, in JSON as JSON; with the code that finds the log
line."""

import errno
import logging
from typing import Any, Final

from fastapi import FastAPI, Request
from fastapi.exceptions import RequestValidationError
from fastapi.responses import Response
from starlette.exceptions import HTTPException

from threequarter.app.charts_ahead import ComputingError
from threequarter.golf.errors import UserError
from threequarter.language import say_error
from threequarter.language.localize import _
from threequarter.web.operation.logs import REQUEST
from threequarter.web.page_context import page, status_of
from threequarter.web.problem import problem, wants_json

RETRY_AFTER_S: Final = "2"
ASK_AGAIN_S: Final = "1"
FULL: Final = (errno.ENOSPC, errno.EDQUOT)
BROKEN: Final = (errno.EIO, errno.EROFS)
LOG: Final = logging.getLogger("threequarter.web")


def add_errors(app: FastAPI) -> None:
    """Registers what is answered to errors."""
    app.add_exception_handler(UserError, _user_error)
    app.add_exception_handler(OSError, _disk_error)
    app.add_exception_handler(HTTPException, _http_error)
    app.add_exception_handler(RequestValidationError, _not_understood)
    app.add_exception_handler(Exception, _bug)


def error_answer(
    request: Request, status: int, title: str, says: str, *, as_json: bool = False, **more: Any
) -> Response:
    """An error as a page, or as JSON for those who asked for that."""
    if as_json or wants_json(request.scope["path"], request.headers):
        response: Response = problem(status, says, **more)
    else:
        response = page(request, "shared/error.html", status, title=title, says=says, code=REQUEST.get())
    if status == 503:
        response.headers["retry-after"] = RETRY_AFTER_S
    return response


async def _user_error(request: Request, error: Exception) -> Response:
    assert isinstance(error, UserError)
    if isinstance(error, ComputingError):
        return _computing(request, error)
    status = status_of(error)
    if status >= 500:
        LOG.error("not saved", exc_info=error)
    return error_answer(request, status, _("That did not work"), say_error(error))


def _computing(request: Request, error: ComputingError) -> Response:
    """A page that asks for itself again until it is there."""
    if "text/html" not in request.headers.get("accept", ""):
        return error_answer(request, 503, _("That did not work"), say_error(error), as_json=True)
    answer = page(request, "shared/computing.html", 202, says=say_error(error))
    answer.headers["refresh"] = ASK_AGAIN_S
    return answer


async def _disk_error(request: Request, error: Exception) -> Response:
    """A disk that is full or broken is told as such; any other failure of the system is a fault of ours."""
    number = error.errno if isinstance(error, OSError) else None
    if number in FULL:
        LOG.error("the disk is full", exc_info=error)
        return error_answer(
            request, 507, _("That did not work"), _("Nothing was saved: the disk is full. Free some space first.")
        )
    if number in BROKEN:
        LOG.error("the disk reports a fault", exc_info=error)
        says = _("Nothing was saved: the disk reports a fault. Try again; if it stays so, have the disk checked.")
        return error_answer(request, 503, _("That did not work"), says)
    return await _bug(request, error)


async def _http_error(request: Request, error: Exception) -> Response:
    status = error.status_code if isinstance(error, HTTPException) else 500
    says = _("There is no such page.") if status == 404 else _("That cannot be done here.")
    return error_answer(request, status, _("Not found") if status == 404 else _("Not possible"), says)


async def _not_understood(request: Request, error: Exception) -> Response:
    """An address or a form that cannot be what it says: which field, and what it should be."""
    assert isinstance(error, RequestValidationError)
    wrong = [{"field": ".".join(str(part) for part in one["loc"]), "says": one["msg"]} for one in error.errors()[:20]]
    says = "; ".join(f"{one['field']}: {one['says']}" for one in wrong[:3])
    return error_answer(
        request,
        422,
        _("Not possible"),
        _("We could not read this: {fields}. Go back and correct it.").format(fields=says[:300]),
        errors=wrong,
    )


async def _bug(request: Request, error: Exception) -> Response:
    LOG.error("a fault of ours", exc_info=error)
    says = _("Something broke on our side; nothing you entered is lost. Look for {code} in the log.").format(
        code=REQUEST.get()
    )
    return error_answer(request, 500, _("Our mistake"), says)
