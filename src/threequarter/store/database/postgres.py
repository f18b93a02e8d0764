"""Opening a PostgreSQL database: only one that keeps every commit, writes one at a time, reads on one snapshot."""

from functools import partial
from importlib.util import find_spec
from typing import Any, Final

from sqlalchemy import URL, Connection, Engine, create_engine, event, make_url
from sqlalchemy.exc import ArgumentError, OperationalError

from threequarter.golf.errors import UserError
from threequarter.golf.message import Message
from threequarter.store.database.texts import clean_texts

LEAST: Final = 140_000
"""PostgreSQL 14."""
DURABLE: Final = ("on", "remote_apply")
"""Values of synchronous_commit under which a commit that was answered is on the disk of this server."""
PATIENCE_MS: Final = 15_000
MIGRATION_PATIENCE_MS: Final = 600_000
IDLE_MS: Final = 60_000
"""A program that stops in the middle of an act loses it after this long, so that it does not stop the others."""
WRITE_LOCK: Final = 0x3_4_54_45_45  # any number, the same in every version
SCHEMES: Final = ("postgresql", "postgres", "postgresql+psycopg")


def parse(url: str) -> URL:
    """A database URL as the driver wants it. Raises UserError for one that is none of PostgreSQL."""
    try:
        made = make_url(url.strip())
    except (ArgumentError, ValueError):
        made = None
    if made is None or made.drivername not in SCHEMES or not made.database:
        raise UserError(Message("store.the_database_url_is_not"))
    return made.set(drivername="postgresql+psycopg")


def shown(url: URL) -> str:
    """A URL to read: host and database, no password."""
    return url.set(drivername="postgresql").render_as_string(hide_password=True)


def open_server(url: URL, *, connections: int = 5, patience_ms: int | None = None) -> Engine:
    """An engine on a PostgreSQL database, looked at first. A lock is waited for `patience_ms` (0: as long as it takes).

    Raises UserError where the extra is missing, the server cannot be reached or does not let us in, is older than 14,
    does not keep UTF-8, or may lose commits.
    """
    if find_spec("psycopg") is None:
        raise UserError(Message("store.postgresql_needs_the_academy_extra"))
    engine = create_engine(
        url.update_query_dict({"application_name": "threequarter"} | _waits(url)),
        isolation_level="READ COMMITTED",
        pool_size=connections,
        max_overflow=3 * connections,
        pool_pre_ping=True,
        pool_timeout=PATIENCE_MS / 1000,
    )
    event.listen(engine, "connect", partial(_prepare, PATIENCE_MS if patience_ms is None else patience_ms))
    event.listen(engine, "begin", _begin)
    event.listen(engine, "before_cursor_execute", clean_texts, retval=True)
    try:
        with engine.connect() as connection:
            _look(connection, url)
    except OperationalError as error:
        engine.dispose()
        raise UserError(_why(url, str(error.orig))) from error
    except BaseException:
        engine.dispose()
        raise
    return engine


def _waits(url: URL) -> dict[str, str]:
    """A server that is gone is noticed in seconds, also in the middle of an act."""
    usual = {"connect_timeout": "5", "keepalives_idle": "10", "keepalives_interval": "5", "keepalives_count": "3"}
    return {name: value for name, value in usual.items() if name not in url.query}


def _prepare(patience_ms: int, connection: Any, _record: Any) -> None:
    with connection.cursor() as cursor:
        cursor.execute(
            f"SET lock_timeout = {patience_ms}; SET idle_in_transaction_session_timeout = {IDLE_MS}; "
            "SET client_min_messages = warning; SET timezone = 'UTC'"
        )
    connection.commit()


def _begin(connection: Connection) -> None:
    """One act at a time, as on SQLite: the lock is waited for before the first look, so that what is seen still holds."""
    if connection.get_execution_options().get("write", False):
        connection.exec_driver_sql(f"SELECT pg_advisory_xact_lock({WRITE_LOCK})")


def reading_options() -> dict[str, Any]:
    """How a transaction that only reads is run: on one snapshot, as on SQLite."""
    return {"isolation_level": "REPEATABLE READ", "postgresql_readonly": True}


def wait_longer(connection: Connection) -> None:
    """A migration may take minutes; another server waits for it, and acts wait too."""
    connection.exec_driver_sql(f"SET LOCAL lock_timeout = {MIGRATION_PATIENCE_MS}")
    connection.exec_driver_sql("SET LOCAL idle_in_transaction_session_timeout = 0")
    connection.exec_driver_sql(f"SELECT pg_advisory_xact_lock({WRITE_LOCK})")


def _look(connection: Connection, url: URL) -> None:
    names = ("server_version_num", "server_encoding", "synchronous_commit", "fsync", "server_version")
    asked = ", ".join(f"current_setting('{name}')" for name in names)
    number, encoding, commits, fsync, version = connection.exec_driver_sql(f"SELECT {asked}").one()
    if int(number) < LEAST:
        raise UserError(Message("store.postgresql_is_too_old_14", version=version.split()[0], url=shown(url)))
    if encoding != "UTF8":
        raise UserError(Message("store.the_database_keeps_not_utf", name=url.database, encoding=encoding))
    if fsync != "on" or commits not in DURABLE:
        raise UserError(Message("store.postgresql_at_may_lose_what", url=shown(url), fsync=fsync, commits=commits))


def _why(url: URL, reason: str) -> Message:
    """Why there is no connection, and the cure, in one line."""
    said = reason.casefold()
    place = shown(url)
    if "password" in said or "no pg_hba.conf entry" in said or "authentication failed" in said:
        code = "store.postgresql_at_does_not_let"
    elif "does not exist" in said and "role" in said:
        code = "store.postgresql_at_knows_no_user"
    elif "does not exist" in said:
        code = "store.postgresql_at_has_no_database"
    elif "too many" in said or "remaining connection slots" in said:
        code = "store.postgresql_at_has_no_free"
    else:
        reason = " ".join(reason.split("\n")[0].split())
        code = "store.postgresql_at_cannot_be_reached"
    return Message(code, url=place, user=url.username or "", name=url.database, reason=reason)
