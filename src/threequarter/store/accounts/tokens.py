"""Tokens for scripts: made once and shown once; only a fingerprint is kept, so that nobody can read one here again."""

import datetime
import hashlib
import secrets
from dataclasses import dataclass
from typing import Final, Literal, get_args

from sqlalchemy import select

from threequarter.golf.errors import NotThereError, UserError
from threequarter.golf.message import Message
from threequarter.store.database.schema import TokenRow
from threequarter.store.imports.save_import import now_utc
from threequarter.store.store import Store

Rights = Literal["read", "write"]
RIGHTS: Final = get_args(Rights)
BEGIN: Final = "tq_"
"""How a token begins, so that one left in a file can be found."""
MOST: Final = 100
USED_AGAIN: Final = datetime.timedelta(minutes=10)
"""The day of last use is noted at most so often: a script must not write with each question."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TokenInfo:
    """A token in a list: what it is called, what it may, when it was made and last used."""

    id: int
    name: str
    rights: Rights
    made_at: datetime.datetime
    used_at: datetime.datetime | None


class Tokens:
    """The tokens of a store."""

    def __init__(self, store: Store) -> None:
        self.store = store

    def add(self, name: str, rights: str = "read") -> str:
        """A new token, told this once. Raises UserError for a name that is empty or too long, or other rights."""
        name = " ".join(name.split())
        if not name or len(name) > 100 or "\0" in name:
            raise UserError(Message("store.give_the_token_a_name"))
        if rights not in RIGHTS:
            raise UserError(Message("store.a_token_may", rights=Message("store.read_or_write_and_read")))
        secret = BEGIN + secrets.token_urlsafe(32)
        with self.store.writing() as session:
            if len(session.scalars(select(TokenRow.id)).all()) >= MOST:
                raise UserError(Message("store.there_are_tokens_already_remove", most=MOST))
            session.add(
                TokenRow(name=name, fingerprint=fingerprint(secret), rights=rights, made_at=now_utc(), used_at=None)
            )
        return secret

    def all(self) -> list[TokenInfo]:
        """All tokens, the newest first."""
        with self.store.reading() as session:
            rows = session.scalars(select(TokenRow).order_by(TokenRow.id.desc())).all()
            return [
                TokenInfo(
                    id=row.id, name=row.name, rights=_rights(row.rights), made_at=row.made_at, used_at=row.used_at
                )
                for row in rows
            ]

    def remove(self, token_id: int) -> str:
        """Ends a token at once; returns its name. Raises UserError where there is none."""
        with self.store.writing() as session:
            row = session.get(TokenRow, token_id)
            if row is None:
                raise NotThereError(Message("store.there_is_no_token", number=token_id))
            session.delete(row)
            return row.name

    def rights_of(self, secret: str) -> Rights | None:
        """What a token may do; None for one that is unknown or was removed."""
        if not secret.startswith(BEGIN) or len(secret) > 100:
            return None
        with self.store.reading() as session:
            row = session.scalars(select(TokenRow).where(TokenRow.fingerprint == fingerprint(secret))).first()
            found = (row.id, _rights(row.rights), row.used_at) if row is not None else None
        if found is None:
            return None
        if found[2] is None or now_utc() - found[2] > USED_AGAIN:
            with self.store.writing() as session:
                used = session.get(TokenRow, found[0])
                if used is not None:
                    used.used_at = now_utc()
        return found[1]


def _rights(text: str) -> Rights:
    return "write" if text == "write" else "read"


def fingerprint(secret: str) -> str:
    """What is kept of a token. Plain SHA-256: the token is random and long, there is nothing to guess."""
    return hashlib.sha256(secret.encode()).hexdigest()
