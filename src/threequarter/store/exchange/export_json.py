"""Everything out and in again as open JSON, bit for bit the same."""

import base64
import datetime
import hashlib
import tempfile
from collections.abc import Sequence
from pathlib import Path
from typing import Any, Final

from sqlalchemy import Table, false, func, insert, select
from sqlalchemy.orm import Session

from threequarter import __version__
from threequarter.golf.errors import UserError
from threequarter.golf.message import Message
from threequarter.intake.own_format.columns import BY_NAME, OwnRow
from threequarter.store.balls.ball_columns import fill_columns
from threequarter.store.database.engines import set_counters
from threequarter.store.database.schema import BallRow, Base, EditRow, ImportRow, SessionRow, TokenRow
from threequarter.store.erasure.personal_data import personal_data_of, shared_files
from threequarter.store.exchange.export_table import own_rows
from threequarter.store.exchange.reimport import Back, Originals, bring_back
from threequarter.store.store import Store

FORMAT: Final = "threequarter export 1"
TABLES: Final = tuple(table for table in Base.metadata.sorted_tables if table is not TokenRow.__table__)
"""What is handed out: all but what lets somebody in."""


FORMER: Final = {"aside": "rejected_row", "act": "history_entry", "errand": "task"}
"""How earlier versions called tables."""


def _without_keys(rows: dict[str, list[dict[str, Any]]]) -> None:
    """What a person takes along holds no way in, of theirs or of others: no hash, no fingerprint of a link, no tie of another's account."""
    for name in ("passkey", "second_step", "recovery_code", "half_sign_in", "sign_in", "invitation", "share"):
        rows[name] = []
    for row in rows["account"]:
        row["password"] = None
    known = {row["id"] for row in rows["account"]}
    rows["tie"] = [row for row in rows["tie"] if row["account_id"] in known]


def export_all(store: Store, player: str | None = None) -> dict[str, Any]:
    """All that is kept, or all of one player, row by row in open JSON; films are named, not contained.

    Of a file in which other players stand too, one player's export holds their balls and not the file.
    Raises UserError for a player who is not there.
    """
    with store.reading() as session:
        mine = personal_data_of(session, player) if player else None
        theirs = {table.__table__: rows for table, rows in mine.rows} if mine else None
        shared = shared_files(session, _sessions_of(session, mine.imports)) if mine else set()
        rows = {}
        for table in TABLES:
            query = select(table).order_by(*table.primary_key.columns)
            if theirs is not None:
                query = query.where(theirs.get(table, false()))
            rows[table.name] = [_plain(dict(row._mapping)) for row in session.execute(query)]
        files = {row["id"] for row in rows["import"] if row["sha256"] in shared}
        for row in rows["import"]:
            row["content"] = None if row["id"] in files else row["content"]
        rows["rejected_row"] = [row for row in rows["rejected_row"] if row["import_id"] not in files]
    if mine:
        _without_keys(rows)
    return {"format": FORMAT, "made_by": __version__, "tables": rows}


def _sessions_of(session: Session, imports: Sequence[int]) -> Sequence[int]:
    return session.scalars(select(ImportRow.session_id).where(ImportRow.id.in_(imports)).distinct()).all()


def is_export(told: Any) -> bool:
    """Whether this is an export of everything, row by row."""
    return isinstance(told, dict) and told.get("format") == FORMAT and isinstance(told.get("tables"), dict)


def import_all(store: Store, exported: Any) -> int:
    """Puts an export in: into an empty store bit for bit; into one in use what is new or different (see `merge_all`).

    Returns the number of balls it holds. Raises UserError for another form or a damaged one; then nothing was kept.
    """
    if not is_export(exported):
        raise UserError(Message("store.this_is_no_export_of", format=FORMAT))
    if not is_empty(store):
        merge_all(store, exported)
        return len(exported["tables"].get("ball", []))
    tables = {FORMER.get(name, name): rows for name, rows in exported["tables"].items()}
    if unknown := set(tables) - {table.name for table in TABLES}:
        raise UserError(Message("store.this_export_is_of_a", names=", ".join(sorted(unknown))))
    with store.writing() as session:
        for table in TABLES:
            try:
                rows = [_typed(table, row) for row in tables.get(table.name, [])]
            except (ValueError, TypeError, AttributeError, KeyError):
                raise UserError(Message("store.the_export_is_damaged_its", name=table.name)) from None
            if rows:
                session.execute(insert(table), rows)
        for row in (BallRow, EditRow):
            fill_columns(session.connection(), row.__table__)  # type: ignore[arg-type]
        set_counters(session.connection(), TABLES)
        return len(exported["tables"].get("ball", []))


def is_empty(store: Store) -> bool:
    """Whether nothing is kept yet."""
    with store.reading() as session:
        return not any(session.execute(select(func.count()).select_from(table)).scalar() for table in TABLES)


def merge_all(store: Store, exported: Any, *, name: str = "export.json") -> Back:
    """Brings an export into a store that may be in use: its balls' end state, players, bags, notes and files.

    Raises UserError as `import_all`.
    """
    rows, originals = rows_of(exported)
    return bring_back(store, rows, name=name, originals=originals)


def rows_of(exported: Any) -> tuple[list[OwnRow], Originals]:
    """An export as rows of the own table, and the files behind its balls. Raises UserError as `import_all`."""
    with tempfile.TemporaryDirectory(prefix="threequarter-") as scratch, Store(Path(scratch)) as beside:
        import_all(beside, exported)
        rows = [{name: row.get(name) for name in BY_NAME} for row in own_rows(beside)]
        with beside.reading() as session:
            query = select(SessionRow.key, ImportRow.name, ImportRow.content)
            files = session.execute(query.join(SessionRow, ImportRow.session_id == SessionRow.id))
            return rows, {(key, file): content for key, file, content in files if content is not None}


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
    if table is SessionRow.__table__ and not typed.get("key"):  # as the migration made it for what was there before
        made_at = typed["made_at"].isoformat()
        typed["key"] = hashlib.sha256(f"{made_at}|{typed['id']}".encode()).hexdigest()[:32]
    return typed
