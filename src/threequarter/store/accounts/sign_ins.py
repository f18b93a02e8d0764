"""Browsers that are signed in: a new secret at each sign-in, its fingerprint kept, an end after idleness and after a month."""

import datetime
from dataclasses import dataclass
from typing import Final

from sqlalchemy import delete, select
from sqlalchemy.orm import Session

from threequarter.golf.errors import UserError
from threequarter.golf.message import Message
from threequarter.golf.player import name_key
from threequarter.store.accounts import passwords, second_factor
from threequarter.store.accounts.credentials import end_credentials
from threequarter.store.accounts.current_user import CurrentUser, as_user
from threequarter.store.accounts.secrets import fingerprint, new_secret
from threequarter.store.accounts.settings import DEMANDED, SECOND_STEP, USUAL
from threequarter.store.accounts.tables import AccountRow, InvitationRow, SettingRow, SignInRow, TieRow
from threequarter.store.imports.save_import import now_utc
from threequarter.store.store import Store

IDLE: Final = datetime.timedelta(hours=72)
LONGEST: Final = datetime.timedelta(days=30)
FRESH: Final = datetime.timedelta(minutes=30)
"""How long after signing in the ways of signing in may be changed without doing so again."""
NOTED_EVERY: Final = datetime.timedelta(minutes=10)
ON_THE_SERVER: Final = "?"
"""In place of a name: whoever keeps the server made the link at its command line."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SignedIn:
    """Who a cookie stands for, and the sign-in it belongs to."""

    id: int
    who: CurrentUser
    fresh: bool
    seen_long_ago: bool
    lacks_second_step: bool = False
    """Whether the account signs in by a password alone where a head demands a second step of it."""
    new_link_by: str = ""
    """Who made a link that would replace this account's ways in, while it is open."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Browser:
    """A signed-in browser in a list."""

    id: int
    browser: str
    made_at: datetime.datetime
    seen_at: datetime.datetime
    this: bool


