"""Links for others: one report or card of one session, for whoever has the link, until a day, and not longer than wanted."""

import datetime
from dataclasses import dataclass
from typing import Final, Literal

from sqlalchemy import select

from threequarter.golf.errors import NotThereError, UserError
from threequarter.golf.message import Message
from threequarter.store.accounts.current_user import CurrentUser, as_user, current_user
from threequarter.store.accounts.secrets import fingerprint, new_secret
from threequarter.store.accounts.tables import ShareRow
from threequarter.store.database.schema import PlayerRow, SessionRow
from threequarter.store.imports.save_import import now_utc
from threequarter.store.store import Store

What = Literal["report", "card"]
WHAT: Final = ("report", "card")
BYTES: Final = 16
"""128 bits."""
USUAL_DAYS: Final = 30
MOST_DAYS: Final = 365


@dataclass(frozen=True, slots=True, kw_only=True)
class Share:
    """A link in a list; its secret is not known any more."""

    id: int
    session_id: int
    what: str
    made_at: datetime.datetime
    ends_at: datetime.datetime
    open: bool


class Shares:
    """The links of a store."""

    def __init__(self, store: Store) -> None:
        self.store = store

    def make(self, session_id: int, what: str, days: int = USUAL_DAYS) -> str:
        """A new link's secret. Raises UserError for what cannot be shared, or for too long."""
        if what not in WHAT:
            raise UserError(Message("store.a_link_shows_a_report"))
        if not 1 <= days <= MOST_DAYS:
            raise UserError(Message("store.a_link_lives_1_to", most=MOST_DAYS))
        secret, now, who = new_secret(BYTES), now_utc(), current_user()
        with self.store.writing() as session:
            if session.get(SessionRow, session_id) is None:
                raise NotThereError(Message("store.there_is_no_such_session"))
            session.add(
                ShareRow(
                    session_id=session_id,
                    what=what,
                    token=fingerprint(secret),
                    made_by=who.account_id if who else 0,
                    made_at=now,
                    ends_at=now + datetime.timedelta(days=days),
                    revoked_at=None,
                )
            )
        return secret

    def who(self, secret: str) -> tuple[CurrentUser, int, str] | None:
        """What a link shows: as whom it is looked at, the session, report or card; None for a wrong, ended or revoked one alike."""
        with self.store.reading() as session, as_user(None):
            asked = select(ShareRow).where(
                ShareRow.token == fingerprint(secret), ShareRow.revoked_at.is_(None), ShareRow.ends_at > now_utc()
            )
            row = session.scalars(asked).first()  # a row that holds no more is not even fetched: that would take longer
            if row is None:
                return None
            of = session.get_one(SessionRow, row.session_id)
            if of.binned_at is not None:
                return None
            players = (of.player_id,) if of.player_id is not None else ()
            return CurrentUser(account_id=0, name="", role="link", players=players, sessions=(of.id,)), of.id, row.what

    def of_sessions(self, session_ids: list[int]) -> list[Share]:
        """The links of some sessions, the newest first."""
        with self.store.reading() as session:
            rows = session.scalars(
                select(ShareRow).where(ShareRow.session_id.in_(session_ids)).order_by(ShareRow.id.desc())
            )
            now = now_utc()
            return [
                Share(
                    id=row.id,
                    session_id=row.session_id,
                    what=row.what,
                    made_at=row.made_at,
                    ends_at=row.ends_at,
                    open=row.revoked_at is None and row.ends_at > now,
                )
                for row in rows
            ]

    def of_player(self, player_id: int) -> list[Share]:
        """The links of a player's sessions."""
        with self.store.reading() as session:
            ids = list(session.scalars(select(SessionRow.id).where(SessionRow.player_id == player_id)))
        return self.of_sessions(ids)

    def revoke(self, share_id: int) -> int:
        """Ends a link at once; returns its session. Raises UserError where there is none."""
        with self.store.writing() as session:
            row = session.get(ShareRow, share_id)
            if row is None or session.get(SessionRow, row.session_id) is None:
                raise NotThereError(Message("store.there_is_no_such_link"))
            row.revoked_at = row.revoked_at or now_utc()
            return row.session_id


def player_id_of(store: Store, name: str) -> int | None:
    """The id of a player by name, as far as whoever asks may know."""
    from threequarter.store.imports.save_import import player_named

    with store.reading() as session:
        row: PlayerRow | None = player_named(session, name)
        return row.id if row else None
