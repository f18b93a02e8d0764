"""The things an address names, looked up as whoever asks sees them. A part of an address that is not known here is
refused."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any, Final

from sqlalchemy import select
from sqlalchemy.orm import Session

from threequarter.golf.errors import UserError
from threequarter.store.accounts.current_user import CurrentUser, as_user
from threequarter.store.accounts.sign_ins import who_of
from threequarter.store.accounts.tables import AccountRow, PasskeyRow, ShareRow, SignInRow, TieRow
from threequarter.store.database.schema import (
    BallRow,
    ClinicRow,
    ClipRow,
    EditRow,
    HistoryRow,
    ImportRow,
    LinkRow,
    NoteRow,
    PlayerRow,
    SessionRow,
    TaskRow,
    TokenRow,
)
from threequarter.store.imports.save_import import player_named
from threequarter.store.store import Store
from threequarter.web.pending import Pending

FREE: Final = frozenset({"name", "number", "form", "act", "way", "kind", "what", "secret"})
"""Parts of an address that name nothing by themselves: a word, a number within a clip, a picture within a clip, a
secret."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Seen:
    """The first thing that an address names, for the record."""

    kind: str | None = None
    number: int | None = None
    player_id: int | None = None


NOTHING: Final = Seen()


class ResourceLookup:
    """Looks things up."""

    def __init__(self, store: Store, pending: Pending) -> None:
        self.store, self.pending = store, pending

    def look(self, who: CurrentUser, given: dict[str, str]) -> Seen | None:
        """What the parts of an address name, None where any of it is not there for this one."""
        with as_user(who):
            if "key" in given and not self._pending(given["key"]):
                return None
            with self.store.reading() as session:
                seen = Seen()
                for part, value in given.items():
                    if part in FREE or part == "key":
                        continue
                    look = LOOKS.get(part)
                    one = look(session, who, value, given) if look else None
                    if one is None:
                        return None
                    seen = seen if seen.kind else one
                return replace(seen, player_id=_of_session(session, seen)) if seen.player_id is None else seen

    def _pending(self, key: str) -> bool:
        try:
            self.pending.get(key)
        except UserError:
            return False
        return True

    def script(self, token: str) -> tuple[CurrentUser, bool] | None:
        """Who a script acts as: the account its token was made by, and whether it may write; None for a token that is
        unknown or nobody's."""
        with self.store.reading() as session:
            row = session.scalars(select(TokenRow).where(TokenRow.fingerprint == token)).first()
            account = session.get(AccountRow, row.account_id) if row is not None else None
            if row is None or account is None or account.ended_at is not None:
                return None
            return who_of(session, account), row.rights == "write"


Look = Callable[[Session, CurrentUser, str, dict[str, str]], Seen | None]


def _id(value: str) -> int | None:
    return int(value) if value.isascii() and value.isdigit() and len(value) < 19 else None


def _row(kind: str, table: Any) -> Look:
    def look(session: Session, _who: CurrentUser, value: str, _given: dict[str, str]) -> Seen | None:
        row = session.get(table, _id(value)) if _id(value) is not None else None
        return Seen(kind=kind, number=row.id, player_id=getattr(row, "player_id", None)) if row is not None else None

    return look


def _ball(session: Session, _who: CurrentUser, value: str, given: dict[str, str]) -> Seen | None:
    """A ball, by the import it came with, which is seen or not; and in the session named beside it."""
    if (number := _id(value)) is None:
        return None
    of = session.execute(
        select(ImportRow.session_id).join(BallRow, BallRow.import_id == ImportRow.id).where(BallRow.id == number)
    ).scalar()
    fits = of is not None and given.get("session_id", str(of)) == str(of)
    return Seen(kind="ball", number=number) if fits else None


def _player(session: Session, _who: CurrentUser, value: str, _given: dict[str, str]) -> Seen | None:
    try:
        row = player_named(session, value)
    except UserError:
        return None
    return Seen(kind="player", number=row.id, player_id=row.id) if row is not None else None


def _entry(session: Session, who: CurrentUser, value: str, given: dict[str, str]) -> Seen | None:
    tables = {"import": ImportRow, "edit": EditRow, "note": NoteRow, "link": LinkRow}
    return _row("entry", tables.get(given.get("kind", ""), HistoryRow))(session, who, value, given)


def _binned(session: Session, who: CurrentUser, value: str, given: dict[str, str]) -> Seen | None:
    table = {"session": SessionRow, "clip": ClipRow}.get(given.get("what", ""))
    return _row(given["what"], table)(session, who, value, given) if table else None


def _batch(session: Session, _who: CurrentUser, value: str, _given: dict[str, str]) -> Seen | None:
    first = session.scalar(select(ImportRow.session_id).where(ImportRow.batch == value).limit(1))
    return Seen(kind="session", number=first) if first is not None else None


def _account(session: Session, who: CurrentUser, value: str, _given: dict[str, str]) -> Seen | None:
    """An account: any for a head; for a coach those of the players of their room, and of their guardians."""
    row = session.get(AccountRow, _id(value)) if _id(value) is not None else None
    if row is None or not who.coaches:
        return None
    if who.role != "head" and not _only_of_room(session, row, who):
        return None
    return Seen(kind="account", number=row.id)


def _only_of_room(session: Session, row: AccountRow, who: CurrentUser) -> bool:
    tied = set(session.scalars(select(TieRow.player_id).where(TieRow.account_id == row.id)))
    seen = set(session.scalars(select(PlayerRow.id).where(PlayerRow.id.in_(tied))))
    return row.role in ("player", "guardian") and bool(tied) and tied == seen


def _mine(kind: str, table: Any) -> Look:
    def look(session: Session, who: CurrentUser, value: str, _given: dict[str, str]) -> Seen | None:
        row = session.get(table, _id(value)) if _id(value) is not None else None
        return Seen(kind=kind, number=row.id) if row is not None and row.account_id == who.account_id else None

    return look


def _of_session(session: Session, seen: Seen) -> int | None:
    """Whose session, clip or import it is."""
    if seen.kind == "session":
        row = session.get(SessionRow, seen.number)
        return row.player_id if row else None
    if seen.kind in ("clip", "import", "share"):
        table: Any = {"clip": ClipRow, "import": ImportRow, "share": ShareRow}[seen.kind]
        one = session.get(table, seen.number)
        of = session.get(SessionRow, one.session_id) if one is not None and one.session_id else None
        return of.player_id if of else None
    return None


def _task(session: Session, who: CurrentUser, value: str, _given: dict[str, str]) -> Seen | None:
    """Long work that was asked for in the room they work in."""
    row = session.get(TaskRow, _id(value)) if _id(value) is not None else None
    return Seen(kind="task", number=row.id) if row is not None and row.room == who.room else None


LOOKS: Final[dict[str, Look]] = {
    "session_id": _row("session", SessionRow),
    "clinic_id": _row("clinic", ClinicRow),
    "import_id": _row("import", ImportRow),
    "clip_id": _row("clip", ClipRow),
    "note_id": _row("note", NoteRow),
    "share_id": _row("share", ShareRow),
    "ball_id": _ball,
    "name:path": _player,
    "entry_id": _entry,
    "thing_id": _binned,
    "batch": _batch,
    "account_id": _account,
    "passkey_id": _mine("passkey", PasskeyRow),
    "task_id": _task,
    "sign_in_id": _mine("sign-in", SignInRow),
    "token_id": _mine("token", TokenRow),
}
