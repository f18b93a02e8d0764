"""The roster: players and their bags; notes, found again by a word; sessions given to another player."""

import datetime
from collections.abc import Sequence
from dataclasses import asdict, dataclass
from typing import Final, get_args

from sqlalchemy import ColumnElement, Date, delete, distinct, func, select
from sqlalchemy.orm import Session

from threequarter.golf.errors import NotThereError, UserError
from threequarter.golf.message import Message
from threequarter.golf.player import name_key
from threequarter.golf.units import DistanceUnit, HeightUnit, SpeedUnit, TemperatureUnit
from threequarter.store.accounts.tables import TieRow
from threequarter.store.database.schema import (
    ClubRow,
    ConsentRow,
    HistoryRow,
    ImportRow,
    NoteRow,
    PlayerRow,
    SessionRow,
    SwingLengthRow,
)
from threequarter.store.history.history import bag_of, club_of, record_act
from threequarter.store.imports.save_import import find_player, now_utc, one_player, player_named
from threequarter.store.results import Club, PlayerInfo, Preferences
from threequarter.store.store import Store

LONGEST_NOTE: Final = 4000
READS: Final[dict[str, tuple[str, tuple[str, ...]]]] = {
    "distance": ("distance_unit", get_args(DistanceUnit)),
    "height": ("height_unit", get_args(HeightUnit)),
    "speed": ("speed_unit", get_args(SpeedUnit)),
    "temperature": ("temperature_unit", get_args(TemperatureUnit)),
}
"""Each choice of a reader: its column and what may stand there."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Note:
    """A note about a player."""

    id: int
    player: str
    text: str
    made_at: datetime.datetime


class Roster:
    """The players of a store. Each method is one transaction."""

    def __init__(self, store: Store) -> None:
        self.store = store

    def add(self, name: str) -> int:
        """The player's id; a name that is known, however it is typed, is the same player."""
        with self.store.writing() as session:
            return find_player(session, name, now_utc()).id

    def players(self) -> list[PlayerInfo]:
        """The roster by name."""
        with self.store.reading() as session:
            rows = session.execute(
                select(PlayerRow, func.count(distinct(SessionRow.id)))
                .where(PlayerRow.taken_back_at.is_(None))
                .outerjoin(
                    SessionRow,
                    (SessionRow.player_id == PlayerRow.id)
                    & SessionRow.id.in_(select(ImportRow.session_id).where(ImportRow.undone_at.is_(None))),
                )
                .group_by(PlayerRow.id)
                .order_by(PlayerRow.name_key)
            ).all()
            return [PlayerInfo(id=row.id, name=row.name, made_at=row.made_at, sessions=count) for row, count in rows]

    def names(self, part: str = "", most: int | None = None, *, archived: bool = False) -> list[str]:
        """Names of the roster in order, those that hold `part` in any case; at most so many. The archived ones only if asked for."""
        hidden = PlayerRow.archived_at.is_not(None) if archived else PlayerRow.archived_at.is_(None)
        query = select(PlayerRow.name).where(
            PlayerRow.name_key.contains(name_key(part), autoescape=True),
            PlayerRow.merged_into.is_(None),
            hidden,
            PlayerRow.taken_back_at.is_(None),
        )
        with self.store.reading() as session:
            return list(session.scalars(query.order_by(PlayerRow.name_key).limit(most)))

    def known(self, name: str) -> str | None:
        """The name as it stands in the roster, however it is typed; that of the other for a merged one, None for a stranger."""
        with self.store.reading() as session:
            row = _find(session, name)
            return row.name if row else None

    def reader(self, name: str) -> Preferences:
        """The units and the language a player reads in; nothing chosen for a stranger."""
        with self.store.reading() as session:
            row = _find(session, name)
            if row is None:
                return Preferences()
            chosen = {field: _one_of(getattr(row, column), allowed) for field, (column, allowed) in READS.items()}
            return Preferences(**chosen, language=row.language)  # type: ignore[arg-type]

    def set_reader(self, name: str, reader: Preferences) -> None:
        """Keeps the units and the language a player reads in. Raises UserError for a stranger."""
        with self.store.writing() as session:
            row = _known(session, name)
            for field, (column, allowed) in READS.items():
                setattr(row, column, _one_of(getattr(reader, field), allowed))
            row.language = reader.language or None

    def due(self, before: datetime.datetime, most: int | None = None) -> list[str]:
        """Players whose newest day was before a time, the longest ago first; archived ones left out."""
        last = func.max(
            func.coalesce(SessionRow.held_on, func.date(SessionRow.made_at, type_=Date), type_=Date), type_=Date
        )
        query = (
            select(PlayerRow.name)
            .join(SessionRow, SessionRow.player_id == PlayerRow.id)
            .where(
                PlayerRow.archived_at.is_(None),
                PlayerRow.merged_into.is_(None),
                PlayerRow.taken_back_at.is_(None),
                SessionRow.binned_at.is_(None),
                SessionRow.joined_into.is_(None),
            )
            .group_by(PlayerRow.id, PlayerRow.name)
            .having(last < before.date())
            .order_by(last)
            .limit(most)
        )
        with self.store.reading() as session:
            return list(session.scalars(query))

    def archived(self, name: str) -> bool:
        """Whether a player is hidden from the lists."""
        with self.store.reading() as session:
            row = _find(session, name)
            return row is not None and row.archived_at is not None

    def archive(self, player: str) -> int:
        """Hides a player from the lists, everything kept; returns the act. Raises UserError for a stranger."""
        with self.store.writing() as session:
            row = _known(session, player)
            return record_act(session, "archive", {"player": row.id}, player_id=row.id)

    def bring_back(self, player: str) -> int:
        """Shows an archived player again; returns the act. Raises UserError for a stranger."""
        with self.store.writing() as session:
            row = _known(session, player)
            return record_act(session, "bring back", {"player": row.id}, player_id=row.id)

    def merge(self, source: str, target: str) -> int:
        """Makes one of two players who are the same person: sessions, notes and (where the other has none) the bag go to `target`,
        and the name `source` stands for them from now on. Returns the act. Raises UserError for strangers or one and the same."""
        with self.store.writing() as session:
            old, new = _known(session, source), _known(session, target)
            if old.id == new.id:
                raise UserError(Message("store.and_are_the_same_player", old=old.name, new=new.name))
            has_bag = session.scalars(select(ClubRow.id).where(ClubRow.player_id == new.id)).first() is not None
            mine = {
                "sessions": list(session.scalars(select(SessionRow.id).where(SessionRow.player_id == old.id))),
                "notes": list(session.scalars(select(NoteRow.id).where(NoteRow.player_id == old.id))),
                "clubs": []
                if has_bag
                else list(session.scalars(select(ClubRow.id).where(ClubRow.player_id == old.id))),
                "swings": []
                if session.scalars(select(SwingLengthRow.id).where(SwingLengthRow.player_id == new.id)).first()
                else list(session.scalars(select(SwingLengthRow.id).where(SwingLengthRow.player_id == old.id))),
                "earlier": list(session.scalars(select(PlayerRow.id).where(PlayerRow.merged_into == old.id))),
            }
            return record_act(session, "merge", {"source": old.id, "target": new.id} | mine, player_id=new.id)

    def bag(self, player: str) -> tuple[Club, ...]:
        """The clubs of a player in their order; empty where none were named."""
        with self.store.reading() as session:
            rows = session.scalars(
                select(ClubRow).join(PlayerRow).where(PlayerRow.name_key == name_key(player)).order_by(ClubRow.place)
            ).all()
            return tuple(map(club_of, rows))

    def set_bag(self, player: str, clubs: Sequence[Club]) -> None:
        """Replaces a player's bag. Raises UserError for two clubs of one name."""
        if len({club.label for club in clubs}) < len(clubs):
            raise UserError(Message("store.two_clubs_of_the_bag"))
        with self.store.writing() as session:
            player_id = find_player(session, player, now_utc()).id
            before = bag_of(session, player_id)
            after = [{**asdict(club), "other_names": list(club.other_names)} for club in clubs]
            if before != after:
                record_act(session, "bag", {"player": player_id, "before": before, "after": after}, player_id=player_id)

    def note(self, player: str, text: str) -> int:
        """Keeps a note about a player, who is entered where new. Raises UserError for an empty or endless one."""
        if not text.strip():
            raise UserError(Message("store.the_note_is_empty_nothing"))
        if len(text) > LONGEST_NOTE:
            raise UserError(Message("store.a_note_holds_at_most", most=LONGEST_NOTE, count=len(text)))
        with self.store.writing() as session:
            row = NoteRow(player_id=find_player(session, player, now_utc()).id, text=text.strip(), made_at=now_utc())
            session.add(row)
            session.flush()
            return row.id

    def undo_note(self, note_id: int) -> str:
        """Takes a note back; returns whose it is. Raises UserError where there is none."""
        return self._mark_note(note_id, undone=True)

    def redo_note(self, note_id: int) -> str:
        """Brings a note again; returns whose it is. Raises UserError where there is none."""
        return self._mark_note(note_id, undone=False)

    def _mark_note(self, note_id: int, *, undone: bool) -> str:
        with self.store.writing() as session:
            row = session.get(NoteRow, note_id)
            if row is None:
                raise NotThereError(Message("store.there_is_no_note", note_id=note_id))
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
                raise UserError(Message("store.and_are_the_same_player", old=old.name, new=new.name))
            rows = session.scalars(select(SessionRow).where(SessionRow.player_id == old.id)).all()
            moved = [row.id for row in rows if not only or row.id in only]
            record_act(session, "give", {"source": old.id, "target": new.id, "sessions": moved}, player_id=new.id)
            return moved

    def give_session(self, session_id: int, player: str | None) -> int | None:
        """Gives one session to a player, entered where new, or (None) to nobody; returns the act, None where nothing changes."""
        with self.store.writing() as session:
            row = session.get(SessionRow, session_id)
            if row is None:
                raise NotThereError(Message("store.there_is_no_session", session_id=session_id))
            new = find_player(session, player, now_utc()).id if player else None
            if row.player_id == new:
                return None
            body = {"session": session_id, "before": row.player_id, "after": new}
            return record_act(session, "whose", body, player_id=new, session_id=session_id)

    def drop(self, player: str) -> None:
        """Takes a player of whom nothing is kept off the roster. Raises UserError where anything is."""
        with self.store.writing() as session:
            row = _known(session, player)
            for table, mine, code in (
                (SessionRow, SessionRow.player_id == row.id, "store.player_has_sessions"),
                (NoteRow, NoteRow.player_id == row.id, "store.player_has_notes"),
                (ClubRow, ClubRow.player_id == row.id, "store.player_has_bag"),
                (SwingLengthRow, SwingLengthRow.player_id == row.id, "store.player_has_plan"),
                (ConsentRow, ConsentRow.player_id == row.id, "store.player_has_consent"),
                (TieRow, TieRow.player_id == row.id, "store.player_has_account"),
            ):
                if session.scalars(select(table.id).where(mine)).first() is not None:
                    raise UserError(Message(code, name=row.name))
            session.execute(delete(HistoryRow).where(HistoryRow.player_id == row.id))
            for earlier in session.scalars(select(PlayerRow).where(PlayerRow.merged_into == row.id)):
                session.execute(delete(ClubRow).where(ClubRow.player_id == earlier.id))
                session.execute(delete(SwingLengthRow).where(SwingLengthRow.player_id == earlier.id))
                session.delete(earlier)
            session.delete(row)


def _one_of(told: str | None, allowed: tuple[str, ...]) -> str | None:
    return told if told in allowed else None


def _find(session: Session, player: str) -> PlayerRow | None:
    return player_named(session, player)


def _known(session: Session, player: str) -> PlayerRow:
    return one_player(session, player)
