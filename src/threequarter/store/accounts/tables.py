"""The tables of accounts. Of every secret only a fingerprint is kept; what an act was about stands there by number, never by name."""

import datetime

from sqlalchemy import DateTime, ForeignKey, Index, Integer, String, Text, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from threequarter.store.database.base import Base


class AccountRow(Base):
    """A person who signs in. `handle` is what a passkey knows them by; `password` its Argon2id hash, empty where there is none."""

    __tablename__ = "account"
    id: Mapped[int] = mapped_column(primary_key=True)
    sign_in: Mapped[str] = mapped_column(String(300), unique=True)
    name: Mapped[str] = mapped_column(String(300))
    role: Mapped[str] = mapped_column(String(10))
    handle: Mapped[str] = mapped_column(String(64), unique=True)
    password: Mapped[str | None] = mapped_column(Text)
    made_at: Mapped[datetime.datetime] = mapped_column(DateTime)
    ended_at: Mapped[datetime.datetime | None] = mapped_column(DateTime)


class PasskeyRow(Base):
    """A passkey of an account: its public half. `key` is the fingerprint of its id."""

    __tablename__ = "passkey"
    id: Mapped[int] = mapped_column(primary_key=True)
    account_id: Mapped[int] = mapped_column(ForeignKey("account.id"), index=True)
    key: Mapped[str] = mapped_column(String(64), unique=True)
    credential: Mapped[str] = mapped_column(Text)
    public_key: Mapped[str] = mapped_column(Text)
    sign_count: Mapped[int] = mapped_column(Integer)
    name: Mapped[str] = mapped_column(String(80))
    made_at: Mapped[datetime.datetime] = mapped_column(DateTime)
    used_at: Mapped[datetime.datetime | None] = mapped_column(DateTime)


class SecondFactorRow(Base):
    """The second step beside the password of an account: what it shares with an authenticator app (RFC 6238), in base32.

    It holds from `since` on; before, the app is only being set up. `last_step` is the time step of the newest code that was taken.
    """

    __tablename__ = "second_step"
    account_id: Mapped[int] = mapped_column(ForeignKey("account.id"), primary_key=True, autoincrement=False)
    secret: Mapped[str] = mapped_column(String(64))
    made_at: Mapped[datetime.datetime] = mapped_column(DateTime)
    since: Mapped[datetime.datetime | None] = mapped_column(DateTime)
    last_step: Mapped[int] = mapped_column(Integer)


class RecoveryCodeRow(Base):
    """A code that stands in for the app once, by its fingerprint; it goes when it is used."""

    __tablename__ = "recovery_code"
    token: Mapped[str] = mapped_column(String(64), primary_key=True)
    account_id: Mapped[int] = mapped_column(ForeignKey("account.id"), index=True)


class PendingSignInRow(Base):
    """A browser whose password was right and whose second step is awaited, by the fingerprint of its cookie."""

    __tablename__ = "half_sign_in"
    token: Mapped[str] = mapped_column(String(64), primary_key=True)
    account_id: Mapped[int] = mapped_column(ForeignKey("account.id"), index=True)
    ends_at: Mapped[datetime.datetime] = mapped_column(DateTime)


class SignInRow(Base):
    """A browser that is signed in, by the fingerprint of its cookie. `room` is the coach whose players a head has open."""

    __tablename__ = "sign_in"
    id: Mapped[int] = mapped_column(primary_key=True)
    account_id: Mapped[int] = mapped_column(ForeignKey("account.id"), index=True)
    token: Mapped[str] = mapped_column(String(64), unique=True)
    browser: Mapped[str] = mapped_column(String(200))
    room: Mapped[int | None] = mapped_column(Integer)
    made_at: Mapped[datetime.datetime] = mapped_column(DateTime)
    seen_at: Mapped[datetime.datetime] = mapped_column(DateTime)
    ends_at: Mapped[datetime.datetime] = mapped_column(DateTime)


