"""Writing a database anew, so that nothing deleted is left in it."""

import contextlib
import time
from typing import Any, Final

PATIENCE_S: Final = 15.0


def vacuum_sqlite(base: Any) -> bool:
    """A SQLite file: its log emptied, its pages written anew. False where readers kept the log from being emptied."""
    _empty_log(base, time.monotonic() + PATIENCE_S)
    base.execute("VACUUM").fetchall()
    return _empty_log(base, time.monotonic() + PATIENCE_S)


def _empty_log(base: Any, until: float) -> bool:
    while True:
        busy, *_pages = base.execute("PRAGMA wal_checkpoint(TRUNCATE)").fetchone()
        if not busy:
            return True
        if time.monotonic() > until:
            return False
        time.sleep(0.05)


def vacuum_postgres(base: Any) -> bool:
    """A PostgreSQL database: our tables and the statistics about them (which hold values) written anew. Always True."""
    import psycopg

    base.rollback()
    base.autocommit = True
    try:
        tables = [
            f'"{schema}"."{name}"'
            for schema, name in base.execute(
                "SELECT schemaname, tablename FROM pg_tables WHERE schemaname NOT IN ('pg_catalog', 'information_schema')"
            ).fetchall()
        ]
        for table in tables:
            base.execute(f"ANALYZE {table}")
            base.execute(f"VACUUM (FULL) {table}")
        with contextlib.suppress(psycopg.errors.InsufficientPrivilege):
            base.execute("VACUUM (FULL) pg_catalog.pg_statistic")
        with contextlib.suppress(psycopg.errors.InsufficientPrivilege):
            base.execute("CHECKPOINT")  # the old files of the tables go now and not at the next one
    finally:
        base.autocommit = False
    return True
