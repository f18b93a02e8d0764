"""Whether the file of a database is damaged. SQLite says so where it meets a page that cannot be one, or when it is asked."""

from collections.abc import Iterator
from contextlib import contextmanager

from sqlalchemy import Connection, Engine
from sqlalchemy.exc import DatabaseError, DBAPIError

from threequarter.golf.errors import UserError
from threequarter.golf.message import Message
from threequarter.store.database.sqlite import MALFORMED

NO_TEXT = "could not decode to utf-8"
"""What the driver says of a text that is none any more, with the text, which may be a name."""
DAMAGED = ("malformed", "not a database", "disk image", "corrupt", NO_TEXT)
"""What SQLite says of SQLITE_CORRUPT and SQLITE_NOTADB."""


def says_damage(error: BaseException) -> bool:
    """Whether a failure is the database's word that its file is damaged."""
    reason = str(error.orig if isinstance(error, DBAPIError) else error).casefold()
    return isinstance(error, DatabaseError) and any(word in reason for word in DAMAGED)


def damage_of(connection: Connection, *, thorough: bool = False) -> str | None:
    """What is wrong with the file, None where it is sound. PostgreSQL checks its pages as it reads them: None."""
    if connection.dialect.name != "sqlite":
        return None
    try:
        state = connection.exec_driver_sql(
            "PRAGMA " + ("integrity_check(1)" if thorough else "quick_check(1)")
        ).scalar()
    except DatabaseError as error:
        return reason_of(error)
    return None if state == "ok" else str(state)


def reason_of(error: DBAPIError) -> str:
    """The first line of what the database said, without what it holds."""
    said = str(error.orig).split("\n")[0]
    return MALFORMED if NO_TEXT in said.casefold() else said


@contextmanager
def damage_told(engine: Engine) -> Iterator[None]:
    """Whatever fails inside is told as damage where the file is damaged; else it stays what it is, a fault of ours.

    Raises UserError. A damaged page may come up as nearly anything: a text that is no UTF-8, a row without its parent.
    """
    try:
        yield
    except UserError:
        raise
    except Exception as error:
        state = _state_behind(error, engine)
        if state is None:
            raise
        raise damaged(state) from error


def damage_message(state: str) -> Message:
    """The line for a person, with the cure."""
    return Message("store.the_database_is_damaged_restore", state=state)


def damaged(state: str) -> UserError:
    """The error with that line."""
    return UserError(damage_message(state))


def _state_behind(error: Exception, engine: Engine) -> str | None:
    if isinstance(error, DBAPIError):
        return reason_of(error) if says_damage(error) else None
    if engine.dialect.name != "sqlite":
        return None
    try:
        with engine.connect() as connection:
            return damage_of(connection)
    except DatabaseError as worse:
        return reason_of(worse)
