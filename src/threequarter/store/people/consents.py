"""Consent to be filmed: given by the player or a guardian, dated, and taken back on any later day."""

import datetime
from dataclasses import dataclass

from sqlalchemy import ColumnElement, Select, select
from sqlalchemy.orm import Session

from threequarter.golf.errors import NotThereError, UserError
from threequarter.golf.message import Message
from threequarter.store.accounts.current_user import current_user
from threequarter.store.database.schema import ClipRow, ConsentRow, SessionRow
from threequarter.store.imports.save_import import now_utc, one_player
from threequarter.store.store import Store


@dataclass(frozen=True, slots=True, kw_only=True)
class Consent:
    """A consent: who gave it and when; taken back when, None while it stands."""

    id: int
    by_whom: str
    given_at: datetime.datetime
    revoked_at: datetime.datetime | None


class Consents:
    """The consents of a store. A new film needs one that stands; one taken back stays as a dated record."""

    def __init__(self, store: Store) -> None:
        self.store = store

    def stands(self, session_id: int | None) -> bool:
        """Whether the player of a session agrees to be filmed."""
        with self.store.reading() as session:
            return _standing(session, _about_session(session, session_id)) is not None

    def give(self, session_id: int | None, by_whom: str) -> None:
        """Keeps that the player of a session agreed; nothing new where that stands already."""
        with self.store.writing() as session:
            if session_id is not None and session.get(SessionRow, session_id) is None:
                raise NotThereError(Message("store.there_is_no_session", session_id=session_id))
            player_id = _player_of(session, session_id)
            about = _about_session(session, session_id)
            _give(session, about, by_whom, player_id=player_id, session_id=None if player_id else session_id)

    def of_player(self, player: str) -> list[Consent]:
        """All consents of a player, newest first. Raises UserError for one who is not there."""
        with self.store.reading() as session:
            about = ConsentRow.player_id == one_player(session, player).id
            rows = session.scalars(select(ConsentRow).where(about).order_by(ConsentRow.id.desc())).all()
            return [
                Consent(id=row.id, by_whom=row.by_whom, given_at=row.given_at, revoked_at=row.revoked_at)
                for row in rows
            ]

    def give_for(self, player: str, by_whom: str) -> None:
        """Keeps that a player agreed."""
        if not by_whom.strip():
            raise UserError(Message("store.say_who_agreed_the_player"))
        with self.store.writing() as session:
            row = one_player(session, player)
            _give(session, ConsentRow.player_id == row.id, by_whom, player_id=row.id, session_id=None)

    def revoke(self, player: str) -> list[int]:
        """Takes the consent of a player back: from now on no new film. Returns the clips there are, which may be deleted.

        Raises UserError where no consent stands.
        """
        with self.store.writing() as session:
            row = one_player(session, player)
            standing = _standing(session, ConsentRow.player_id == row.id)
            if standing is None:
                raise UserError(Message("store.has_given_no_consent_that", name=row.name))
            who = current_user()
            standing.revoked_at, standing.revoked_by = now_utc(), who.account_id if who else 0
            return list(session.scalars(_clips_of(row.id)))

    def clips_of(self, player: str) -> list[int]:
        """The clips of a player. Raises UserError for one who is not there."""
        with self.store.reading() as session:
            return list(session.scalars(_clips_of(one_player(session, player).id)))


def _clips_of(player_id: int) -> Select[int]:
    return select(ClipRow.id).join(SessionRow).where(SessionRow.player_id == player_id).order_by(ClipRow.id)


def _player_of(session: Session, session_id: int | None) -> int | None:
    row = session.get(SessionRow, session_id) if session_id is not None else None
    return row.player_id if row is not None else None


def _about_session(session: Session, session_id: int | None) -> ColumnElement[bool]:
    player_id = _player_of(session, session_id)
    if player_id is not None:
        return ConsentRow.player_id == player_id
    nobodys = ConsentRow.player_id.is_(None)
    return nobodys & (ConsentRow.session_id.is_(None) if session_id is None else ConsentRow.session_id == session_id)


def _standing(session: Session, about: ColumnElement[bool]) -> ConsentRow | None:
    query = select(ConsentRow).where(about, ConsentRow.revoked_at.is_(None)).order_by(ConsentRow.id.desc())
    return session.scalars(query).first()


def _give(
    session: Session, about: ColumnElement[bool], by_whom: str, *, player_id: int | None, session_id: int | None
) -> None:
    if _standing(session, about) is None:
        who = current_user()
        session.add(
            ConsentRow(
                player_id=player_id,
                session_id=session_id,
                by_whom=by_whom.strip()[:300] or "the player",
                given_at=now_utc(),
                given_by=who.account_id if who else 0,
            )
        )
