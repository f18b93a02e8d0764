"""The one shape of an error in JSON (RFC 9457), whatever part of the server says it."""

from collections.abc import Mapping
from http import HTTPStatus
from typing import Any, Final

from fastapi.responses import JSONResponse

from threequarter.web.operation.logs import REQUEST

MEDIA_TYPE: Final = "application/problem+json"


def problem(status: int, detail: str, **more: Any) -> JSONResponse:
    """An answer that says in `detail` what is wrong and what to do; `code` finds the line in the log."""
    told = {
        "type": "about:blank",
        "title": HTTPStatus(status).phrase,
        "status": status,
        "detail": detail,
        "code": REQUEST.get(),
    }
    answer = JSONResponse(told | more, status_code=status, media_type=MEDIA_TYPE)
    answer.headers["cache-control"] = "no-store"
    return answer


def wants_json(path: str, headers: Mapping[str, str]) -> bool:
    """Whether an error is told as JSON: to scripts and to what a page asks in the background."""
    accepted = headers.get("accept", "")
    return (
        path.startswith("/api/")
        or path.endswith(".json")
        or ("json" in accepted and "text/html" not in accepted)
        or headers.get("content-type", "").startswith("application/json")
    )
