"""Pages that a phone fills by itself, with a server or without: keys, chart, round view, practice, recheck, what is on the phone."""

from typing import Any, Final

from fastapi import Request
from fastapi.responses import HTMLResponse

from threequarter.chart.next_ball import CHILD_BALLS
from threequarter.golf.swing_length import REACH
from threequarter.language.localize import _
from threequarter.web.page_context import page
from threequarter.web.pages.keys.texts import bucket_texts, engine_texts
from threequarter.web.pages.keys.texts_here import here_texts
from threequarter.web.pages.practice.texts import caller_texts
from threequarter.web.security.authorization import AuthorizedRouter
from threequarter.web.security.policy import OPEN, need

pages = AuthorizedRouter()

USUAL_CLUBS: Final = ("50", "54", "58")
USUAL_SWINGS: Final = tuple(name for name in REACH if name not in ("full", "knee"))
HERE_ONLY: Final = "camera=(), microphone=(), geolocation=(self)"
"""The pages that may ask where the phone is, and only when their user asks them to measure so."""
TEMPLATES_HERE: Final = {
    "/bucket/here": "keys/keys.html",
    "/bucket/chart": "keys/chart_here.html",
    "/bucket/round": "keys/round_here.html",
    "/bucket/practice": "keys/practice_here.html",
    "/bucket/recheck": "keys/recheck_here.html",
    "/bucket/copy": "keys/copy_here.html",
}


def usual_swings() -> list[str]:
    """The swing lengths that are offered where nobody planned others."""
    return [_(name) for name in USUAL_SWINGS]


def values_here() -> dict[str, Any]:
    """What these pages are filled with before a phone fills in the rest: they are nobody's."""
    return {
        "info": {"id": 0, "player": "", "title": _("Hit balls"), "unit": "yd"},
        "reads": "yd",
        "clubs": [],
        "swings": [],
        "others": [],
        "keys": "",
        "child_balls": CHILD_BALLS,
        "texts": caller_texts() | bucket_texts() | here_texts(),
        "engine_texts": engine_texts(),
    }


@pages.get("/bucket/here", response_class=HTMLResponse, dependencies=[need(OPEN)])
def keys_here(request: Request) -> HTMLResponse:
    """The keys of a bucket that a phone began by itself."""
    shown = _filled(request, "/bucket/here")
    shown.headers["permissions-policy"] = HERE_ONLY
    return shown


@pages.get("/bucket/chart", response_class=HTMLResponse, dependencies=[need(OPEN)])
def chart_here(request: Request) -> HTMLResponse:
    """The chart of a bucket without a server."""
    return _filled(request, "/bucket/chart")


@pages.get("/bucket/round", response_class=HTMLResponse, dependencies=[need(OPEN)])
def round_here(request: Request) -> HTMLResponse:
    """What each shot goes, without a server."""
    return _filled(request, "/bucket/round")


@pages.get("/bucket/practice", response_class=HTMLResponse, dependencies=[need(OPEN)])
def practice_here(request: Request) -> HTMLResponse:
    """Called numbers, a ladder or three in a row, without a server."""
    return _filled(request, "/bucket/practice")


@pages.get("/bucket/recheck", response_class=HTMLResponse, dependencies=[need(OPEN)])
def recheck_here(request: Request) -> HTMLResponse:
    """Whether earlier buckets on this phone still hold."""
    return _filled(request, "/bucket/recheck")


@pages.get("/bucket/copy", response_class=HTMLResponse, dependencies=[need(OPEN)])
def copy_here(request: Request) -> HTMLResponse:
    """What is on the phone: saved, shared, brought in, erased."""
    return _filled(request, "/bucket/copy")


def _filled(request: Request, path: str) -> HTMLResponse:
    return page(request, TEMPLATES_HERE[path], **values_here())
