"""How often something may be tried: counted in the database, so for all servers together and over a restart."""

import datetime
import hashlib
from typing import Final

from sqlalchemy import delete, select

from threequarter.golf.errors import UserError
from threequarter.golf.language import _
from threequarter.store.accounts.tables import TriesRow
from threequarter.store.keeping import now_utc
from threequarter.store.store import Store

WINDOW: Final = datetime.timedelta(minutes=15)
MOST_BY_NAME: Final = 10
"""Passwords tried for one name in a window; the next are not even looked at."""
MOST_BY_ADDRESS: Final = 100
"""Tries from one address in a window: a whole academy may sit behind one."""


class TooOftenError(UserError):
    """Tried too often; says how long to wait. Pages answer 429."""


def count_try(store: Store, kind: str, about: str, most: int) -> None:
    """Counts one more try. Raises TooOftenError where there were `most` already in this window; that one is not counted."""
    with store.writing() as session:
        now, key = now_utc(), _key(kind, about)
        row = session.get(TriesRow, key)
        if row is None or row.since < now - WINDOW or row.since > now + WINDOW:  # a clock that jumped locks nobody out
            session.execute(delete(TriesRow).where(TriesRow.key == key))
            session.add(TriesRow(key=key, since=now, count=1))
            return
        if row.count >= most:
            minutes = max(1, round((row.since + WINDOW - now).total_seconds() / 60))
            raise TooOftenError(_("Too many tries. Wait {minutes} minutes, then try again.").format(minutes=minutes))
        row.count += 1


def forget_tries(store: Store, kind: str, about: str) -> None:
    """After a success the count begins anew."""
    with store.writing() as session:
        session.execute(delete(TriesRow).where(TriesRow.key == _key(kind, about)))


def tries(store: Store, kind: str, about: str) -> int:
    """How often something was tried in its window."""
    with store.reading() as session:
        return session.scalar(select(TriesRow.count).where(TriesRow.key == _key(kind, about))) or 0


def _key(kind: str, about: str) -> str:
    return hashlib.sha256(f"{kind}\0{about}".encode()).hexdigest()
