"""Who is acting: the laptop itself (nobody is named), or an account with the part of the data that is theirs."""

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass
from typing import Final, Literal

Role = Literal["head", "coach", "player", "guardian", "link", "nobody"]
ROLES: Final = ("head", "coach", "player", "guardian")
"""What an account can be; "link" is who came by a share link, "nobody" who is not signed in."""
NOBODYS: Final = 0
"""The room of players who belong to no coach: everybody on a laptop without accounts."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Who:
    """Who asks, and what is theirs.

    `room` is the coach whose players they work with: a coach's own, for a head the one that is open. Without a room it is the
    `players` named, and of these only `sessions` where a link shows no more.
    """

    account_id: int
    name: str
    role: Role
    room: int | None = None
    players: tuple[int, ...] = ()
    sessions: tuple[int, ...] | None = None

    @property
    def coaches(self) -> bool:
        """Whether they may do what a coach does in their room."""
        return self.room is not None


NOBODY: Final = Who(account_id=0, name="", role="nobody")
_ACTING: ContextVar[Who | None] = ContextVar("acting", default=None)


def acting() -> Who | None:
    """Who is acting; None is the program itself, which sees everything: a laptop without accounts, a command, a worker."""
    return _ACTING.get()


@contextmanager
def as_who(who: Who | None) -> Iterator[None]:
    """Everything within sees and makes only what is theirs."""
    token = _ACTING.set(who)
    try:
        yield
    finally:
        _ACTING.reset(token)


def account_now() -> int:
    """The account that is acting, 0 for the program itself."""
    who = acting()
    return who.account_id if who is not None else 0


def room_now() -> int:
    """The room that what is made now belongs to."""
    who = acting()
    return who.room if who is not None and who.room is not None else NOBODYS
