"""The rows of a backup in a SQLite database of their own, under the schema they were written with."""

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from sqlalchemy import Connection, Engine, Table, delete
from sqlalchemy.exc import DatabaseError

from threequarter.golf.errors import UserError
from threequarter.golf.message import Message
from threequarter.store.backup.archive import DATABASE, Archive
from threequarter.store.database.engines import FILE_NAME, head, known, open_file, revision_of, upgrade
from threequarter.store.database.row_dump import counts_of, dump, load, tables_of


@contextmanager
def rebuilt_database(archive: Archive, folder: Path) -> Iterator[Engine]:
    """A database file in `folder` with the rows of a backup, counted and with every reference sound.

    Raises UserError for a backup of a newer version, or one whose rows do not fit.
    """
    with _first_file(archive, folder) as first:
        schema = _schema(archive, first)
        engine = open_file(folder / FILE_NAME)
        try:
            upgrade(engine, schema)
            _fill(engine, archive, first)
            yield engine
        finally:
            engine.dispose()


@contextmanager
def _first_file(archive: Archive, folder: Path) -> Iterator[Engine | None]:
    """The SQLite file that backups of version 1 hold, opened where there is one."""
    if not archive.first_format:
        yield None
        return
    path = folder / "first.db"
    with path.open("wb") as out:
        archive.copy(DATABASE, out)
    engine = open_file(path)
    try:
        with engine.connect() as connection:
            connection.exec_driver_sql("PRAGMA trusted_schema = OFF")
            if connection.exec_driver_sql("PRAGMA integrity_check").scalar() != "ok":
                raise UserError(Message("store.the_database_in_is_damaged", file=archive.path.name))
        yield engine
    except DatabaseError as error:
        raise UserError(Message("store.the_database_in_is_damaged", file=archive.path.name)) from error
    finally:
        engine.dispose()


def _schema(archive: Archive, first: Engine | None) -> str:
    schema = archive.manifest.get("schema")
    if first is not None:
        with first.connect() as connection:
            schema = revision_of(connection)
    if not schema or not known(schema):
        raise UserError(
            Message("store.was_made_by_a_newer_version", file=archive.path.name, schema=str(schema)[:40], head=head())
        )
    return str(schema)


def _fill(engine: Engine, archive: Archive, first: Engine | None) -> None:
    with engine.connect() as connection:
        raw = connection.connection.driver_connection
        assert raw is not None
        raw.execute("PRAGMA foreign_keys = OFF")  # rows may refer to later ones; all are checked at the end
        tables = tables_of(connection)
        strange = set(archive.counts) - {table.name for table in tables}
        if strange:
            raise UserError(
                Message(
                    "store.holds_tables_that_its_version", file=archive.path.name, names=", ".join(sorted(strange))[:80]
                )
            )
        for table in reversed(tables):
            connection.execute(delete(table))  # what a migration puts into an empty database
        for table in tables:
            _fill_table(connection, table, archive, first)
        if connection.exec_driver_sql("PRAGMA foreign_key_check").first() is not None:
            raise UserError(Message("store.holds_rows_that_refer_to", file=archive.path.name))
        counts = counts_of(connection)
        if any(counts[name] != count for name, count in archive.counts.items()):
            raise UserError(Message("store.does_not_hold_what_its", file=archive.path.name))
        connection.commit()
        raw.execute("PRAGMA foreign_keys = ON")


def _fill_table(connection: Connection, table: Table, archive: Archive, first: Engine | None) -> None:
    def told(number: int) -> Message:
        return Message("store.table_row", file=archive.path.name, table=table.name, number=number)

    if first is None:
        load(connection, table, archive.lines(table.name), told)
        return
    with first.connect() as source:
        mine = next((one for one in tables_of(source) if one.name == table.name), None)
        if mine is not None:
            load(connection, table, dump(source, mine), told)
