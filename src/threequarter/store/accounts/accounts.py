"""The people with an account: who they are, whose players are whose, the links by which they come in the first time."""

import datetime
from dataclasses import dataclass
from typing import Final

from sqlalchemy import delete, func, or_, select, update
from sqlalchemy.orm import Session

from threequarter.golf.errors import NotThereError, UserError
from threequarter.golf.message import Message
from threequarter.golf.player import name_key
from threequarter.store.accounts import passwords
from threequarter.store.accounts.credentials import end_credentials, end_shares
from threequarter.store.accounts.current_user import NOBODYS, ROLES, as_user
from threequarter.store.accounts.secrets import fingerprint, new_secret
from threequarter.store.accounts.tables import (
    AccountRow,
    InvitationRow,
    PasskeyRow,
    SecondFactorRow,
    TieRow,
)
from threequarter.store.database.schema import ClipRow, PlayerRow, SessionRow, new_key
from threequarter.store.imports.save_import import now_utc
from threequarter.store.store import Store

INVITATION_LIVES: Final = datetime.timedelta(days=7)
LONGEST_NAME: Final = 300


@dataclass(frozen=True, slots=True, kw_only=True)
class Account:
    """A person with an account. `password`, `second_step` and `passkeys` say how they can sign in; `invited_until` that a link is open."""

    id: int
    sign_in: str
    name: str
    role: str
    ended: bool
    password: bool
    second_step: bool
    passkeys: int
    invited_until: datetime.datetime | None
    players: tuple[tuple[int, str], ...]


