"""A lesson: a session with its clips, balls and notes; when it began, and which swing hit which ball."""

import datetime

from sqlalchemy import select

from threequarter.golf.errors import NotThereError, UserError
from threequarter.golf.message import Message
from threequarter.store.database.schema import BallRow, ClipRow, ImportRow, LinkRow, NoteRow, PlayerRow, SessionRow
from threequarter.store.imports.save_import import now_utc
from threequarter.store.people.roster import LONGEST_NOTE, Note
from threequarter.store.store import Store


class Lessons:
    """The lessons of a store. Each method is one transaction."""

    def __init__(self, store: Store) -> None:
        self.store = store

    def started_at(self, session_id: int) -> datetime.datetime:
        """When a lesson began (UTC): as somebody said, else when its session was made. Raises UserError where there is none."""
        with self.store.reading() as session:
            row = session.get(SessionRow, session_id)
            if row is None:
                raise NotThereError(Message("store.there_is_no_session", session_id=session_id))
            return row.started_at or row.made_at

    def start(self, session_id: int, at: datetime.datetime | None = None) -> None:
        """Says when a lesson began (now). Raises UserError where there is no such session."""
        with self.store.writing() as session:
            row = session.get(SessionRow, session_id)
            if row is None:
                raise NotThereError(Message("store.there_is_no_session", session_id=session_id))
            row.started_at = at or now_utc()

    def running(self, since: datetime.datetime) -> list[int]:
        """The days whose lesson was begun after a time (UTC) and not put away, the newest first."""
        query = (
            select(SessionRow.id)
            .outerjoin(PlayerRow, SessionRow.player_id == PlayerRow.id)
            .where(
                SessionRow.started_at >= since,
                SessionRow.binned_at.is_(None),
                SessionRow.joined_into.is_(None),
                PlayerRow.archived_at.is_(None),
            )
            .order_by(SessionRow.started_at.desc(), SessionRow.id.desc())
        )
        with self.store.reading() as session:
            return list(session.scalars(query))

    def note(self, session_id: int, text: str) -> int:
        """Keeps a note of a lesson with its player. Raises UserError for a lesson of nobody, an empty note or an endless one."""
        if not text.strip():
            raise UserError(Message("store.the_note_is_empty_nothing"))
        if len(text) > LONGEST_NOTE:
            raise UserError(Message("store.a_note_holds_at_most", most=LONGEST_NOTE, count=len(text)))
        with self.store.writing() as session:
            row = session.get(SessionRow, session_id)
            if row is None or row.player_id is None:
                raise UserError(Message("store.say_first_whose_lesson_this"))
            made = NoteRow(
                player_id=row.player_id, session_id=session_id, text=text.strip(), made_at=now_utc(), undone_at=None
            )
            session.add(made)
            session.flush()
            return made.id

    def notes(self, session_id: int) -> list[Note]:
        """The notes of a lesson, oldest first."""
        query = (
            select(NoteRow, PlayerRow.name)
            .join(PlayerRow, NoteRow.player_id == PlayerRow.id)
            .where(NoteRow.session_id == session_id, NoteRow.undone_at.is_(None))
            .order_by(NoteRow.id)
        )
        with self.store.reading() as session:
            return [
                Note(id=row.id, player=name, text=row.text, made_at=row.made_at) for row, name in session.execute(query)
            ]

    def link(self, clip_id: int, swing: int, ball_id: int | None) -> int:
        """Says which ball a swing (from 1) of a clip hit, or that it hit none; returns the link, which can be taken back.

        Raises UserError for a ball of another session.
        """
        with self.store.writing() as session:
            clip = session.get(ClipRow, clip_id)
            if clip is None:
                raise NotThereError(Message("store.there_is_no_clip_it", clip_id=clip_id))
            if ball_id is not None:
                ball = session.get(BallRow, ball_id)
                where = session.get_one(ImportRow, ball.import_id).session_id if ball else None
                if where is None or where != clip.session_id:
                    raise NotThereError(Message("store.there_is_no_ball_in", ball_id=ball_id))
            row = LinkRow(clip_id=clip_id, swing=swing, ball_id=ball_id, made_at=now_utc(), undone_at=None)
            session.add(row)
            session.flush()
            return row.id

    def links(self, session_id: int) -> dict[tuple[int, int], int | None]:
        """What was said by hand: (clip, swing from 1) -> ball, None for none."""
        query = (
            select(LinkRow)
            .join(ClipRow, LinkRow.clip_id == ClipRow.id)
            .where(ClipRow.session_id == session_id, LinkRow.undone_at.is_(None))
            .order_by(LinkRow.id)
        )
        with self.store.reading() as session:
            return {(row.clip_id, row.swing): row.ball_id for row in session.scalars(query)}
