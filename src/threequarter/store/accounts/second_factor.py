"""The second step beside a password: codes of an authenticator app (TOTP, RFC 6238), and recovery codes for when the app is lost.

Passkeys are two steps by themselves and are asked for none. A code is taken once, and only from the time step of now, the one
before and the one after.
"""

import base64
import datetime
import secrets
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final, Literal

from sqlalchemy import Delete, Update, delete, func, select, update
from sqlalchemy.orm import Session

from threequarter.golf.errors import UserError
from threequarter.golf.message import Message
from threequarter.store.accounts.credentials import end_credentials
from threequarter.store.accounts.secrets import fingerprint, new_secret
from threequarter.store.accounts.tables import AccountRow, PendingSignInRow, RecoveryCodeRow, SecondFactorRow
from threequarter.store.imports.save_import import now_utc
from threequarter.store.store import Store

if TYPE_CHECKING:
    from cryptography.hazmat.primitives.twofactor.totp import TOTP

STEP_S: Final = 30
DIGITS: Final = 6
SECRET_BYTES: Final = 20
"""As long as the hash, SHA-1, which is the one that every authenticator app knows (RFC 4226, 4: 160 bits are recommended)."""
NEAR: Final = (0, -1, 1)
"""Steps in which a code is taken, counted from now: a clock may be half a minute off, and typing takes a while (RFC 6238, 5.2)."""
CODES: Final = 10
GROUPS: Final = 6
LETTERS: Final = "ABCDEFGHJKLMNPQRSTUVWXYZ23456789"
"""Of recovery codes: 32 that cannot be mistaken for each other. 24 of them are 120 bits, so there is nothing to guess."""
SETTING_UP: Final = datetime.timedelta(minutes=30)
HALF_LIVES: Final = datetime.timedelta(minutes=10)
ISSUER: Final = "threequarter"
How = Literal["code", "recovery code"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Shared:
    """What an app is set up with: the secret to type (base32, in groups of four) and the same as an otpauth address."""

    text: str
    address: str


@dataclass(frozen=True, slots=True, kw_only=True)
class State:
    """Since when the second step of an account is on (None: it is off), and how many recovery codes are left."""

    since: datetime.datetime | None
    codes_left: int

    @property
    def on(self) -> bool:
        """Whether it is asked for."""
        return self.since is not None


class SecondFactor:
    """The second steps of a store."""

    def __init__(self, store: Store) -> None:
        self.store = store

    def state(self, account_id: int) -> State:
        """How it stands with an account."""
        with self.store.reading() as session:
            row = session.get(SecondFactorRow, account_id)
            mine = select(func.count()).select_from(RecoveryCodeRow).where(RecoveryCodeRow.account_id == account_id)
            return State(since=row.since if row else None, codes_left=session.scalar(mine) or 0)

    def begin(self, account_id: int) -> None:
        """Makes a secret for an app to be set up with. Raises UserError where it is on already, or there is no password."""
        with self.store.writing() as session:
            if session.get_one(AccountRow, account_id).password is None:
                raise UserError(Message("store.a_second_step_is_asked"))
            if is_on(session, account_id):
                raise UserError(Message("store.the_second_step_is_on"))
            session.execute(delete(SecondFactorRow).where(SecondFactorRow.account_id == account_id))
            secret = base64.b32encode(secrets.token_bytes(SECRET_BYTES)).decode()
            session.add(
                SecondFactorRow(account_id=account_id, secret=secret, made_at=now_utc(), since=None, last_step=0)
            )

    def begun(self, account_id: int) -> Shared | None:
        """What the app is being set up with; None where nothing was begun, that was long ago, or it is on already."""
        with self.store.reading() as session:
            row = _begun(session, account_id)
            name = session.get_one(AccountRow, account_id).sign_in
            if row is None:
                return None
            groups = [row.secret[at : at + 4] for at in range(0, len(row.secret), 4)]
            return Shared(text=" ".join(groups), address=_totp(row.secret).get_provisioning_uri(name, ISSUER))

    def switch_on(self, account_id: int, typed: str, *, this: int | None = None) -> list[str]:
        """Asks for it from now on; returns the recovery codes, told this once. Every browser but `this` is signed out: it came in
        without. Raises UserError for a code that the app would not show."""
        with self.store.writing() as session:
            row = _begun(session, account_id)
            if row is None:
                raise UserError(Message("store.that_took_too_long_begin"))
            if not _take_code(session, row, typed):
                raise UserError(Message("store.the_app_shows_another_code"))
            row.since = now_utc()
            end_credentials(session, account_id, "second step switched on", but_sign_in=this)
            return _new_codes(session, account_id)

    def check(self, account_id: int, typed: str) -> How | None:
        """Takes a code of the app, or a recovery code, once; None for any other, and where it is off."""
        with self.store.writing() as session:
            row = session.get(SecondFactorRow, account_id)
            if row is None or row.since is None:
                return None
            if is_recovery(typed):
                return "recovery code" if _take_recovery(session, account_id, typed) else None
            return "code" if _take_code(session, row, typed) else None

    def new_codes(self, account_id: int) -> list[str]:
        """Recovery codes in place of those before, told this once. Raises UserError where the second step is off."""
        with self.store.writing() as session:
            if not is_on(session, account_id):
                raise UserError(Message("store.the_second_step_is_off"))
            return _new_codes(session, account_id)

    def switch_off(self, account_id: int) -> bool:
        """Asks for it no more; returns whether it was on."""
        with self.store.writing() as session:
            return forget(session, account_id)

    def begin_half(self, account_id: int) -> str:
        """After a right password: the secret for the cookie of a browser that is not signed in yet. It opens nothing."""
        secret, now = new_secret(), now_utc()
        with self.store.writing() as session:
            session.execute(delete(PendingSignInRow).where(PendingSignInRow.ends_at <= now))
            session.add(PendingSignInRow(token=fingerprint(secret), account_id=account_id, ends_at=now + HALF_LIVES))
        return secret

    def half(self, secret: str) -> int | None:
        """Whose second step is awaited by the cookie of a browser; None for one that is wrong, old or used."""
        with self.store.reading() as session:
            row = session.get(PendingSignInRow, fingerprint(secret))
            return row.account_id if row is not None and row.ends_at > now_utc() else None

    def end_half(self, secret: str) -> bool:
        """Uses a half sign-in up; whether it was still there."""
        with self.store.writing() as session:
            gone = delete(PendingSignInRow).where(PendingSignInRow.token == fingerprint(secret))
            return _changed(session, gone)


def is_recovery(typed: str) -> bool:
    """Whether what was typed has the length of a recovery code."""
    return len(_letters(typed)) == 4 * GROUPS


def forget(session: Session, account_id: int) -> bool:
    """Takes the second step of an account away with all that belongs to it; returns whether it was on."""
    on = is_on(session, account_id)
    for table in (SecondFactorRow, RecoveryCodeRow, PendingSignInRow):
        session.execute(delete(table).where(table.account_id == account_id))
    return on


def forget_old(session: Session) -> None:
    """Drops what was begun and not ended."""
    now = now_utc()
    session.execute(delete(PendingSignInRow).where(PendingSignInRow.ends_at <= now))
    session.execute(
        delete(SecondFactorRow).where(SecondFactorRow.since.is_(None), SecondFactorRow.made_at < now - SETTING_UP)
    )


def is_on(session: Session, account_id: int) -> bool:
    """Whether an account has a second step."""
    row = session.get(SecondFactorRow, account_id)
    return row is not None and row.since is not None


def _begun(session: Session, account_id: int) -> SecondFactorRow | None:
    row = session.get(SecondFactorRow, account_id)
    return row if row is not None and row.since is None and row.made_at > now_utc() - SETTING_UP else None


def _take_code(session: Session, row: SecondFactorRow, typed: str) -> bool:
    """Takes a code once, also when two requests bring it at the same time: the step goes forward in one statement or not at all."""
    code = "".join(typed.split())
    if not (code.isascii() and code.isdigit() and len(code) == DIGITS):
        return False
    step = _step_of(row.secret, code)
    if step is None:
        return False
    older = (SecondFactorRow.account_id == row.account_id, SecondFactorRow.last_step < step)
    return _changed(session, update(SecondFactorRow).where(*older).values(last_step=step))


def _step_of(secret: str, code: str) -> int | None:
    """The time step near now whose code it is."""
    from cryptography.hazmat.primitives.twofactor import InvalidToken

    now = int(now_utc().replace(tzinfo=datetime.UTC).timestamp()) // STEP_S
    for step in (now + near for near in NEAR):
        try:
            _totp(secret).verify(code.encode(), step * STEP_S)
        except InvalidToken:
            continue
        return step
    return None


def _totp(secret: str) -> "TOTP":
    from cryptography.hazmat.primitives.hashes import SHA1
    from cryptography.hazmat.primitives.twofactor.totp import TOTP

    return TOTP(base64.b32decode(secret), DIGITS, SHA1(), STEP_S)


def _new_codes(session: Session, account_id: int) -> list[str]:
    codes = ["-".join(_random(4) for _group in range(GROUPS)) for _code in range(CODES)]
    session.execute(delete(RecoveryCodeRow).where(RecoveryCodeRow.account_id == account_id))
    session.add_all(RecoveryCodeRow(token=fingerprint(_letters(code)), account_id=account_id) for code in codes)
    return codes


def _random(letters: int) -> str:
    return "".join(secrets.choice(LETTERS) for _one in range(letters))


def _take_recovery(session: Session, account_id: int, typed: str) -> bool:
    mine = (RecoveryCodeRow.account_id == account_id, RecoveryCodeRow.token == fingerprint(_letters(typed)))
    return _changed(session, delete(RecoveryCodeRow).where(*mine))


def _letters(typed: str) -> str:
    """A recovery code as it is counted, however it was typed."""
    return "".join(letter for letter in typed.upper() if letter.isalnum())


def _changed(session: Session, statement: Delete | Update) -> bool:
    return bool(session.execute(statement).rowcount)  # type: ignore[attr-defined]
