"""Around everything: each request gets an id, a log line and its place in the figures."""

import logging
import secrets
import time
from typing import Any, Final

from starlette.datastructures import Headers
from starlette.responses import PlainTextResponse, Response

from threequarter.golf.errors import UserError
from threequarter.language import say_error
from threequarter.web.operation.figures import Figures
from threequarter.web.operation.logs import REQUEST
from threequarter.web.page_context import status_of
from threequarter.web.problem import problem, wants_json
from threequarter.web.security.request_guard import HEADERS, App, Message, Receive, Scope, Send

LOG: Final = logging.getLogger("threequarter.requests")
RETRY_AFTER_S: Final = b"2"
METHODS: Final = frozenset({"GET", "HEAD", "POST", "PUT", "PATCH", "DELETE", "OPTIONS"})


class Watch:
    """Wraps the guarded app. The id is always made here: one that a client sends could be anything."""

    def __init__(self, app: App, figures: Figures) -> None:
        self.app, self.figures = app, figures

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        request, begun, status, answered = secrets.token_hex(4), time.perf_counter(), 500, False
        token = REQUEST.set(request)
        scope.setdefault("state", {})["request_id"] = request

        async def sending(message: Message) -> None:
            nonlocal status, answered
            if message["type"] == "http.response.start":
                status, answered = message["status"], True
                message["headers"] = [*message["headers"], (b"x-request-id", request.encode())]
                if status == 503 and all(name.lower() != b"retry-after" for name, _value in message["headers"]):
                    message["headers"].append((b"retry-after", RETRY_AFTER_S))
            await send(message)

        try:
            await self.app(scope, receive, sending)
        except UserError as error:  # from before the app's own answers to errors: the database is away, say
            if not answered:
                await _tell(error, scope, sending)
        except Exception:
            if not answered:
                raise
            # told and logged already, without its words; the server program would print those, names and all
        finally:
            took = time.perf_counter() - begun
            method = scope["method"] if scope["method"] in METHODS else "other"
            self.figures.answered(_route(scope), method, status, took)
            LOG.log(
                logging.WARNING if status >= 500 else logging.INFO,
                "answered",
                extra={"route": _route(scope), "method": method, "status": status, "ms": round(took * 1000, 1)},
            )
            REQUEST.reset(token)


async def _tell(error: UserError, scope: Scope, send: Send) -> None:
    status, words = status_of(error), say_error(error)
    LOG.error("not answered", exc_info=error)
    if wants_json(scope["path"], Headers(scope=scope)):
        answer: Response = problem(status, words)
    else:
        answer = PlainTextResponse(words, status_code=status)
    for name, value in HEADERS:
        answer.headers[name.decode()] = value.decode()

    async def nothing() -> Message:
        return {"type": "http.disconnect"}

    await answer(scope, nothing, send)


def _route(scope: Scope) -> str:
    """The pattern of the route that answered; a path as asked is never taken, it may hold a name."""
    route: Any = scope.get("route")
    if route is not None:
        return str(getattr(route, "path", "?"))
    return "/static" if scope["path"].startswith("/static/") else "none"
