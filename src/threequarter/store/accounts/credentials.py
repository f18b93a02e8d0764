"""One life for each credential: what each event ends, as one table that every event goes through.

The same table stands in docs/academy.md; tests/store/test_credentials.py walks it event by event.
"""

from collections.abc import Callable, Iterable
from typing import Final, Literal

from sqlalchemy import Connection, delete, select, update
from sqlalchemy.orm import Session

from threequarter.store.accounts.current_user import as_user
from threequarter.store.accounts.tables import (
    InvitationRow,
    PasskeyRow,
    PendingSignInRow,
    RecoveryCodeRow,
    SecondFactorRow,
    ShareRow,
    SignInRow,
)
from threequarter.store.database.schema import TokenRow
from threequarter.store.imports.save_import import now_utc

Event = Literal[
    "invitation made",
    "invitation taken",
    "password changed",
    "second step switched on",
    "role changed",
    "account ended",
]
Credential = Literal["sign-ins", "pending sign-ins", "passkeys", "tokens", "invitations", "second factor"]

ENDS: Final[dict[Event, frozenset[Credential]]] = {
    "invitation made": frozenset({"invitations"}),
    "invitation taken": frozenset(
        {"sign-ins", "pending sign-ins", "passkeys", "tokens", "invitations", "second factor"}
    ),
    "password changed": frozenset({"sign-ins", "pending sign-ins", "passkeys", "tokens", "invitations"}),
    "second step switched on": frozenset({"sign-ins", "pending sign-ins"}),
    "role changed": frozenset({"sign-ins", "pending sign-ins", "tokens", "invitations"}),
    "account ended": frozenset({"sign-ins", "pending sign-ins", "passkeys", "tokens", "invitations", "second factor"}),
}
"""Whoever lost the way in, or changes it because somebody else found it, is alone afterwards: nothing made before opens
a door. A new role starts without scripts, since a token acts with the rights of its account."""


def end_credentials(session: Session, account_id: int, event: Event, *, but_sign_in: int | None = None) -> None:
    """Ends all credentials of an account that an event ends; `but_sign_in` is the browser in which it was done."""
    with as_user(None):
        for credential in ENDS[event]:
            _END[credential](session, account_id, but_sign_in)


def end_shares(session: Session, session_ids: Iterable[int]) -> None:
    """Ends the links of sessions that are now somebody else's: a link never shows another person than it was made for."""
    with as_user(None):
        open_ones = (ShareRow.session_id.in_(list(session_ids)), ShareRow.revoked_at.is_(None))
        session.execute(update(ShareRow).where(*open_ones).values(revoked_at=now_utc()))


def end_what_came_back(connection: Connection) -> None:
    """After a restore: invitations and links that stood open in the backup end, since they may have been used or ended after it was
    made, and what was ended never opens a door again. Sign-ins and tokens do not come back at all."""
    now = now_utc()
    unused = (InvitationRow.used_at.is_(None), InvitationRow.revoked_at.is_(None))
    connection.execute(update(InvitationRow).where(*unused).values(revoked_at=now))
    connection.execute(update(ShareRow).where(ShareRow.revoked_at.is_(None)).values(revoked_at=now))


def _sign_ins(session: Session, account_id: int, but: int | None) -> None:
    mine = [SignInRow.account_id == account_id]
    if but is not None:
        mine.append(SignInRow.id != but)
    session.execute(delete(SignInRow).where(*mine))


def _pending(session: Session, account_id: int, _but: int | None) -> None:
    session.execute(delete(PendingSignInRow).where(PendingSignInRow.account_id == account_id))


def _passkeys(session: Session, account_id: int, _but: int | None) -> None:
    session.execute(delete(PasskeyRow).where(PasskeyRow.account_id == account_id))


def _tokens(session: Session, account_id: int, _but: int | None) -> None:
    for row in session.scalars(select(TokenRow).where(TokenRow.account_id == account_id)).all():
        session.delete(row)


def _invitations(session: Session, account_id: int, _but: int | None) -> None:
    still = (
        InvitationRow.account_id == account_id,
        InvitationRow.used_at.is_(None),
        InvitationRow.revoked_at.is_(None),
    )
    session.execute(update(InvitationRow).where(*still).values(revoked_at=now_utc()))


def _second_factor(session: Session, account_id: int, _but: int | None) -> None:
    for table in (RecoveryCodeRow, SecondFactorRow):
        session.execute(delete(table).where(table.account_id == account_id))


_END: Final[dict[Credential, Callable[[Session, int, int | None], None]]] = {
    "sign-ins": _sign_ins,
    "pending sign-ins": _pending,
    "passkeys": _passkeys,
    "tokens": _tokens,
    "invitations": _invitations,
    "second factor": _second_factor,
}
