"""The roster: notes about players, found again by a word; sessions given to another player; players entered by mistake."""

import datetime
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from sqlalchemy import ColumnElement, select
from sqlalchemy.orm import Session

from threequarter.golf.errors import UserError
from threequarter.store.keeping import find_player, name_key, now_utc
from threequarter.store.schema import ClubRow, ConsentRow, NoteRow, PlayerRow, SessionRow
from threequarter.store.store import Store

LONGEST_NOTE: Final = 4000


@dataclass(frozen=True, slots=True, kw_only=True)
class Note:
    """A note about a player."""

    id: int
    player: str
    text: str
    made_at: datetime.datetime


class Roster:
    """What can be done with players beyond their balls. Each method is one transaction."""

    def __init__(self, store: Store) -> None:
        self.store = store

    def note(self, player: str, text: str) -> int:
        """Keeps a note about a player, who is entered where new. Raises UserError for an empty or endless one."""
        if not text.strip():
            raise UserError("The note is empty; nothing was kept.")
        if len(text) > LONGEST_NOTE:
            raise UserError(f"A note holds at most {LONGEST_NOTE} letters, this one has {len(text)}. Nothing was kept.")
        with self.store.writing() as session:
            row = NoteRow(player_id=find_player(session, player, now_utc()).id, text=text.strip(), made_at=now_utc())
            session.add(row)
            session.flush()
            return row.id

    def take_back_note(self, note_id: int, *, undone: bool = True) -> str:
        """Takes a note back, or (undone=False) brings it again; returns whose it is. Raises UserError where there is none."""
        with self.store.writing() as session:
            row = session.get(NoteRow, note_id)
            if row is None:
                raise UserError(f"There is no note {note_id}.")
            row.undone_at = now_utc() if undone else None
            return session.get_one(PlayerRow, row.player_id).name

    def notes(self, player: str) -> list[Note]:
        """The notes about a player, newest first."""
        return self._notes(PlayerRow.name_key == name_key(player))

    def search(self, words: str) -> list[Note]:
        """Notes that hold every word, in any case and any order, newest first."""
        wanted = words.casefold().split()
        return (
            [note for note in self._notes() if all(word in note.text.casefold() for word in wanted)] if wanted else []
        )

    def _notes(self, *where: ColumnElement[bool]) -> list[Note]:
        query = select(NoteRow, PlayerRow.name).join(PlayerRow).where(NoteRow.undone_at.is_(None), *where)
        with self.store.reading() as session:
            return [
                Note(id=row.id, player=name, text=row.text, made_at=row.made_at)
                for row, name in session.execute(query.order_by(NoteRow.id.desc()))
            ]

    def move_sessions(self, source: str, target: str, only: Sequence[int] = ()) -> list[int]:
        """Gives a player's sessions (all, or `only` these) to another; the same ids moved back undo it.

        Raises UserError for a source who is not there, or who is the target.
        """
        with self.store.writing() as session:
            old = _known(session, source)
            new = find_player(session, target, now_utc())
            if new.id == old.id:
                raise UserError(f"{old.name} and {new.name} are the same player already.")
            rows = session.scalars(select(SessionRow).where(SessionRow.player_id == old.id)).all()
            moved = [row for row in rows if not only or row.id in only]
            for row in moved:
                row.player_id = new.id
            return [row.id for row in moved]

    def drop(self, player: str) -> None:
        """Takes a player of whom nothing is kept off the roster. Raises UserError where anything is."""
        with self.store.writing() as session:
            row = _known(session, player)
            for table, mine, what in (
                (SessionRow, SessionRow.player_id == row.id, "sessions"), (NoteRow, NoteRow.player_id == row.id, "notes"),
                (ClubRow, ClubRow.player_id == row.id, "a bag"), (ConsentRow, ConsentRow.player_key == row.name_key, "a consent"),
            ):  # fmt: skip
                if session.scalars(select(table.id).where(mine)).first() is not None:
                    raise UserError(f"{row.name} has {what}. Give the sessions to another player, or erase the player.")
            session.delete(row)


def _known(session: Session, player: str) -> PlayerRow:
    row = session.scalars(select(PlayerRow).where(PlayerRow.name_key == name_key(player))).first()
    if row is None:
        raise UserError(f"There is no player {player[:80]!r}.")
    return row
