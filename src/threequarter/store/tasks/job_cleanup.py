"""The rows that the job engine keeps about a clip. They hold numbers only, but what is erased leaves none behind."""

import re
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Final

from sqlalchemy import Connection, MetaData, delete, inspect, select

from threequarter.store.database.engines import for_writing, open_file
from threequarter.store.store import Store

JOBS: Final = "jobs.db"
SCHEMA: Final = "dbos"
KEY: Final = "workflow_uuid"
OF_A_CLIP: Final = re.compile(r"clip-(\d+)(?:\D.*)?")


def forget_jobs(store: Store, clips: Sequence[int] | None) -> int:
    """Removes what the job engine keeps about clips (None: about all); returns how many jobs."""
    with _jobs(store) as connection:
        if connection is None:
            return 0
        schema = SCHEMA if connection.dialect.name == "postgresql" else None
        tables = MetaData()
        tables.reflect(connection, schema=schema)
        keyed = [table for table in tables.tables.values() if KEY in table.columns]
        status = next((table for table in keyed if table.name == "workflow_status"), None)
        if status is None:
            return 0
        mine = [key for key in connection.scalars(select(status.c[KEY])) if _of(key, clips)]
        for table in sorted(keyed, key=lambda table: table is status):  # those that refer to it first
            connection.execute(delete(table).where(table.c[KEY].in_(mine)))
        return len(mine)


def _of(key: str, clips: Sequence[int] | None) -> bool:
    found = OF_A_CLIP.fullmatch(key)
    return found is not None and (clips is None or int(found[1]) in clips)


@contextmanager
def _jobs(store: Store) -> Iterator[Connection | None]:
    """The database of the job engine: beside the store's file, or a schema of the same PostgreSQL. None where there is none."""
    if store.on_postgres:
        with for_writing(store.engine).begin() as connection:
            yield connection if inspect(connection).has_schema(SCHEMA) else None
        return
    path = Path(store.data_dir, JOBS)
    if not path.exists():
        yield None
        return
    engine = open_file(path)
    try:
        with for_writing(engine).begin() as connection:
            yield connection
        raw = engine.raw_connection()
        try:
            assert raw.driver_connection is not None
            for statement in ("PRAGMA wal_checkpoint(TRUNCATE)", "VACUUM", "PRAGMA wal_checkpoint(TRUNCATE)"):
                raw.driver_connection.execute(statement).fetchall()
        finally:
            raw.close()
    finally:
        engine.dispose()
