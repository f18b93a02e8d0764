"""Opening the database: SQLite in WAL mode with every commit on the disk, asserted on every connection; or PostgreSQL by URL."""

import os
import time
from collections.abc import Callable, Iterable, Iterator
from contextlib import AbstractContextManager, contextmanager, nullcontext
from pathlib import Path
from typing import Any, Final

from alembic import command
from alembic.config import Config
from alembic.script import ScriptDirectory
from sqlalchemy import URL, Connection, Engine, Table, create_engine, event, func, inspect, select, text
from sqlalchemy.exc import DatabaseError

from threequarter.golf.errors import UserError
from threequarter.golf.message import Message
from threequarter.store.database import postgres
from threequarter.store.database.soundness import damage_message, reason_of, says_damage
from threequarter.store.database.sqlite import connection_class, library
from threequarter.store.database.texts import clean_texts

FILE_NAME: Final = "threequarter.db"
URL_VARIABLE: Final = "THREEQUARTER_DATABASE_URL"
LEAST_SQLITE: Final = (3, 51, 3)
"""Older ones can lose commits in WAL mode with two connections; 3.52.0 was withdrawn."""
BUSY_MS: Final = 15_000
PRAGMAS: Final[dict[str, int | str]] = {
    "busy_timeout": BUSY_MS,
    "journal_mode": "wal",
    "synchronous": 2,
    "foreign_keys": 1,
    "secure_delete": 1,
}
"""What holds on every connection; `synchronous` 2 is FULL. busy_timeout first: the others may have to wait."""


def url_from_environment() -> str | None:
    """The URL of an academy's database, None where the data are in a file of the data folder."""
    return os.environ.get(URL_VARIABLE, "").strip() or None


def open_database(
    data_dir: Path, url: str | None = None, *, bring_forward: Callable[[Engine], object] | None = None
) -> Engine:
    """The engine of a data folder, or of a PostgreSQL database by URL, its schema brought up to date.

    Raises UserError where the folder or the database cannot be used.
    """
    try:
        data_dir.mkdir(parents=True, exist_ok=True, mode=0o700)  # names of players, children among them
    except OSError as error:
        raise UserError(Message("store.the_data_folder_cannot_be", data_dir=data_dir, why=error.strerror)) from error
    engine = postgres.open_server(postgres.parse(url)) if url else open_file(data_dir / FILE_NAME)
    try:
        (bring_forward or upgrade)(engine)
    except DatabaseError as error:
        engine.dispose()
        raise UserError(_cannot_open(data_dir, url, error)) from error
    except BaseException:
        engine.dispose()
        raise
    return engine


def _cannot_open(data_dir: Path, url: str | None, error: DatabaseError) -> Message:
    if says_damage(error):
        return damage_message(reason_of(error))
    if url:
        reason = reason_of(error)
        return Message("store.the_database_at_cannot_be", url=postgres.shown(postgres.parse(url)), reason=reason)
    return Message("store.the_database_in_cannot_be", folder=data_dir, reason=error.orig, file=FILE_NAME)


def open_file(path: Path, *, begin: bool = True) -> Engine:
    """An engine on a database file, its connections prepared; without `begin` its user begins transactions in a way of its own.

    Raises UserError for a SQLite that is not safe.
    """
    sqlite = library()

    if not safe_version(sqlite.sqlite_version_info):
        raise UserError(Message("store.sqlite_is_not_safe_here", sqlite_version=sqlite.sqlite_version))
    engine = create_engine(
        URL.create("sqlite", database=str(path.absolute())),
        module=sqlite,
        pool_size=8,
        connect_args={"factory": connection_class()},
    )
    event.listen(engine, "connect", _prepare)
    if begin:
        event.listen(engine, "begin", _begin)
    event.listen(engine, "before_cursor_execute", clean_texts, retval=True)
    return engine


def is_postgres(engine: Engine) -> bool:
    """Whether this is the academy's database."""
    return engine.dialect.name == "postgresql"


def for_reading(engine: Engine) -> Engine:
    """The engine for transactions that only read, each on one snapshot."""
    return engine.execution_options(**postgres.reading_options()) if is_postgres(engine) else engine


def for_writing(engine: Engine) -> Engine:
    """The engine for acts: each holds the one write lock from its start, on either database."""
    return engine.execution_options(write=True)


