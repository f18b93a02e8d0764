"""Who may do what. Each route holds its rule beside it, `dependencies=[need(COACH, …)]`; one without is an error.

The things named in an address (a session, a clip, a player) are looked up as whoever asks sees them; what they do not
see answers as if it were not there. Beyond that the level says who may do it at all.
"""

from dataclasses import dataclass
from enum import StrEnum
from typing import Any, Final

from fastapi import Depends
from starlette.requests import HTTPConnection

from threequarter.store.accounts.current_user import current_user
from threequarter.web.security.credentials import by_phone


class Level(StrEnum):
    """Who may."""

    OPEN = "open"
    """Anybody: the way in, the looks of the pages."""
    SIGNED_IN = "signed in"
    """Every account, each for what is theirs: lists and pages that name nothing."""
    SEE = "see"
    """Every account that sees the thing."""
    TYPE = "type"
    """Every account that sees the thing: balls, films, practice."""
    COACH = "coach"
    """The coach whose room it is, and a head who has the room open."""
    HEAD = "head"
    """Heads."""
    MYSELF = "myself"
    """The person at the browser, for their own account; no script."""
    LINK = "link"
    """Whoever has a link that holds."""
    NEVER = "never"
    """Nobody, once there are accounts: a laptop alone, or the command line."""


@dataclass(frozen=True, slots=True)
class Need:
    """What a route asks for; `says` is how the record calls it, "" for what is not recorded."""

    level: Level
    says: str = ""
    here: bool = False
    """On a laptop without accounts only at its own screen, not on a paired phone."""
    typing: bool = False
    """On a laptop without accounts also for a phone that came over plain http: to type, and to read back what it typed."""

    async def __call__(self) -> None:
        """Nothing more: the route has asked its rule before (see `AuthorizedRoute`)."""


OPEN, SIGNED_IN, SEE, TYPE, COACH, HEAD, MYSELF, LINK, NEVER = Level

RULES: Final[dict[str, Need]] = {}
"""The rule of each route ("POST /clips"), gathered from the routes as their modules are loaded."""


def need(level: Level, says: str = "", *, here: bool = False, typing: bool = False) -> Any:
    """The rule beside a route: `dependencies=[need(COACH, N_("kept a table"))]`."""
    return Depends(Need(level, says, here, typing))


def allows(level: Level, *, role: str, coaches: bool, script: bool) -> bool:
    """Whether somebody may do what a level is for, of things they see. `script` is a token instead of a browser."""
    if level is OPEN:
        return True
    if role == "link":
        return level is LINK
    if role == "nobody" or level in (NEVER, LINK):
        return False
    if level is MYSELF:
        return not script
    if level is HEAD:
        return role == "head"
    return coaches if level is COACH else True


def may(route: str, request: HTTPConnection | None = None) -> bool:
    """Whether whoever acts is let through on a route ("POST /clips"), of things they see: pages offer nothing else. On
    a laptop without accounts everything is offered, except, told by the `request`, what a paired phone is not let in to.
    Raises KeyError for a route that does not stand in the policy."""
    rule, who = RULES[route], current_user()
    if request is not None and getattr(request.state, "types_only", False):
        return rule.typing or rule.level is OPEN
    if who is not None:
        return allows(rule.level, role=who.role, coaches=who.coaches, script=False)
    return request is None or not (rule.here and by_phone(request))