class Accounts:
    """The accounts of a store. Each method is one transaction; what a role may do is decided where it is asked for."""

    def __init__(self, store: Store) -> None:
        self.store = store

    def any(self) -> bool:
        """Whether there is an account at all: from then on everybody signs in."""
        with self.store.reading() as session:
            return session.scalar(select(AccountRow.id).limit(1)) is not None

    def add(self, role: str, name: str, sign_in: str = "", *, players: tuple[int, ...] = ()) -> int:
        """A new account, which nobody can use before its invitation is taken; the first one gets the players that are nobody's.

        Raises UserError for a name that is empty or a sign-in name that is taken.
        """
        name, key = " ".join(name.split()), name_key(sign_in or name)
        if not name or not key:
            raise UserError(Message("store.an_account_needs_a_name"))
        if len(name) > LONGEST_NAME or len(sign_in) > LONGEST_NAME:
            raise UserError(Message("store.a_name_has_at_most", most=LONGEST_NAME))
        if role not in ROLES:
            raise UserError(Message("store.a_role_is_one_of", roles=", ".join(ROLES)))
        if role in ("player", "guardian") and not players:
            raise UserError(Message("store.say_which_player_an_account"))
        with self.store.writing() as session:
            if session.scalar(select(AccountRow.id).where(AccountRow.sign_in == key)) is not None:
                raise UserError(Message("store.the_sign_in_name_is", name=key))
            first = session.scalar(select(func.count()).select_from(AccountRow)) == 0
            row = AccountRow(
                sign_in=key,
                name=name,
                role=role,
                handle=new_secret(32),
                password=None,
                made_at=now_utc(),
                ended_at=None,
            )
            session.add(row)
            session.flush()
            for player_id in players:
                _tie(session, row, player_id)
            if first and role in ("head", "coach"):
                _move_room(session, NOBODYS, row.id)
            return row.id

    def tie(self, account_id: int, player_id: int) -> None:
        """Lets an account see one more player: the player's own, or a guardian's child."""
        with self.store.writing() as session:
            _tie(session, _account(session, account_id), player_id)

    def untie(self, account_id: int, player_id: int) -> None:
        """Takes that back; it holds from the next request on."""
        with self.store.writing() as session:
            session.execute(delete(TieRow).where(TieRow.account_id == account_id, TieRow.player_id == player_id))

    def invite(self, account_id: int, made_by: int = 0, lives: datetime.timedelta = INVITATION_LIVES) -> str:
        """A one-time link's secret for an account, also for one that lost its way in; earlier open ones end."""
        secret = new_secret()
        with self.store.writing() as session:
            if _account(session, account_id).ended_at is not None:
                raise UserError(Message("store.that_account_was_ended_open"))
            end_credentials(session, account_id, "invitation made")
            now = now_utc()
            session.add(
                InvitationRow(
                    account_id=account_id,
                    token=fingerprint(secret),
                    made_by=made_by,
                    made_at=now,
                    ends_at=now + lives,
                    used_at=None,
                    revoked_at=None,
                )
            )
        return secret

    def revoke_invitation(self, account_id: int) -> None:
        """Ends the open links of an account."""
        with self.store.writing() as session:
            end_credentials(session, account_id, "invitation made")

    def invited(self, secret: str) -> Account | None:
        """Whose invitation a secret is; None for a wrong, used, ended or revoked one alike."""
        with self.store.reading() as session:
            row = _invitation(session, secret)
            return _info(session, session.get_one(AccountRow, row.account_id)) if row else None

    def accept(self, secret: str, password: str | None) -> int:
        """Takes an invitation, once: keeps the password (None: a passkey is kept in the same breath). Every other way in
        ends: who lost one may have lost the others with it.

        Returns the account. Raises UserError for an invitation that does not hold, or a password that will not do.
        """
        account = self.invited(secret)
        if account is None:
            raise UserError(Message("store.this_invitation_is_used_ended"))
        kept = None
        if password is not None:
            passwords.check(password, account.name, account.sign_in)
            kept = passwords.hashed(password)
        with self.store.writing() as session:
            row = _invitation(session, secret)
            if row is None:
                raise UserError(Message("store.this_invitation_is_used_ended"))
            row.used_at = now_utc()
            person = _account(session, row.account_id)
            if kept is not None:
                person.password = kept
            end_credentials(session, person.id, "invitation taken")
            return person.id

    def set_role(self, account_id: int, role: str) -> None:
        """Makes a coach a head, or a head a coach; everywhere signed out. Raises UserError for the last head."""
        if role not in ("head", "coach"):
            raise UserError(Message("store.only_coaches_and_heads_change"))
        with self.store.writing() as session:
            row = _account(session, account_id)
            if row.role not in ("head", "coach"):
                raise UserError(Message("store.only_coaches_and_heads_change"))
            if role != "head":
                _not_the_last_head(session, row)
            row.role = role
            end_credentials(session, account_id, "role changed")

    def end(self, account_id: int) -> None:
        """Ends an account: signed out everywhere, no way in, its links and its second step gone; its players stay where they are."""
        with self.store.writing() as session:
            row = _account(session, account_id)
            _not_the_last_head(session, row)
            row.ended_at = now_utc()
            end_credentials(session, account_id, "account ended")

    def reopen(self, account_id: int) -> None:
        """Opens an ended account again."""
        with self.store.writing() as session:
            _account(session, account_id).ended_at = None

    def hand_over(self, player_id: int, coach_id: int) -> None:
        """Gives a player, with all that is kept of them, to another coach; their links for others end.

        Raises UserError for somebody who is no coach, or who has a player of that name already.
        """
        with self.store.writing() as session, as_user(None):
            coach = _account(session, coach_id)
            if coach.role not in ("head", "coach") or coach.ended_at is not None:
                raise UserError(Message("store.is_no_coach_here", name=coach.name))
            player = session.get(PlayerRow, player_id)
            if player is None:
                raise NotThereError(Message("store.there_is_no_such_player"))
            with_shadows = or_(PlayerRow.id == player_id, PlayerRow.merged_into == player_id)
            coming = session.execute(select(PlayerRow.id, PlayerRow.name_key).where(with_shadows)).all()
            taken = select(PlayerRow.name).where(
                PlayerRow.coach_id == coach_id,
                PlayerRow.name_key.in_([key for _, key in coming]),
                PlayerRow.id.not_in(
                    [number for number, _ in coming]
                ),  # not "~with_shadows": that is unknown for most, never true
            )
            if (other := session.scalar(taken)) is not None:
                raise UserError(Message("store.has_a_player_called_already", coach=coach.name, name=other))
            session.execute(update(PlayerRow).where(with_shadows).values(coach_id=coach_id))
            there = set(session.scalars(select(SessionRow.key).where(SessionRow.coach_id == coach_id)))
            for row in session.scalars(select(SessionRow).where(SessionRow.player_id == player_id)):
                row.key = new_key() if row.coach_id != coach_id and row.key in there else row.key
                row.coach_id = coach_id
            end_shares(session, session.scalars(select(SessionRow.id).where(SessionRow.player_id == player_id)))

    def one(self, account_id: int) -> Account:
        """One account. Raises UserError where there is none."""
        with self.store.reading() as session:
            return _info(session, _account(session, account_id))

    def number_of(self, sign_in: str) -> int:
        """The account of a sign-in name, 0 where there is none; the same work for both, so that no time tells them apart."""
        with self.store.reading() as session:
            return session.scalar(select(AccountRow.id).where(AccountRow.sign_in == name_key(sign_in))) or 0

    def called(self, name: str) -> Account:
        """The account of a sign-in name, or the only one whose sign-in name begins so ("kim" for "kim fescue").

        Raises NotThereError where there is none, UserError where there are several.
        """
        key = name_key(name)
        found = [one for one in self.all() if one.sign_in == key]
        found = found or [one for one in self.all() if key and one.sign_in.startswith(key)]
        if not found:
            raise NotThereError(Message("store.there_is_no_account_see", name=name))
        if len(found) > 1:
            names = ", ".join(sorted(one.sign_in for one in found))
            raise UserError(Message("store.several_accounts_begin_so_type", names=names))
        return found[0]

    def all(self) -> list[Account]:
        """All accounts: heads, coaches, players, guardians, each by name."""
        with self.store.reading() as session, as_user(None):
            rows = session.scalars(select(AccountRow)).all()
            rows = sorted(rows, key=lambda row: (ROLES.index(row.role) if row.role in ROLES else 9, row.name))
            return [_info(session, row) for row in rows]

    def rooms(self) -> dict[int, list[tuple[int, str]]]:
        """The players of each coach by the coach's account (0: nobody's), by name."""
        with self.store.reading() as session, as_user(None):
            found: dict[int, list[tuple[int, str]]] = {}
            query = (
                select(PlayerRow)
                .where(PlayerRow.merged_into.is_(None), PlayerRow.taken_back_at.is_(None))
                .order_by(PlayerRow.name_key)
            )
            for row in session.scalars(query):
                found.setdefault(row.coach_id, []).append((row.id, row.name))
            return found


