"""Opening the database: SQLite in WAL mode with every commit on the disk, asserted on every connection."""

from pathlib import Path
from typing import Any, Final

from alembic import command
from alembic.config import Config
from sqlalchemy import Connection, Engine, create_engine, event

from threequarter.golf.errors import UserError

LEAST_SQLITE: Final = (3, 51, 3)
"""Older ones can lose commits in WAL mode with two connections; 3.52.0 was withdrawn."""
BUSY_MS: Final = 15_000
PRAGMAS: Final = {
    "journal_mode": "wal",
    "synchronous": 2,
    "foreign_keys": 1,
    "secure_delete": 1,
    "busy_timeout": BUSY_MS,
}


def open_database(data_dir: Path) -> Engine:
    """The engine of a data folder, its schema up to date. Raises UserError where the folder cannot be used."""
    import pysqlite3.dbapi2 as sqlite

    if sqlite.sqlite_version_info < LEAST_SQLITE or sqlite.sqlite_version_info[:3] == (3, 52, 0):
        raise UserError(
            f"SQLite {sqlite.sqlite_version} is not safe here; 3.51.3 or newer is needed: pip install --upgrade pysqlite3"
        )
    try:
        data_dir.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise UserError(
            f"The data folder {data_dir} cannot be made: {error.strerror}. Name another with --data."
        ) from error
    engine = create_engine(f"sqlite:///{data_dir / 'threequarter.db'}", module=sqlite, pool_size=8)
    event.listen(engine, "connect", _prepare)
    event.listen(engine, "begin", _begin)
    try:
        upgrade(engine)
    except sqlite.OperationalError as error:
        raise UserError(f"The database in {data_dir} cannot be opened: {error}. Is the folder writable?") from error
    return engine


def _prepare(connection: Any, _record: Any) -> None:
    connection.isolation_level = None  # transactions are begun by _begin, never by the driver
    for name, value in PRAGMAS.items():
        connection.execute(f"PRAGMA {name} = {value}")
        found = connection.execute(f"PRAGMA {name}").fetchone()[0]
        if str(found) != str(value):
            raise UserError(f"SQLite refused {name} = {value} (it says {found}). Keep the data on a local disk.")


def _begin(connection: Connection) -> None:
    immediate = connection.get_execution_options().get("write", False)
    connection.exec_driver_sql("BEGIN IMMEDIATE" if immediate else "BEGIN")


def migrations() -> Config:
    """The migrations shipped with the package."""
    config = Config()
    config.set_main_option("script_location", str(Path(__file__).parent / "migrations"))
    return config


def upgrade(engine: Engine, revision: str = "head") -> None:
    """Brings the schema to a revision; of several processes one does it and the others wait."""
    config = migrations()
    with engine.execution_options(write=True).begin() as connection:
        config.attributes["connection"] = connection
        command.upgrade(config, revision)


def downgrade(engine: Engine, revision: str) -> None:
    """Takes the schema back to a revision."""
    config = migrations()
    with engine.execution_options(write=True).begin() as connection:
        config.attributes["connection"] = connection
        command.downgrade(config, revision)
