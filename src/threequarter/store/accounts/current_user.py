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
class CurrentUser:
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


NOBODY: Final = CurrentUser(account_id=0, name="", role="nobody")
_CURRENT: ContextVar[CurrentUser | None] = ContextVar("current_user", default=None)


def current_user() -> CurrentUser | None:
    """Who is acting; None is the program itself, which sees everything: a laptop without accounts, a command, a worker."""
    return _CURRENT.get()


@contextmanager
def as_user(user: CurrentUser | None) -> Iterator[None]:
    """Everything within sees and makes only what is theirs."""
    token = _CURRENT.set(user)
    try:
        yield
    finally:
        _CURRENT.reset(token)


def current_account_id() -> int:
    """The account that is acting, 0 for the program itself."""
    user = current_user()
    return user.account_id if user is not None else 0


def current_coach_id() -> int:
    """The room that what is made now belongs to."""
    user = current_user()
    return user.room if user is not None and user.room is not None else NOBODYS