class InvitationRow(Base):
    """A link that lets somebody choose how to sign in, once. `made_by` 0 is the command line."""

    __tablename__ = "invitation"
    id: Mapped[int] = mapped_column(primary_key=True)
    account_id: Mapped[int] = mapped_column(ForeignKey("account.id"), index=True)
    token: Mapped[str] = mapped_column(String(64), unique=True)
    made_by: Mapped[int] = mapped_column(Integer)
    made_at: Mapped[datetime.datetime] = mapped_column(DateTime)
    ends_at: Mapped[datetime.datetime] = mapped_column(DateTime)
    used_at: Mapped[datetime.datetime | None] = mapped_column(DateTime)
    revoked_at: Mapped[datetime.datetime | None] = mapped_column(DateTime)


class TieRow(Base):
    """Whose data an account sees: their own ("self") or a child's ("child")."""

    __tablename__ = "tie"
    __table_args__ = (UniqueConstraint("account_id", "player_id", name="uq_tie_account_player"),)
    id: Mapped[int] = mapped_column(primary_key=True)
    account_id: Mapped[int] = mapped_column(ForeignKey("account.id"))
    player_id: Mapped[int] = mapped_column(ForeignKey("player.id"), index=True)
    kind: Mapped[str] = mapped_column(String(10))


class ShareRow(Base):
    """A link that shows one report or card of one session to whoever has it, until its end."""

    __tablename__ = "share"
    id: Mapped[int] = mapped_column(primary_key=True)
    session_id: Mapped[int] = mapped_column(ForeignKey("session.id"), index=True)
    what: Mapped[str] = mapped_column(String(10))
    token: Mapped[str] = mapped_column(String(64), unique=True)
    made_by: Mapped[int] = mapped_column(Integer)
    made_at: Mapped[datetime.datetime] = mapped_column(DateTime)
    ends_at: Mapped[datetime.datetime] = mapped_column(DateTime)
    revoked_at: Mapped[datetime.datetime | None] = mapped_column(DateTime)


class ChallengeRow(Base):
    """A question put to a passkey, by its fingerprint; it is answered once."""

    __tablename__ = "challenge"
    token: Mapped[str] = mapped_column(String(64), primary_key=True)
    account_id: Mapped[int | None] = mapped_column(Integer)
    ends_at: Mapped[datetime.datetime] = mapped_column(DateTime)


class TriesRow(Base):
    """How often something was tried in a window of time, counted for all servers and over restarts. `key` is a fingerprint."""

    __tablename__ = "tries"
    key: Mapped[str] = mapped_column(String(64), primary_key=True)
    since: Mapped[datetime.datetime] = mapped_column(DateTime)
    count: Mapped[int] = mapped_column(Integer)


class AuditRow(Base):
    """Who did or looked at what, and when (UTC). Numbers, not names: an erased player leaves no name here. `account_id` 0 is the command line."""

    __tablename__ = "audit"
    __table_args__ = (Index("ix_audit_player", "player_id", "id"),)
    id: Mapped[int] = mapped_column(primary_key=True)
    at: Mapped[datetime.datetime] = mapped_column(DateTime, index=True)
    account_id: Mapped[int] = mapped_column(Integer)
    act: Mapped[str] = mapped_column(String(40))
    kind: Mapped[str | None] = mapped_column(String(20))
    number: Mapped[int | None] = mapped_column(Integer)
    player_id: Mapped[int | None] = mapped_column(Integer)
    detail: Mapped[str | None] = mapped_column(String(200))
    address: Mapped[str | None] = mapped_column(String(60))
    mark: Mapped[str | None] = mapped_column(String(64))
    """Of this line and the mark before it (`record_chain`); None in lines of release 0.1.0."""


class SettingRow(Base):
    """A setting of the whole installation."""

    __tablename__ = "setting"
    key: Mapped[str] = mapped_column(String(60), primary_key=True)
    value: Mapped[str] = mapped_column(Text)
    changed_at: Mapped[datetime.datetime] = mapped_column(DateTime)
