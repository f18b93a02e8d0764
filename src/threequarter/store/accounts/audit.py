"""Who did or looked at what: one line each, UTC, kept for two years. Numbers instead of names; never a secret."""

import datetime
import logging
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from sqlalchemy import Connection, delete, func, insert, select
from sqlalchemy.orm import Session

from threequarter.golf.errors import UserError
from threequarter.store.accounts.current_user import current_user
from threequarter.store.accounts.record_chain import mark_of, newest_mark
from threequarter.store.accounts.tables import AccountRow, AuditRow
from threequarter.store.database.schema import PlayerRow
from threequarter.store.imports.save_import import now_utc
from threequarter.store.store import Store

LOG: Final = logging.getLogger("threequarter.security")
KEPT: Final = datetime.timedelta(days=730)


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """One line of the record, with the names as they are today; "" where there is none any more."""

    at: datetime.datetime
    who: str
    act: str
    kind: str
    number: int | None
    player: str
    detail: str
    address: str


def record(
    store: Store,
    act: str,
    *,
    account_id: int | None = None,
    kind: str | None = None,
    number: int | None = None,
    player_id: int | None = None,
    detail: str = "",
    address: str = "",
) -> None:
    """Writes a line of what was done already. Who it was is who is acting, where nobody else is named; 0 is the command line.

    A full disk or a database that has just gone away does not take back what was done, and who did it is not told otherwise: the line
    stands in the log then.
    """
    who = current_user()
    account = account_id if account_id is not None else who.account_id if who else 0
    told = {"kind": kind, "number": number, "player_id": player_id, "detail": detail, "address": address}
    try:
        with store.writing() as session:
            record_in(session.connection(), act, account_id=account, **told)  # type: ignore[arg-type]
    except UserError:
        LOG.exception("not in the record: %s", act, extra={"event": act, "who": account, "number": number})


def record_in(
    connection: Connection,
    act: str,
    *,
    account_id: int = 0,
    kind: str | None = None,
    number: int | None = None,
    player_id: int | None = None,
    detail: str = "",
    address: str = "",
) -> None:
    """Writes a line in the caller's transaction, so that it stands if and only if what was done does."""
    line = {
        "at": now_utc(),
        "account_id": account_id,
        "act": act[:40],
        "kind": kind,
        "number": number,
        "player_id": player_id,
        "detail": detail[:200] or None,
        "address": address[:60] or None,
    }
    connection.execute(insert(AuditRow).values(**line, mark=mark_of(newest_mark(connection), line)))
    LOG.info(act, extra={"event": act, "who": account_id})


def how_much(counts: Mapping[str, int]) -> str:
    """What a backup or a database holds, for a line: numbers only."""
    return f"{counts.get('player', 0)} players, {counts.get('ball', 0)} balls"


def lines(
    store: Store,
    *,
    most: int = 200,
    account_id: int | None = None,
    player_id: int | None = None,
    before: int | None = None,
) -> list[Line]:
    """The newest lines, of one account or about one player where asked."""
    query = (
        select(AuditRow, AccountRow.name, PlayerRow.name)
        .outerjoin(AccountRow, AccountRow.id == AuditRow.account_id)
        .outerjoin(PlayerRow, PlayerRow.id == AuditRow.player_id)
        .order_by(AuditRow.id.desc())
        .limit(most)
    )
    if account_id is not None:
        query = query.where(AuditRow.account_id == account_id)
    if player_id is not None:
        query = query.where(AuditRow.player_id == player_id)
    if before is not None:
        query = query.where(AuditRow.id < before)
    with store.reading() as session:
        return [_line(row, name, player) for row, name, player in session.execute(query)]


def _line(row: AuditRow, name: str | None, player: str | None) -> Line:
    return Line(
        at=row.at,
        who=name or (f"#{row.account_id}" if row.account_id else ""),
        act=row.act,
        kind=row.kind or "",
        number=row.number,
        player=player or (f"#{row.player_id}" if row.player_id else ""),
        detail=row.detail or "",
        address=row.address or "",
    )


def forget_old(session: Session) -> int:
    """Drops what is older than it is kept, from the oldest on: a line that a wrong clock dated back stays among its neighbours."""
    young = select(func.min(AuditRow.id)).where(AuditRow.at >= now_utc() - KEPT).scalar_subquery()
    newest = select(func.max(AuditRow.id) + 1).scalar_subquery()
    old = AuditRow.id < func.coalesce(young, newest)
    return session.execute(delete(AuditRow).where(old)).rowcount  # type: ignore[attr-defined,no-any-return]
