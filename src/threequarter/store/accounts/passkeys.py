"""Passkeys: made and answered by the browser (WebAuthn), checked by a library. The person is verified by the device each time."""

import base64
import datetime
import hashlib
import json
from dataclasses import dataclass
from typing import Any, Final

from sqlalchemy import delete, select

from threequarter.golf.errors import NotThereError, UserError
from threequarter.golf.message import Message
from threequarter.store.accounts.tables import AccountRow, ChallengeRow, PasskeyRow
from threequarter.store.imports.save_import import now_utc
from threequarter.store.store import Store

CHALLENGE_LIVES: Final = datetime.timedelta(minutes=5)
MOST: Final = 20
NAME: Final = "threequarter"


@dataclass(frozen=True, slots=True, kw_only=True)
class Passkey:
    """A passkey in a list."""

    id: int
    name: str | Message
    made_at: datetime.datetime
    used_at: datetime.datetime | None


class Passkeys:
    """The passkeys of a store, for a server at `origin` (scheme, name, port) whose name is `host`."""

    def __init__(self, store: Store, origin: str, host: str) -> None:
        self.store, self.origin, self.host = store, origin, host

    def begin_making(self, account_id: int) -> str:
        """What the browser needs to make a passkey for an account (JSON)."""
        from webauthn import generate_registration_options, options_to_json
        from webauthn.helpers.structs import (
            AuthenticatorSelectionCriteria,
            PublicKeyCredentialDescriptor,
            ResidentKeyRequirement,
            UserVerificationRequirement,
        )

        with self.store.reading() as session:
            account = session.get_one(AccountRow, account_id)
            known = session.scalars(select(PasskeyRow.credential).where(PasskeyRow.account_id == account_id)).all()
            if len(known) >= MOST:
                raise UserError(Message("store.an_account_has_at_most", most=MOST))
            options = generate_registration_options(
                rp_id=self.host,
                rp_name=NAME,
                user_name=account.sign_in,
                user_display_name=account.name,
                user_id=account.handle.encode(),
                exclude_credentials=[PublicKeyCredentialDescriptor(id=_from(key)) for key in known],
                authenticator_selection=AuthenticatorSelectionCriteria(
                    resident_key=ResidentKeyRequirement.REQUIRED, user_verification=UserVerificationRequirement.REQUIRED
                ),
            )
        self._ask(options.challenge, account_id)
        return options_to_json(options)

    def keep(self, account_id: int, answer: dict[str, Any], name: str) -> int:
        """Keeps the passkey a browser has made. Raises UserError for an answer that does not fit."""
        from webauthn import verify_registration_response
        from webauthn.helpers.exceptions import WebAuthnException

        challenge = self._answered(answer, account_id)
        try:
            made = verify_registration_response(
                credential=answer,
                expected_challenge=challenge,
                expected_rp_id=self.host,
                expected_origin=self.origin,
                require_user_verification=True,
            )
        except (WebAuthnException, ValueError, KeyError, TypeError):
            raise UserError(Message("store.the_passkey_was_not_accepted")) from None
        key = hashlib.sha256(made.credential_id).hexdigest()
        with self.store.writing() as session:
            if session.scalar(select(PasskeyRow.id).where(PasskeyRow.key == key)) is not None:
                raise UserError(Message("store.that_passkey_is_known_already"))
            row = PasskeyRow(
                account_id=account_id,
                key=key,
                credential=_to(made.credential_id),
                public_key=_to(made.credential_public_key),
                sign_count=made.sign_count,
                name=name.strip()[:80],
                made_at=now_utc(),
                used_at=None,
            )
            session.add(row)
            session.flush()
            return row.id

    def begin_sign_in(self) -> str:
        """What the browser needs to ask for any passkey of this server (JSON); nothing tells which accounts there are."""
        from webauthn import generate_authentication_options, options_to_json
        from webauthn.helpers.structs import UserVerificationRequirement

        options = generate_authentication_options(
            rp_id=self.host, user_verification=UserVerificationRequirement.REQUIRED
        )
        self._ask(options.challenge, None)
        return options_to_json(options)

    def sign_in(self, answer: dict[str, Any]) -> int:
        """The account of the passkey that answered. Raises UserError for an answer that does not fit."""
        from webauthn import verify_authentication_response
        from webauthn.helpers.exceptions import WebAuthnException

        wrong = UserError(Message("store.that_passkey_does_not_open"))
        challenge = self._answered(answer, None)
        with self.store.reading() as session:
            try:
                key = hashlib.sha256(_from(str(answer.get("rawId", "")))).hexdigest()
            except ValueError:
                raise wrong from None
            row = session.scalars(select(PasskeyRow).where(PasskeyRow.key == key)).first()
            if row is None or session.get_one(AccountRow, row.account_id).ended_at is not None:
                raise wrong
            passkey_id, account_id, public, count = row.id, row.account_id, _from(row.public_key), row.sign_count
        try:
            done = verify_authentication_response(
                credential=answer,
                expected_challenge=challenge,
                expected_rp_id=self.host,
                expected_origin=self.origin,
                credential_public_key=public,
                credential_current_sign_count=count,
                require_user_verification=True,
            )
        except (WebAuthnException, ValueError, KeyError, TypeError):
            raise wrong from None
        with self.store.writing() as session:
            kept = session.get_one(PasskeyRow, passkey_id)
            kept.sign_count, kept.used_at = done.new_sign_count, now_utc()
        return account_id

    def _ask(self, challenge: bytes, account_id: int | None) -> None:
        with self.store.writing() as session:
            session.execute(delete(ChallengeRow).where(ChallengeRow.ends_at < now_utc()))
            session.add(
                ChallengeRow(
                    token=hashlib.sha256(challenge).hexdigest(),
                    account_id=account_id,
                    ends_at=now_utc() + CHALLENGE_LIVES,
                )
            )

    def _answered(self, answer: dict[str, Any], account_id: int | None) -> bytes:
        """The challenge that an answer names, used up; one that was never put, is old, or is another's is refused."""
        stale = UserError(Message("store.that_took_too_long_or"))
        try:
            told = json.loads(_from(str(answer["response"]["clientDataJSON"])))
            challenge = _from(str(told["challenge"]))
        except (KeyError, TypeError, ValueError):
            raise stale from None
        with self.store.writing() as session:
            row = session.get(ChallengeRow, hashlib.sha256(challenge).hexdigest())
            if row is None or row.ends_at < now_utc() or row.account_id != account_id:
                raise stale
            session.delete(row)
        return challenge


