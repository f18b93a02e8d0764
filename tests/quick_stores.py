"""A fresh database without walking its migrations each time: walked once for a run, then copied.

What walks them itself, on data of every older version, is tests/store/test_migrations.py and test_upgrade.py; a process of its own
(a server, a worker) walks them too.
"""

import tempfile
from functools import cache
from pathlib import Path
from typing import Any

from alembic import command
from sqlalchemy import Engine
from tests.postgres_support import Server

from threequarter.store.database import engines

walk = engines._migrate
TEMPLATE = "walked"


@cache
def statements() -> tuple[str, ...]:
    """What makes the schema of this version in an empty SQLite file."""
    with tempfile.TemporaryDirectory() as folder:
        engine = engines.open_file(Path(folder, "walked.db"))
        try:
            walk(engine, "head", command.upgrade)
            with engine.connect() as connection:
                schema = connection.exec_driver_sql(
                    "SELECT sql FROM sqlite_master WHERE sql IS NOT NULL ORDER BY rowid"
                )
                made = [sql for (sql,) in schema if "sqlite_sequence" not in sql]
                for (table,) in connection.exec_driver_sql("SELECT name FROM sqlite_master WHERE type = 'table'").all():
                    rows = connection.exec_driver_sql(f'SELECT * FROM "{table}"').all()
                    assert not rows or table == "alembic_version", f"a migration writes rows into {table}"
            return (*made, f"INSERT INTO alembic_version VALUES ('{engines.head()}')")
        finally:
            engine.dispose()


def migrate(engine: Engine, revision: str, move: Any, *around: Any) -> None:
    """Stands for `engines._migrate`: an empty SQLite file gets the schema at once, all else walks."""
    if engines.is_postgres(engine) or revision != "head" or move is not command.upgrade:
        return walk(engine, revision, move, *around)
    with engines._patient(engine) as connection, connection.begin():
        if connection.exec_driver_sql("SELECT count(*) FROM sqlite_master").scalar():
            connection.rollback()
        else:
            for statement in statements():
                connection.exec_driver_sql(statement)
            return None
    return walk(engine, revision, move, *around)


@cache
def template(server: Server) -> str:
    """The name of a database of a server whose schema is that of this version."""
    server.execute(f'CREATE DATABASE "{TEMPLATE}"')
    engine = engines.postgres.open_server(engines.postgres.parse(server._url(TEMPLATE)))
    try:
        engines.upgrade(engine)
    finally:
        engine.dispose()
    return TEMPLATE


def fresh(server: Server) -> str:
    """The URL of a database with the schema of this version and no rows."""
    return server.url(options=f'TEMPLATE "{template(server)}"')
