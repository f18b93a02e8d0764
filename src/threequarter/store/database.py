"""Opening the database: SQLite in WAL mode with every commit on the disk, asserted on every connection."""

import time
from pathlib import Path
from typing import Any, Final

from alembic import command
from alembic.config import Config
from alembic.script import ScriptDirectory
from sqlalchemy import URL, Connection, Engine, create_engine, event, inspect, text
from sqlalchemy.exc import DatabaseError

from threequarter.golf.errors import UserError

FILE_NAME: Final = "threequarter.db"
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


def open_database(data_dir: Path) -> Engine:
    """The engine of a data folder, its schema up to date. Raises UserError where the folder cannot be used."""
    try:
        data_dir.mkdir(parents=True, exist_ok=True, mode=0o700)  # names of players, children among them
    except OSError as error:
        raise UserError(
            f"The data folder {data_dir} cannot be made: {error.strerror}. Name another with --data."
        ) from error
    engine = open_file(data_dir / FILE_NAME)
    try:
        upgrade(engine)
    except DatabaseError as error:
        engine.dispose()
        raise UserError(
            f"The database in {data_dir} cannot be opened ({error.orig}). Is the folder writable, and is "
            f"{FILE_NAME} the tool's own file? Name another folder with --data."
        ) from error
    except BaseException:
        engine.dispose()
        raise
    return engine


def open_file(path: Path) -> Engine:
    """An engine on a database file, its connections prepared. Raises UserError for a SQLite that is not safe."""
    import pysqlite3.dbapi2 as sqlite

    if not safe_version(sqlite.sqlite_version_info):
        raise UserError(
            f"SQLite {sqlite.sqlite_version} is not safe here; 3.51.3 or newer is needed: pip install --upgrade pysqlite3"
        )
    engine = create_engine(URL.create("sqlite", database=str(path.absolute())), module=sqlite, pool_size=8)
    event.listen(engine, "connect", _prepare)
    event.listen(engine, "begin", _begin)
    return engine


def safe_version(version: tuple[int, ...]) -> bool:
    """Whether this SQLite keeps every commit in WAL mode."""
    return version >= LEAST_SQLITE and version[:3] != (3, 52, 0)


def _prepare(connection: Any, _record: Any) -> None:
    connection.isolation_level = None  # transactions are begun by _begin, never by the driver
    for name, value in PRAGMAS.items():
        found = _pragma(connection, name, value)
        if str(found) != str(value):
            raise UserError(f"SQLite refused {name} = {value} (it says {found}). Keep the data on a local disk.")


def _pragma(connection: Any, name: str, value: int | str) -> Any:
    """Sets a pragma and reads it back. The change to WAL does not wait for a lock by itself, so it is tried again."""
    import pysqlite3.dbapi2 as sqlite

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
    config.set_main_option("script_location", str(Path(__file__).parent / "migrations").replace("%", "%%"))
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


def upgrade(engine: Engine, revision: str = "head") -> None:
    """Brings the schema to a revision; of several processes one does it and the others wait.

    Raises UserError for data that a newer version has written; nothing is changed then.
    """
    with engine.connect() as connection:
        found = revision_of(connection)
    if found is not None and not known(found):
        raise UserError(
            f"This data was written by a newer version of threequarter (schema {found}; this one knows {head()}). "
            "Install that version; nothing was changed."
        )
    if revision == "head" and found == head():
        return
    _migrate(engine, revision, command.upgrade)


def downgrade(engine: Engine, revision: str) -> None:
    """Takes the schema back to a revision."""
    _migrate(engine, revision, command.downgrade)


def _migrate(engine: Engine, revision: str, move: Any) -> None:
    config = migrations()
    with engine.execution_options(write=True).begin() as connection:
        config.attributes["connection"] = connection
        move(config, revision)
