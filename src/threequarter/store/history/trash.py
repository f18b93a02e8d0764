"""The bin: a session or a clip put there stays for thirty days, comes back whole, and is then deleted for good."""

import contextlib
import datetime
from dataclasses import dataclass
from typing import Final

from sqlalchemy import delete, or_, select, update
from sqlalchemy.orm import Session

from threequarter.golf.errors import NotThereError, UserError
from threequarter.golf.message import Message
from threequarter.store.database.schema import (
    BallRow,
    ClipRow,
    EditRow,
    HistoryRow,
    ImportRow,
    LinkRow,
    MovedBallRow,
    NoteRow,
    PlayerRow,
    RejectedRow,
    SessionRow,
)
from threequarter.store.history.history import TRASH_DAYS, record_act
from threequarter.store.imports.save_import import now_utc
from threequarter.store.media.media_deletion import ask_for_films, deleting_media
from threequarter.store.store import Store

KEPT: Final = datetime.timedelta(days=TRASH_DAYS)


@dataclass(frozen=True, slots=True, kw_only=True)
class Trashed:
    """Something in the bin: "session" or "clip", its name and player, the act that put it there, and when it will be gone."""

    what: str
    id: int
    name: str
    player: str | None
    binned_at: datetime.datetime

    @property
    def gone_on(self) -> datetime.date:
        """The day on which it is deleted for good."""
        return (self.binned_at + KEPT).date()


class Trash:
    """The bin of a store."""

    def __init__(self, store: Store) -> None:
        self.store = store

    def put_session(self, session_id: int) -> int:
        """Puts a session with its balls and clips in the bin; returns the act. Raises UserError where there is none."""
        with self.store.writing() as session:
            row = session.get(SessionRow, session_id)
            if row is None:
                raise NotThereError(Message("store.there_is_no_session", session_id=session_id))
            return record_act(
                session, "bin session", {"session": session_id}, player_id=row.player_id, session_id=session_id
            )

    def put_clip(self, clip_id: int) -> int:
        """Puts a clip in the bin; returns the act. Raises UserError where there is none."""
        with self.store.writing() as session:
            row = session.get(ClipRow, clip_id)
            if row is None:
                raise NotThereError(Message("store.there_is_no_clip", clip_id=clip_id))
            return record_act(session, "bin clip", {"clip": clip_id}, session_id=row.session_id)

    def contents(self) -> list[Trashed]:
        """What lies in the bin, the newest first."""
        with self.store.reading() as session:
            sessions = session.execute(
                select(SessionRow, PlayerRow.name)
                .outerjoin(PlayerRow, SessionRow.player_id == PlayerRow.id)
                .where(SessionRow.binned_at.is_not(None))
            ).all()
            clips = session.execute(
                select(ClipRow, PlayerRow.name)
                .outerjoin(SessionRow, ClipRow.session_id == SessionRow.id)
                .outerjoin(PlayerRow, SessionRow.player_id == PlayerRow.id)
                .where(ClipRow.binned_at.is_not(None))
            ).all()
            found = [_binned("session", row, row.title, name) for row, name in sessions]
            found += [_binned("clip", row, row.name, name) for row, name in clips]
        return sorted(found, key=lambda one: one.binned_at, reverse=True)

    def delete_session(self, session_id: int) -> None:
        """Deletes a session that lies in the bin for good, with its balls, clips and films. Raises UserError for another."""
        ask_for_films(self.store)
        with contextlib.ExitStack() as films, self.store.writing() as session:
            row = session.get(SessionRow, session_id)
            if row is None or row.binned_at is None:
                raise UserError(Message("store.session_is_not_in_the", session_id=session_id))
            clips = list(session.scalars(select(ClipRow.id).where(ClipRow.session_id == row.id)))
            films.enter_context(deleting_media(self.store, session, clips))
            _delete_session(session, row, clips)

    def delete_clip(self, clip_id: int) -> None:
        """Deletes a clip that lies in the bin for good, with everything made from it. Raises UserError for another."""
        ask_for_films(self.store)
        with contextlib.ExitStack() as films, self.store.writing() as session:
            row = session.get(ClipRow, clip_id)
            if row is None or row.binned_at is None:
                raise UserError(Message("store.clip_is_not_in_the", clip_id=clip_id))
            films.enter_context(deleting_media(self.store, session, [clip_id]))
            _delete_clips(session, [clip_id])

    def purge(self, now: datetime.datetime | None = None) -> int:
        """Deletes for good what has been in the bin for thirty days; returns how many things."""
        before = (now or now_utc()) - KEPT
        old = [one for one in self.contents() if one.binned_at <= before]
        for one in sorted(old, key=lambda one: one.what):  # clips first: those of a session go with it
            (self.delete_clip if one.what == "clip" else self.delete_session)(one.id)
        return len(old)


def _binned(what: str, row: SessionRow | ClipRow, name: str, player: str | None) -> Trashed:
    assert row.binned_at is not None
    return Trashed(what=what, id=row.id, name=name, player=player, binned_at=row.binned_at)


def _delete_session(session: Session, row: SessionRow, clips: list[int]) -> None:
    imports = select(ImportRow.id).where(ImportRow.session_id == row.id)
    balls = session.scalars(select(BallRow.id).where(BallRow.import_id.in_(imports))).all()
    session.execute(delete(LinkRow).where(LinkRow.ball_id.in_(balls)))
    _delete_clips(session, clips)
    session.execute(delete(EditRow).where(EditRow.ball_id.in_(balls)))
    moved = or_(MovedBallRow.ball_id.in_(balls), MovedBallRow.session_id == row.id)
    session.execute(delete(MovedBallRow).where(moved))
    session.execute(delete(BallRow).where(BallRow.id.in_(balls)))
    session.execute(delete(RejectedRow).where(RejectedRow.import_id.in_(imports)))
    session.execute(delete(ImportRow).where(ImportRow.session_id == row.id))
    session.execute(delete(HistoryRow).where(HistoryRow.session_id == row.id))
    session.execute(
        update(NoteRow).where(NoteRow.session_id == row.id).values(session_id=None)
    )  # the notes stay the player's
    session.delete(row)


def _delete_clips(session: Session, clips: list[int]) -> None:
    session.execute(delete(LinkRow).where(or_(LinkRow.clip_id.in_(clips))))
    session.execute(delete(ClipRow).where(ClipRow.id.in_(clips)))