def _account(session: Session, account_id: int) -> AccountRow:
    row = session.get(AccountRow, account_id)
    if row is None:
        raise NotThereError(Message("store.there_is_no_such_account"))
    return row


def _tie(session: Session, account: AccountRow, player_id: int) -> None:
    if session.get(PlayerRow, player_id) is None:
        raise NotThereError(Message("store.there_is_no_such_player"))
    if account.role not in ("player", "guardian"):
        raise UserError(Message("store.a_coach_sees_the_players"))
    known = select(TieRow.id).where(TieRow.account_id == account.id, TieRow.player_id == player_id)
    if session.scalar(known) is None:
        session.add(
            TieRow(account_id=account.id, player_id=player_id, kind="self" if account.role == "player" else "child")
        )


def _move_room(session: Session, source: int, target: int) -> None:
    for table in (PlayerRow, SessionRow, ClipRow):
        session.execute(update(table).where(table.coach_id == source).values(coach_id=target))


def _invitation(session: Session, secret: str) -> InvitationRow | None:
    open_ones = (InvitationRow.used_at.is_(None), InvitationRow.revoked_at.is_(None), InvitationRow.ends_at > now_utc())
    row = session.scalars(select(InvitationRow).where(InvitationRow.token == fingerprint(secret), *open_ones)).first()
    if row is None:
        return None
    return row if session.get_one(AccountRow, row.account_id).ended_at is None else None


def _not_the_last_head(session: Session, row: AccountRow) -> None:
    others = select(AccountRow.id).where(
        AccountRow.role == "head", AccountRow.ended_at.is_(None), AccountRow.id != row.id
    )
    if row.role == "head" and session.scalar(others.limit(1)) is None:
        raise UserError(Message("store.is_the_only_head_make", name=row.name))


def _info(session: Session, row: AccountRow) -> Account:
    with as_user(None):
        ties = session.execute(
            select(PlayerRow.id, PlayerRow.name)
            .join(TieRow, TieRow.player_id == PlayerRow.id)
            .where(TieRow.account_id == row.id)
        ).all()
    open_until = session.scalar(
        select(func.max(InvitationRow.ends_at)).where(
            InvitationRow.account_id == row.id,
            InvitationRow.used_at.is_(None),
            InvitationRow.revoked_at.is_(None),
            InvitationRow.ends_at > now_utc(),
        )
    )
    return Account(
        id=row.id,
        sign_in=row.sign_in,
        name=row.name,
        role=row.role,
        ended=row.ended_at is not None,
        password=row.password is not None,
        second_step=session.scalar(select(SecondFactorRow.since).where(SecondFactorRow.account_id == row.id))
        is not None,
        passkeys=session.scalar(select(func.count()).select_from(PasskeyRow).where(PasskeyRow.account_id == row.id))
        or 0,
        invited_until=open_until,
        players=tuple((i, name) for i, name in ties),
    )
