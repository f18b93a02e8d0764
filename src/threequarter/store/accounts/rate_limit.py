"""How often something may be tried: counted in the database, so for all servers together and over a restart."""

import datetime
import hashlib
from typing import Final

from sqlalchemy import delete, select

from threequarter.golf.errors import UserError
from threequarter.golf.message import Message
from threequarter.store.accounts.tables import TriesRow
from threequarter.store.imports.save_import import now_utc
from threequarter.store.store import Store

WINDOW: Final = datetime.timedelta(minutes=15)
MOST_BY_NAME: Final = 10
"""Passwords tried for one name from one address in a window; the next are not even looked at."""
MOST_BY_NAME_ANYWHERE: Final = 100
"""Passwords tried for one name from everywhere: whoever guesses from one address locks out nobody but that address."""
MOST_BY_ADDRESS: Final = 100
"""Tries from one address in a window: a whole academy may sit behind one."""
MOST_CODES: Final = 5
"""Codes of an app tried for one account in a window; three of a million fit at a time."""
A_DAY: Final = datetime.timedelta(days=1)
MOST_CODES_A_DAY: Final = 30
"""So that whoever knows the password needs years of tries; the person themselves comes in by a recovery code."""


class TooOftenError(UserError):
    """Tried too often; says how long to wait. Pages answer 429."""


def count_try(store: Store, kind: str, about: str, most: int, window: datetime.timedelta = WINDOW) -> None:
    """Counts one more try. Raises TooOftenError where there were `most` already in this window; that one is not counted."""
    with store.writing() as session:
        now, key = now_utc(), _key(kind, about)
        row = session.get(TriesRow, key)
        if row is None or row.since < now - window or row.since > now + window:  # a clock that jumped locks nobody out
            session.execute(delete(TriesRow).where(TriesRow.key == key))
            session.add(TriesRow(key=key, since=now, count=1))
            return
        if row.count >= most:
            minutes = max(1, round((row.since + window - now).total_seconds() / 60))
            raise TooOftenError(Message("store.too_many_tries_wait_minutes", minutes=minutes))
        row.count += 1


def forget_tries(store: Store, kind: str, about: str) -> None:
    """After a success the count begins anew."""
    with store.writing() as session:
        session.execute(delete(TriesRow).where(TriesRow.key == _key(kind, about)))


def count_code(store: Store, account_id: int, address: str, *, recovery: bool = False) -> None:
    """Counts a code that is tried as the second step. Recovery codes are too long to guess: they count by address only.

    Raises TooOftenError.
    """
    count_try(store, "second step from", address, MOST_BY_ADDRESS)
    if not recovery:
        count_try(store, "second step", str(account_id), MOST_CODES)
        count_try(store, "second step of a day", str(account_id), MOST_CODES_A_DAY, A_DAY)


def forget_codes(store: Store, account_id: int) -> None:
    """After a code that fitted the counts of an account begin anew."""
    for kind in ("second step", "second step of a day"):
        forget_tries(store, kind, str(account_id))


def tries(store: Store, kind: str, about: str) -> int:
    """How often something was tried in its window."""
    with store.reading() as session:
        return session.scalar(select(TriesRow.count).where(TriesRow.key == _key(kind, about))) or 0


def _key(kind: str, about: str) -> str:
    return hashlib.sha256(f"{kind}\0{about}".encode()).hexdigest()
