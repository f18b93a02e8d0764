"""The log: one JSON object a line, on standard error. It holds ids, routes and times, never what a user typed.

A path can hold a player's name, so the route's pattern is logged instead; the message of an exception can too, so only
its type and the places in the code are.
"""

import json
import logging
import sys
import traceback
from contextvars import ContextVar
from datetime import UTC, datetime
from typing import Any, Final

REQUEST: Final[ContextVar[str]] = ContextVar("request", default="")
"""The id of the request being answered, also in the answer's X-Request-ID and on the error page."""
FIELDS: Final = ("route", "method", "status", "ms", "clip", "job", "event", "who")
ROOT: Final = "threequarter"


class JsonLines(logging.Formatter):
    """A record as one line of JSON; line breaks and control characters are escaped by it."""

    def format(self, record: logging.LogRecord) -> str:
        line: dict[str, Any] = {
            "at": datetime.fromtimestamp(record.created, UTC).isoformat(timespec="milliseconds"),
            "level": record.levelname.lower(),
            "from": record.name,
            "says": record.getMessage(),
        }
        if request := getattr(record, "request", "") or REQUEST.get():
            line["request"] = request
        line |= {name: getattr(record, name) for name in FIELDS if hasattr(record, name)}
        if record.exc_info and record.exc_info[1] is not None:
            line |= where(record.exc_info[1])
        return json.dumps(line, ensure_ascii=True, default=str)


def where(error: BaseException) -> dict[str, Any]:
    """An exception without its words: its type, and the places from the outside in."""
    frames = traceback.extract_tb(error.__traceback__)
    return {"error": type(error).__name__, "places": [f"{f.filename}:{f.lineno} {f.name}" for f in frames][-12:]}


def log_to_stderr(level: int | str = logging.WARNING) -> None:
    """Sends the product's log to standard error, a line of JSON a record; asked twice it changes only the level."""
    root = logging.getLogger(ROOT)
    root.setLevel(level)
    root.propagate = False
    if not root.handlers:
        handler = logging.StreamHandler(sys.stderr)
        handler.setFormatter(JsonLines())
        root.addHandler(handler)
