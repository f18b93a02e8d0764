"""Rows in every table, whatever tables there are: made from the columns' types, so that a new table is in the tests at once."""

import datetime
from typing import Any

from sqlalchemy import Column, Connection, Table, insert, select

from threequarter.store.database import engines
from threequarter.store.database.schema import Base

TABLES = tuple(Base.metadata.sorted_tables)
ROWS = 3


def fill(connection: Connection) -> None:
    """Three rows in each table, with non-ASCII texts, each row with a number of its own; references point to existing rows."""
    for table in TABLES:
        if connection.execute(select(table)).first() is None:
            rows = [{column.name: _value(column, number) for column in table.columns} for number in range(1, ROWS + 1)]
            connection.execute(insert(table), rows)
    engines.set_counters(connection, TABLES)


def _value(column: Column[Any], number: int) -> Any:
    kind = column.type.python_type
    if column.foreign_keys:
        key = next(iter(column.foreign_keys))
        return number if key.column.type.python_type is int else _value(key.column, number)
    if kind is int:
        return number
    if kind is float:
        return number + 1 / 3
    if kind is bool:
        return number == 1
    if kind is datetime.datetime:
        return datetime.datetime(2026, 1, number, 12, 30, 1, 250_000)
    if kind is datetime.date:
        return datetime.date(2026, 1, number)
    if kind is bytes:
        return bytes(range(256)) * number
    length = getattr(column.type, "length", None) or 60
    return f"{number} Ä名\u2019 {column.name} of {column.table.name}"[:length]


def everything(connection: Connection, only: dict[str, set[str]] | None = None) -> dict[str, list[dict[str, Any]]]:
    """All rows of all tables in order, or of `only` those columns."""
    found = {}
    for table in TABLES:
        if only is None or table.name in only:
            columns = [c for c in table.columns if only is None or c.name in only[table.name]]
            rows = connection.execute(select(*columns).order_by(*_keys(table)))
            found[table.name] = [dict(row._mapping) for row in rows]
    return found


def _keys(table: Table) -> list[Column[Any]]:
    return list(table.primary_key.columns)
