"""The language of an answer: what was chosen in the footer (a cookie), else what the browser asks for, else English."""

import re
from collections.abc import Collection
from typing import Annotated, Final
from urllib.parse import urlsplit

from fastapi import Form, Request
from fastapi.responses import RedirectResponse
from starlette.requests import HTTPConnection

from threequarter.golf.units import METRES_PER, DistanceUnit
from threequarter.languages import LANGUAGES
from threequarter.web.security.authorization import AuthorizedRouter
from threequarter.web.security.policy import OPEN, need

pages = AuthorizedRouter()
COOKIE: Final = "language"
UNIT_COOKIE: Final = "unit"
A_YEAR_S: Final = 365 * 24 * 3600
MOST_ASKED: Final = 20
REGION: Final = re.compile(r"[A-Za-z]{2}")


def locale_of(connection: HTTPConnection) -> str:
    """The locale to answer a request in."""
    chosen = connection.cookies.get(COOKIE, "")
    return asked_for(connection.headers.get("accept-language", ""), [chosen] if chosen in LANGUAGES else LANGUAGES)


def asked_for(accepted: str, among: Collection[str] = LANGUAGES) -> str:
    """The locale a browser wants most of the languages we have: "fr, de-CH;q=0.8, en;q=0.5" is "de_CH"."""
    wanted: list[tuple[float, str]] = []
    for part in accepted.split(",")[:MOST_ASKED]:
        tag, _, weight = part.partition(";")
        code, _, region = tag.strip().partition("-")
        if code.lower() in among and _weight(weight) > 0:
            known = region.upper() if REGION.fullmatch(region) else ""
            wanted.append((_weight(weight), f"{code.lower()}_{known}" if known else code.lower()))
    return max(wanted, key=lambda pair: pair[0], default=(0.0, "en" if "en" in among else next(iter(among))))[1]


def _weight(text: str) -> float:
    name, _, value = text.strip().partition("=")
    if name.strip() != "q":
        return 1.0
    try:
        return float(value)
    except ValueError:
        return 0.0


@pages.post("/language", dependencies=[need(OPEN)])
def choose(code: Annotated[str, Form()] = "", back: Annotated[str, Form()] = "/") -> RedirectResponse:
    """Keeps the language chosen in this browser and goes back to the page."""
    answer = RedirectResponse(own_page(back), status_code=303)
    if code in LANGUAGES:
        answer.set_cookie(COOKIE, code, max_age=A_YEAR_S, httponly=True, samesite="lax")
    return answer


def distance_of(connection: HTTPConnection) -> DistanceUnit | None:
    """The unit of distance chosen in this browser; None where nobody chose."""
    chosen = connection.cookies.get(UNIT_COOKIE)
    return "m" if chosen == "m" else "yd" if chosen == "yd" else None


@pages.post("/units", dependencies=[need(OPEN)])
def choose_unit(unit: Annotated[str, Form()] = "", back: Annotated[str, Form()] = "/") -> RedirectResponse:
    """Keeps yards or metres for this browser and goes back to the page; players who read in a unit of their own keep it."""
    answer = RedirectResponse(own_page(back), status_code=303)
    if unit in METRES_PER:
        answer.set_cookie(UNIT_COOKIE, unit, max_age=A_YEAR_S, httponly=True, samesite="lax")
    return answer


def own_page(address: str) -> str:
    """A path of ours; the start for anything that leads elsewhere."""
    parts = urlsplit(address.replace("\\", "/"))
    if parts.scheme or parts.netloc or not parts.path.startswith("/") or parts.path.startswith("//"):
        return "/"
    return parts.path + (f"?{parts.query}" if parts.query else "")


def here(request: Request) -> str:
    """The page that is shown, to come back to; the start after a form was sent."""
    if request.method != "GET":
        return "/"
    return request.url.path + (f"?{request.url.query}" if request.url.query else "")
