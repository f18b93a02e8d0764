"""The head of a player on every page of theirs: who, last day, due or not, the one button, and the places within."""

import datetime
from dataclasses import dataclass
from typing import Final
from urllib.parse import quote

from threequarter.demo import PLAYER, SAID, TITLE
from threequarter.golf.units import DistanceUnit
from threequarter.language.localize import N_, _, day
from threequarter.paper.report import RECHECK_WEEKS
from threequarter.store.imports.save_import import now_utc
from threequarter.store.results import SessionInfo
from threequarter.store.store import Store

DUE: Final = datetime.timedelta(weeks=RECHECK_WEEKS)
WITHIN: Final = (
    ("chart", "", N_("Chart")),
    ("swings", "/swings", N_("Swings")),
    ("days", "/days", N_("Days")),
    ("practise", "/practise", N_("Practise")),
    ("course", "/course", N_("Course")),
    ("about", "/about", N_("About")),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Head:
    """What the head shows: `sessions` newest first, `enough` where the standing chart is good enough (then the card is the next step),
    `running` the session of today that balls go on into."""

    name: str
    sessions: tuple[SessionInfo, ...]
    unit: DistanceUnit
    enough: bool = False

    @property
    def address(self) -> str:
        """Where the player's pages begin."""
        return f"/players/{quote(self.name, safe='')}"

    @property
    def newest(self) -> int | None:
        """The newest day."""
        return self.sessions[0].id if self.sessions else None

    @property
    def running(self) -> int | None:
        """The newest day where it is today's."""
        first = self.sessions[0] if self.sessions else None
        return first.id if first and first.held_on == now_utc().date() else None

    @property
    def last(self) -> str:
        """The newest day in words."""
        return day(self.sessions[0].held_on) if self.sessions else ""

    @property
    def balls(self) -> int:
        """All balls."""
        return sum(one.balls for one in self.sessions)

    @property
    def due(self) -> bool:
        """Whether a recheck is due."""
        return bool(self.sessions) and now_utc().date() - self.sessions[0].held_on > DUE

    @property
    def invented(self) -> str:
        """That this is the demo's player, where it is."""
        demo = self.name == PLAYER and any(one.title.startswith(TITLE) for one in self.sessions)
        return _(SAID) if demo else ""

    @property
    def within(self) -> tuple[tuple[str, str, str], ...]:
        """The places of a player: key, address, title."""
        return tuple((key, self.address + end, title) for key, end, title in WITHIN)


def head_of(store: Store, player: str, unit: DistanceUnit, *, enough: bool = False) -> Head:
    """The head of a player's pages."""
    return Head(name=player, sessions=tuple(newest_first(store, player)), unit=unit, enough=enough)


def newest_first(store: Store, player: str) -> list[SessionInfo]:
    """The days of a player, the newest first."""
    return sorted(store.sessions([player]), key=lambda one: (one.held_on, one.made_at, one.id), reverse=True)
