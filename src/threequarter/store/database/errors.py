"""What went wrong below, in words: a failure of disk, lock or connection becomes one clear line for a person."""

from collections.abc import Iterator
from contextlib import contextmanager

from sqlalchemy.exc import DataError, DBAPIError, OperationalError
from sqlalchemy.exc import TimeoutError as PoolTimeout

from threequarter.golf.errors import NoRoomError, NotNowError, UserError
from threequarter.golf.message import Message


@contextmanager
def translating_errors(place: str) -> Iterator[None]:
    """A failure of disk, lock or connection becomes one clear line; the transaction was taken back."""
    try:
        yield
    except (DBAPIError, PoolTimeout) as error:
        reason = str(error.orig if isinstance(error, DBAPIError) else error).split("\n")[0]
        raise _in_words(error, reason, place) or error from error
    except OverflowError as error:  # a number too large for a column; one that is not of SQLite is a mistake of ours
        if "SQLite" not in str(error):
            raise
        raise _refused(str(error)) from error


def _refused(reason: str) -> UserError:
    return UserError(Message("store.the_database_does_not_take", reason=reason))


def _in_words(error: Exception, reason: str, place: str) -> UserError | None:
    said = reason.casefold()
    if any(word in said for word in ("is full", "no space left", "could not extend")):
        return NoRoomError(Message("store.nothing_was_saved_in_the", place=place))
    lost = isinstance(error, DBAPIError) and error.connection_invalidated
    away = isinstance(error, OperationalError) and _is_of_postgres(error)
    if isinstance(error, PoolTimeout) or "locked" in said or lost or away:
        return NotNowError(Message("store.the_database_is_busy_or", place=place, reason=reason))
    if isinstance(error, DataError):
        return _refused(reason)
    if any(word in said for word in ("readonly", "read-only", "i/o error", "unable to open")):
        return NotNowError(Message("store.nothing_was_saved_in_what", place=place, reason=reason))
    return None


def _is_of_postgres(error: DBAPIError) -> bool:
    return hasattr(error.orig, "sqlstate")
