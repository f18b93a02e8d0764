"""The rows of a database as JSON lines and back, bit for bit, whichever of the two databases and whichever schema it is."""

import base64
import datetime
import hashlib
import json
from collections.abc import Callable, Iterable, Iterator
from itertools import islice
from typing import Any, Final

from sqlalchemy import Connection, MetaData, Table, func, insert, inspect, select
from sqlalchemy.exc import SQLAlchemyError
from sqlalchemy.types import String

from threequarter.golf.errors import UserError
from threequarter.golf.message import Message
from threequarter.store.database.engines import revision_of

REVISION_TABLE: Final = "alembic_version"
BATCH: Final = 1000


def tables_of(connection: Connection) -> tuple[Table, ...]:
    """The tables as they stand in the database, those referred to first; the mark of the schema's revision is none of them."""
    names = sorted(inspect(connection).get_table_names())
    key = (connection.dialect.name, revision_of(connection), *names)
    if key not in _SEEN:
        found = MetaData()
        found.reflect(connection, only=[name for name in names if name != REVISION_TABLE])
        _SEEN[key] = tuple(found.sorted_tables)
    return _SEEN[key]


_SEEN: Final[dict[tuple[str | None, ...], tuple[Table, ...]]] = {}
"""The tables of a schema, looked at once: that takes longer than reading a small database."""


def counts_of(connection: Connection) -> dict[str, int]:
    """How many rows each table has."""
    return {
        table.name: connection.execute(select(func.count()).select_from(table)).scalar_one()
        for table in tables_of(connection)
    }


def dump(connection: Connection, table: Table) -> Iterator[bytes]:
    """The rows of a table by its key, each one line of JSON; bytes as base64, times as ISO 8601."""
    order = [
        # both databases must sort letters alike
        column.collate("C") if connection.dialect.name == "postgresql" and isinstance(column.type, String) else column
        for column in table.primary_key.columns
    ]
    query = select(table).order_by(*order).execution_options(stream_results=True, yield_per=BATCH)
    names = [column.name for column in table.columns]
    for row in connection.execute(query):
        plain = {name: _plain(value) for name, value in zip(names, row, strict=True)}
        yield json.dumps(plain, sort_keys=True, separators=(",", ":")).encode() + b"\n"


def digests_of(connection: Connection) -> dict[str, str]:
    """SHA-256 of the rows of each table, equal where two databases hold the same."""
    found = {}
    for table in tables_of(connection):
        digest = hashlib.sha256()
        for line in dump(connection, table):
            digest.update(line)
        found[table.name] = digest.hexdigest()
    return found


def load(connection: Connection, table: Table, lines: Iterable[bytes], told: Callable[[int], Message]) -> int:
    """Puts lines of `dump` into a table; returns how many. Raises UserError, with `told(line)` as its place, for other lines."""
    convert = {column.name: _reader(column.type.python_type) for column in table.columns}
    count = 0
    waiting = iter(lines)
    while batch := list(islice(waiting, BATCH)):
        rows = [_row(line, convert, told, count + i) for i, line in enumerate(batch, start=1)]
        try:
            connection.execute(insert(table), rows)
        except (SQLAlchemyError, OverflowError) as error:
            reason = str(getattr(error, "orig", None) or error).split("\n")[0]
            raise UserError(Message("store.and_after_the_rows_do", told=told(count + 1), reason=reason)) from error
        count += len(rows)
    return count


def _row(
    line: bytes, convert: dict[str, Callable[[Any], Any]], told: Callable[[int], Message], number: int
) -> dict[str, Any]:
    try:
        row = json.loads(line)
        if set(row) != set(convert):
            raise UserError(Message("store.the_row_has_other_columns", told=told(number)))
        return {name: None if value is None else convert[name](value) for name, value in row.items()}
    except (ValueError, TypeError, AttributeError, RecursionError) as error:
        raise UserError(Message("store.is_no_row_of_its", told=told(number))) from error


def _plain(value: Any) -> Any:
    if isinstance(value, bytes | memoryview):
        return base64.b64encode(value).decode()
    if isinstance(value, str):
        return value.replace("\0", "\ufffd")  # PostgreSQL keeps no NUL
    return value.isoformat() if isinstance(value, datetime.date | datetime.time) else value


def _reader(kind: type) -> Callable[[Any], Any]:
    """How a value of JSON becomes one of a column. A kind that JSON has must be just that."""
    if kind is bytes:
        return lambda value: base64.b64decode(value, validate=True)
    if kind in (datetime.datetime, datetime.date, datetime.time):
        return kind.fromisoformat

    def same(value: Any) -> Any:
        fits = type(value) is kind or (kind is float and type(value) is int)
        if not fits:
            raise TypeError(f"{value!r:.40} is no {kind.__name__}")
        return value

    return same