def passkeys_of(store: Store, account_id: int) -> list[Passkey]:
    """The passkeys of an account, oldest first."""
    with store.reading() as session:
        rows = session.scalars(select(PasskeyRow).where(PasskeyRow.account_id == account_id).order_by(PasskeyRow.id))
        unnamed = Message("store.a_passkey")
        return [Passkey(id=row.id, name=row.name or unnamed, made_at=row.made_at, used_at=row.used_at) for row in rows]


def remove_passkey(store: Store, account_id: int, passkey_id: int) -> None:
    """Takes a passkey away. Raises UserError for one that is not theirs, or the last way in."""
    with store.writing() as session:
        row = session.get(PasskeyRow, passkey_id)
        if row is None or row.account_id != account_id:
            raise NotThereError(Message("store.there_is_no_such_passkey"))
        others = select(PasskeyRow.id).where(PasskeyRow.account_id == account_id, PasskeyRow.id != passkey_id)
        if session.get_one(AccountRow, account_id).password is None and session.scalar(others.limit(1)) is None:
            raise UserError(Message("store.that_is_the_only_way"))
        session.delete(row)


def _to(raw: bytes) -> str:
    return base64.urlsafe_b64encode(raw).rstrip(b"=").decode()


def _from(text: str) -> bytes:
    return base64.b64decode(text + "=" * (-len(text) % 4), altchars=b"-_", validate=True)