class SignIns:
    """The sign-ins of a store."""

    def __init__(self, store: Store) -> None:
        self.store = store

    def by_password(self, sign_in: str, password: str) -> int | None:
        """The account of a name and password, None where they do not fit; the same work is done for a name that is not there."""
        with self.store.reading() as session:
            row = session.scalars(select(AccountRow).where(AccountRow.sign_in == name_key(sign_in))).first()
            kept = row.password if row is not None and row.ended_at is None else None
            account_id = row.id if row is not None else None
        if not passwords.matches(kept, password) or kept is None or account_id is None:
            return None
        if passwords.outdated(kept):
            fresh = passwords.hashed(password)
            with self.store.writing() as session:
                session.get_one(AccountRow, account_id).password = fresh
        return account_id

    def begin(self, account_id: int, browser: str = "", *, instead_of: str = "") -> str:
        """Signs a browser in; returns the secret for its cookie. The one it had before ends."""
        secret, now = new_secret(), now_utc()
        with self.store.writing() as session:
            account = session.get(AccountRow, account_id)
            if account is None or account.ended_at is not None:
                raise UserError(Message("store.that_account_was_ended"))
            if instead_of:
                session.execute(delete(SignInRow).where(SignInRow.token == fingerprint(instead_of)))
            session.add(
                SignInRow(
                    account_id=account_id,
                    token=fingerprint(secret),
                    browser=browser[:200],
                    room=None,
                    made_at=now,
                    seen_at=now,
                    ends_at=now + LONGEST,
                )
            )
        return secret

    def who(self, secret: str) -> SignedIn | None:
        """Who a cookie stands for; None for one that is wrong, ended, or of an account that was ended."""
        now = now_utc()
        with self.store.reading() as session:
            row = session.scalars(select(SignInRow).where(SignInRow.token == fingerprint(secret))).first()
            if row is None or row.ends_at <= now or row.seen_at + IDLE <= now or row.made_at > now + IDLE:
                return None
            account = session.get_one(AccountRow, row.account_id)
            if account.ended_at is not None:
                return None
            return SignedIn(
                id=row.id,
                who=who_of(session, account, row.room),
                fresh=row.made_at + FRESH > now,
                seen_long_ago=row.seen_at + NOTED_EVERY < now,
                lacks_second_step=_lacks_second_step(session, account),
                new_link_by=_new_link_by(session, account.id, now),
            )

    def note_seen(self, sign_in_id: int) -> None:
        """Notes that a browser is in use; idleness counts from here."""
        with self.store.writing() as session:
            row = session.get(SignInRow, sign_in_id)
            if row is not None:
                row.seen_at = now_utc()

    def open_room(self, sign_in_id: int, room: int | None) -> None:
        """Opens the room of a coach for a head in this browser; None is their own."""
        with self.store.writing() as session:
            row = session.get(SignInRow, sign_in_id)
            if row is not None:
                row.room = room

    def of(self, account_id: int, this: int = 0) -> list[Browser]:
        """The browsers an account is signed in with, the newest first."""
        now = now_utc()
        with self.store.reading() as session:
            rows = session.scalars(
                select(SignInRow)
                .where(SignInRow.account_id == account_id, SignInRow.ends_at > now)
                .order_by(SignInRow.id.desc())
            )
            return [
                Browser(id=row.id, browser=row.browser, made_at=row.made_at, seen_at=row.seen_at, this=row.id == this)
                for row in rows
                if row.seen_at + IDLE > now
            ]

    def end(self, account_id: int, sign_in_id: int | None = None, *, but: int | None = None) -> None:
        """Signs out one browser of an account, or all (`but` one)."""
        mine = [SignInRow.account_id == account_id]
        if sign_in_id is not None:
            mine.append(SignInRow.id == sign_in_id)
        if but is not None:
            mine.append(SignInRow.id != but)
        with self.store.writing() as session:
            session.execute(delete(SignInRow).where(*mine))

    def change_password(self, account_id: int, old: str, new: str, *, this: int) -> None:
        """Keeps another password; every other way in ends (browsers, passkeys, tokens). Raises UserError where the old one is wrong or the new one will not do."""
        with self.store.reading() as session:
            row = session.get_one(AccountRow, account_id)
            kept, names = row.password, (row.name, row.sign_in)
        if kept is not None and not passwords.matches(kept, old):
            raise UserError(Message("store.the_password_of_now_is"))
        passwords.check(new, *names)
        fresh = passwords.hashed(new)
        with self.store.writing() as session:
            session.get_one(AccountRow, account_id).password = fresh
            end_credentials(session, account_id, "password changed", but_sign_in=this)


def who_of(session: Session, account: AccountRow, room: int | None = None) -> CurrentUser:
    """What is an account's: a coach's room, the room a head has open, the players of others."""
    if account.role in ("head", "coach"):
        mine = room if room is not None and account.role == "head" else account.id
        return CurrentUser(account_id=account.id, name=account.name, role=account.role, room=mine)  # type: ignore[arg-type]
    with as_user(None):
        players = session.scalars(
            select(TieRow.player_id).where(TieRow.account_id == account.id).order_by(TieRow.id)
        ).all()
    return CurrentUser(account_id=account.id, name=account.name, role=account.role, players=tuple(players))  # type: ignore[arg-type]


def _lacks_second_step(session: Session, account: AccountRow) -> bool:
    if account.password is None:
        return False
    setting = session.get(SettingRow, SECOND_STEP)
    demanded = DEMANDED.get(setting.value if setting else USUAL[SECOND_STEP], frozenset())
    return account.role in demanded and not second_factor.is_on(session, account.id)


def _new_link_by(session: Session, account_id: int, now: datetime.datetime) -> str:
    """The name of whoever made the open link; "" without one, or for one's own."""
    made_by = session.scalar(
        select(InvitationRow.made_by).where(
            InvitationRow.account_id == account_id,
            InvitationRow.used_at.is_(None),
            InvitationRow.revoked_at.is_(None),
            InvitationRow.ends_at > now,
        )
    )
    if made_by is None or made_by == account_id:
        return ""
    maker = session.get(AccountRow, made_by)
    return maker.name if maker else ON_THE_SERVER


def forget_old(session: Session) -> None:
    """Drops sign-ins that have ended."""
    now = now_utc()
    session.execute(delete(SignInRow).where((SignInRow.ends_at < now) | (SignInRow.seen_at < now - IDLE)))
