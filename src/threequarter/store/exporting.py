"""Everything out and in again as open JSON, bit for bit the same."""

import base64
import datetime
from typing import Any, Final

from sqlalchemy import Table, false, func, insert, select

from threequarter import __version__
from threequarter.golf.errors import UserError
from threequarter.store.belongings import belongings
from threequarter.store.database import set_counters
from threequarter.store.schema import Base
from threequarter.store.store import Store

FORMAT: Final = "threequarter export 1"
TABLES: Final = tuple(Base.metadata.sorted_tables)


def export_all(store: Store, player: str | None = None) -> dict[str, Any]:
    """All that is kept, or all of one player, row by row in open JSON; films are named, not contained.

    Raises UserError for a player who is not there.
    """
    with store.reading() as session:
        theirs = {table.__table__: mine for table, mine in belongings(session, player).rows} if player else None
        rows = {}
        for table in TABLES:
            query = select(table).order_by(*table.primary_key.columns)
            if theirs is not None:
                query = query.where(theirs.get(table, false()))
            rows[table.name] = [_plain(dict(row._mapping)) for row in session.execute(query)]
    return {"format": FORMAT, "made_by": __version__, "tables": rows}


def import_all(store: Store, exported: Any) -> int:
    """Puts an export into an empty store; returns the number of balls. Raises UserError for another form or a store in use."""
    if (
        not isinstance(exported, dict)
        or exported.get("format") != FORMAT
        or not isinstance(exported.get("tables"), dict)
    ):
        raise UserError(f"This is no export of threequarter (its format is not {FORMAT!r}).")
    known = {table.name for table in TABLES}
    if unknown := set(exported["tables"]) - known:
        raise UserError(f"This export is of a newer version: it has {', '.join(sorted(unknown))}. Upgrade first.")
    with store.writing() as session:
        if any(session.execute(select(func.count()).select_from(table)).scalar() for table in TABLES):
            raise UserError("This data folder holds something already. Import into an empty one: --data NEWFOLDER")
        for table in TABLES:
            rows = exported["tables"].get(table.name, [])
            if rows:
                session.execute(insert(table), [_typed(table, row) for row in rows])
        set_counters(session.connection(), TABLES)
        return len(exported["tables"].get("ball", []))


def _plain(row: dict[str, Any]) -> dict[str, Any]:
    return {
        name: base64.b64encode(v).decode()
        if isinstance(v, bytes)
        else v.isoformat()
        if isinstance(v, datetime.date)
        else v
        for name, v in row.items()
    }


def _typed(table: Table, row: dict[str, Any]) -> dict[str, Any]:
    typed: dict[str, Any] = {}
    for name, value in row.items():
        kind = table.columns[name].type.python_type if name in table.columns else str
        if value is None:
            typed[name] = None
        elif kind is bytes:
            typed[name] = base64.b64decode(value)
        elif kind is datetime.datetime:
            typed[name] = datetime.datetime.fromisoformat(value)
        elif kind is datetime.date:
            typed[name] = datetime.date.fromisoformat(value)
        else:
            typed[name] = value
    return typed
