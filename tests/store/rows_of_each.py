"""Rows in every table, whatever tables there are: made from the columns' types, so that a new table is in the tests at once."""

import datetime
from typing import Any

from sqlalchemy import Column, Connection, Engine, MetaData, insert, inspect, select

from threequarter.store.database import engines
from threequarter.store.database.schema import Base

TABLES = tuple(Base.metadata.sorted_tables)
ROWS = 3
FORMER = {"rejected_row": "aside", "history_entry": "act", "task": "errand"}
"""How the tables were called in older schemas."""


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
    found, seen = {}, inspect(connection)
    for table in TABLES:
        if only is None or table.name in only:
            there = table if seen.has_table(table.name) else table.to_metadata(MetaData(), name=FORMER[table.name])
            columns = [c for c in there.columns if only is None or c.name in only[table.name]]
            rows = connection.execute(select(*columns).order_by(*there.primary_key.columns))
            found[table.name] = [dict(row._mapping) for row in rows]
    return found


def columns_of(engine: Engine) -> dict[str, set[str]]:
    """The columns of each table that the schema of a database has, under the table's name of now."""
    seen = inspect(engine)
    names = {t.name: name for t in TABLES for name in (t.name, FORMER.get(t.name, "")) if name and seen.has_table(name)}
    return {now: {column["name"] for column in seen.get_columns(name)} for now, name in names.items()}