def set_counters(connection: Connection, tables: Iterable[Table]) -> None:
    """After rows were put in with their ids: the next id of each table follows the largest. SQLite does so by itself."""
    if connection.dialect.name != "postgresql":
        return
    for table in tables:
        column = table.autoincrement_column
        if column is not None:
            counter = func.pg_get_serial_sequence(f'"{table.name}"', column.name)
            largest = select(func.max(column)).scalar_subquery()
            connection.execute(select(func.setval(counter, func.coalesce(largest, 0) + 1, False)))


def safe_version(version: tuple[int, ...]) -> bool:
    """Whether this SQLite keeps every commit in WAL mode."""
    return version >= LEAST_SQLITE and version[:3] != (3, 52, 0)


def _prepare(connection: Any, _record: Any) -> None:
    connection.isolation_level = None  # transactions are begun by _begin, never by the driver
    for name, value in PRAGMAS.items():
        found = _pragma(connection, name, value)
        if str(found) != str(value):
            raise UserError(Message("store.sqlite_refused_it_says_keep", name=name, value=value, found=found))


def _pragma(connection: Any, name: str, value: int | str) -> Any:
    """Sets a pragma and reads it back. The change to WAL does not wait for a lock by itself, so it is tried again."""
    sqlite = library()

    until = time.monotonic() + BUSY_MS / 1000
    while True:
        try:
            connection.execute(f"PRAGMA {name} = {value}")
            return connection.execute(f"PRAGMA {name}").fetchone()[0]
        except sqlite.OperationalError as error:
            if "locked" not in str(error) or time.monotonic() > until:
                raise
            time.sleep(0.01)


def _begin(connection: Connection) -> None:
    immediate = connection.get_execution_options().get("write", False)
    connection.exec_driver_sql("BEGIN IMMEDIATE" if immediate else "BEGIN")


def migrations() -> Config:
    """The migrations shipped with the package."""
    config = Config()
    config.set_main_option("script_location", str(Path(__file__).parent.parent / "migrations").replace("%", "%%"))
    return config


def revision_of(connection: Connection) -> str | None:
    """The revision of the schema, None for an empty database."""
    if not inspect(connection).has_table("alembic_version"):
        return None
    found = connection.execute(text("SELECT version_num FROM alembic_version")).scalar()
    return None if found is None else str(found)


def head() -> str:
    """The newest revision that this version knows."""
    return str(ScriptDirectory.from_config(migrations()).get_current_head())


def known(revision: str) -> bool:
    """Whether this version knows a revision."""
    return any(script.revision == revision for script in ScriptDirectory.from_config(migrations()).walk_revisions())


Around = Callable[[Connection], AbstractContextManager[None]]


def _nothing(_connection: Connection) -> AbstractContextManager[None]:
    return nullcontext()


def upgrade(engine: Engine, revision: str = "head", *, around: Around = _nothing) -> None:
    """Brings the schema to a revision; of several processes one does it and the others wait. `around` looks at the rows before
    and after, in the same transaction.

    Raises UserError for data that a newer version has written; nothing is changed then.
    """
    with engine.connect() as connection:
        found = revision_of(connection)
    if found is not None and not known(found):
        raise UserError(Message("store.this_data_was_written_by", found=found, head=head()))
    if revision == "head" and found == head():
        return
    _migrate(engine, revision, command.upgrade, around)


def downgrade(engine: Engine, revision: str) -> None:
    """Takes the schema back to a revision."""
    _migrate(engine, revision, command.downgrade)


def _migrate(engine: Engine, revision: str, move: Any, around: Around = _nothing) -> None:
    """One transaction, all or nothing, also with the schema in it; who comes second waits for as long as that takes."""
    config = migrations()
    with _patient(engine) as connection, connection.begin():
        if is_postgres(engine):
            postgres.wait_longer(connection)
        config.attributes["connection"] = connection
        with around(connection):
            move(config, revision)
        if not is_postgres(engine):
            broken = connection.exec_driver_sql("PRAGMA foreign_key_check").fetchall()
            if broken:
                raise UserError(Message("store.the_migration_would_leave_rows"))


@contextmanager
def _patient(engine: Engine) -> Iterator[Connection]:
    """A connection for migrations. SQLite remakes a table to change it, which its foreign keys must not take for deleting."""
    if is_postgres(engine):
        with engine.connect() as connection:
            yield connection
        return
    with for_writing(engine).connect() as connection:
        raw: Any = connection.connection.driver_connection
        try:
            raw.execute(f"PRAGMA busy_timeout = {postgres.MIGRATION_PATIENCE_MS}")
            raw.execute("PRAGMA foreign_keys = 0")
            yield connection
        finally:
            for name in ("busy_timeout", "foreign_keys"):
                raw.execute(f"PRAGMA {name} = {PRAGMAS[name]}")
