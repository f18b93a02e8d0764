"""The four places that every page leads to, which of them a page belongs to, and what whoever asks may open."""

import re
from dataclasses import dataclass
from typing import Final

from starlette.requests import HTTPConnection

from threequarter.language.localize import N_
from threequarter.web.security.policy import may


@dataclass(frozen=True, slots=True)
class Place:
    """A place: its sign's name, its address, how it is called, and which pages belong to it."""

    key: str
    address: str
    title: str
    pages: re.Pattern[str]


PLACES: Final = (
    Place("today", "/", N_("Today"), re.compile(r"/$|/(lesson|bucket|clinics?|plan|game)\b|/sessions/\d+/lesson\b")),
    Place("players", "/players", N_("Players"), re.compile(r"/(players|sessions|clips)\b")),
    Place("bring-in", "/bring-in", N_("Bring in"), re.compile(r"/(bring-in|looks?|imports)\b")),
    Place(
        "kept",
        "/kept",
        N_("Kept"),
        re.compile(r"/(kept|history|safekeeping|ways-out|phones|tasks|operation|films-ending)\b"),
    ),
)
WITHOUT: Final = re.compile(r"/(sign-in|invitation|shared|pair|trust)\b|/sessions/\d+/round$")
"""Pages that lead nowhere else: the ways in, what a link shows, and the distances read between two shots."""


def places(request: HTTPConnection) -> list[tuple[Place, str]]:
    """The places whoever asks may open, each with its `aria-current`: "page", "true" for a page within it, or ""."""
    path = request.url.path
    if WITHOUT.match(path) or not may("GET /", request):
        return []
    at = next((place for place in PLACES if place.pages.match(path)), None)
    return [
        (place, "" if place is not at else "page" if path == place.address else "true")
        for place in PLACES
        if may(f"GET {place.address}", request)
    ]
