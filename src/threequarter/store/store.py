"""What is kept and how: players, sessions, the files they came from, and undoing anything on any later day."""

from collections.abc import Sequence
from dataclasses import asdict

from sqlalchemy import distinct, func, or_, select

from threequarter.golf.ball import Ball
from threequarter.golf.errors import NotThereError, UserError
from threequarter.golf.message import Message
from threequarter.golf.player import name_key
from threequarter.intake.options import ReadOptions
from threequarter.intake.reading import Reading
from threequarter.store.accounts import scope as scope  # the filter under every query
from threequarter.store.balls.ball_json import to_json
from threequarter.store.balls.current_balls import balls_of_days, count_of, edits_of, info_of, session_row
from threequarter.store.balls.revisions import revisions
from threequarter.store.database.schema import (
    BallRow,
    ClipRow,
    EditRow,
    ImportRow,
    PlayerRow,
    RejectedRow,
    SessionRow,
)
from threequarter.store.imports.save_import import ImportFile, now_utc, restored, save_import
from threequarter.store.imports.undo_import import mark_import
from threequarter.store.messages import message_from_text, messages_from_text
from threequarter.store.open_store import OpenStore
from threequarter.store.results import Facts, ImportInfo, RejectedInfo, Saved, SessionInfo, StoredBall


class Store(OpenStore):
    """What is kept in the data folder of a coach. Each method is one transaction: it happens whole or not at all."""

    # Readings

    def keep_reading(
        self,
        reading: Reading,
        content: bytes,
        *,
        name: str,
        options: ReadOptions | None = None,
        ground: str = "normal",
        player: str | None = None,
        as_new: bool = False,
    ) -> Saved:
        """Keeps the balls of a reading, exactly those shown. The same file again changes nothing; one that has grown adds
        its new rows; an undone one comes back; `as_new` makes a session of its own whatever is known.

        `player` is whose balls they are where the file does not tell.
        Raises UserError for a reading with an error or an open question.
        """
        with self.writing() as session:
            return save_import(
                session,
                reading,
                ImportFile(
                    content=content,
                    name=name,
                    options=options or ReadOptions(),
                    ground=ground,
                    player=player,
                    as_new=as_new,
                ),
            )

    def keep_shared(
        self,
        reading: Reading,
        content: bytes,
        *,
        name: str,
        options: ReadOptions | None = None,
        ground: str = "normal",
        player: str | None = None,
    ) -> tuple[Saved, ...]:
        """Keeps a reading, each player named in it with a session of their own, all or none; `player` owns the balls of nobody."""
        with self.writing() as session:
            return tuple(
                save_import(
                    session,
                    part,
                    ImportFile(
                        content=content,
                        name=name,
                        options=options or ReadOptions(),
                        ground=ground,
                        player=whose or player,
                    ),
                )
                for whose, part in (reading.by_player() or ((player, reading),))
            )

    def preview_keeping(self, reading: Reading, content: bytes, *, name: str, player: str | None = None) -> Saved:
        """What `keep_reading` would do: the same function, its transaction taken back. Its ids mean nothing."""
        with self.writing() as session:
            kept = save_import(
                session, reading, ImportFile(content=content, name=name, options=ReadOptions(), player=player)
            )
            session.rollback()
        return kept

    def undo_import(self, import_id: int) -> int:
        """Takes back an import and exactly its own rows; returns its session. Raises UserError where there is none."""
        return self._mark_import(import_id, undone=True)

    def redo_import(self, import_id: int) -> int:
        """Brings an undone import back; returns its session. Raises UserError where there is none."""
        return self._mark_import(import_id, undone=False)

    def _mark_import(self, import_id: int, *, undone: bool) -> int:
        with self.writing() as session:
            row = session.get(ImportRow, import_id)
            if row is None:
                raise NotThereError(Message("store.there_is_no_import_see", import_id=import_id))
            mark_import(session, row, undone=undone)
            return row.session_id

    def imports(self, session_id: int) -> list[ImportInfo]:
        """The files of a session, undone ones too."""
        with self.reading() as session:
            rows = session.execute(
                select(ImportRow, func.count(BallRow.id))
                .outerjoin(BallRow, BallRow.import_id == ImportRow.id)
                .where(ImportRow.session_id == session_id)
                .group_by(ImportRow.id)
                .order_by(ImportRow.id)
            ).all()
            return [
                ImportInfo(
                    id=row.id,
                    name=row.name,
                    made_at=row.made_at,
                    balls=count,
                    plan=messages_from_text(row.plan),
                    undone=row.undone_at is not None,
                )
                for row, count in rows
            ]

    def original(self, import_id: int) -> tuple[str, bytes]:
        """Name and content of an imported file, as it came. Raises UserError where there is none."""
        with self.reading() as session:
            row = session.get(ImportRow, import_id)
            if row is None:
                raise NotThereError(Message("store.there_is_no_file", import_id=import_id))
            if (
                row.content is None and row.family != row.id
            ):  # its balls were moved to another day; the file stays whole
                row = session.get(ImportRow, row.family) or row
            if row.content is None:
                raise UserError(Message("store.the_file_was_erased_with", name=row.name))
            return row.name, row.content

    def set_aside(self, session_id: int) -> list[RejectedInfo]:
        """Rows of a session's files that are no balls, each with the reason."""
        with self.reading() as session:
            rows = session.execute(
                select(RejectedRow, ImportRow.name)
                .join(ImportRow, RejectedRow.import_id == ImportRow.id)
                .where(
                    ImportRow.session_id == session_id, ImportRow.undone_at.is_(None), RejectedRow.settled_at.is_(None)
                )
                .order_by(RejectedRow.id)
            ).all()
            seen = {  # a file that grew lists its old rows again
                (name, row.sheet, row.row, row.col, row.client_key): RejectedInfo(
                    file=name, sheet=row.sheet, row=row.row, col=row.col, why=message_from_text(row.why), text=row.text
                )
                for row, name in rows
            }
            return list(seen.values())

    # Sessions

    def sessions(self, players: Sequence[str] | None = None, *, newest: int | None = None) -> list[SessionInfo]:
        """Sessions that hold balls or clips and are not in the bin, newest first: all, or those of some players; at most so many
        of the `newest`."""
        chosen = select(SessionRow.id).where(
            SessionRow.binned_at.is_(None),
            or_(
                SessionRow.id.in_(select(ImportRow.session_id).where(ImportRow.undone_at.is_(None))),
                SessionRow.id.in_(select(ClipRow.session_id).where(ClipRow.binned_at.is_(None))),
            ),
        )
        if players is None:  # those of archived players are found on their own page
            hidden = select(PlayerRow.id).where(PlayerRow.archived_at.is_not(None))
            chosen = chosen.where(or_(SessionRow.player_id.is_(None), SessionRow.player_id.not_in(hidden)))
        if players is not None:
            keys = [name_key(name) for name in players]
            chosen = chosen.join(PlayerRow, SessionRow.player_id == PlayerRow.id).where(PlayerRow.name_key.in_(keys))
        if newest is not None:
            chosen = chosen.order_by(SessionRow.made_at.desc(), SessionRow.id.desc()).limit(newest)
        query = (
            select(SessionRow, PlayerRow.name, func.count(distinct(BallRow.slot)))
            .outerjoin(PlayerRow, SessionRow.player_id == PlayerRow.id)
            .outerjoin(ImportRow, (ImportRow.session_id == SessionRow.id) & ImportRow.undone_at.is_(None))
            .outerjoin(BallRow, BallRow.import_id == ImportRow.id)
            .where(SessionRow.id.in_(chosen))
            .group_by(SessionRow.id, PlayerRow.name)
            .having(
                or_(
                    func.count(BallRow.id) > 0,
                    SessionRow.id.in_(select(ClipRow.session_id).where(ClipRow.binned_at.is_(None))),
                )
            )
            .order_by(SessionRow.made_at.desc(), SessionRow.id.desc())
        )
        with self.reading() as session:
            return [info_of(row, name, count) for row, name, count in session.execute(query)]

    def session(self, session_id: int) -> SessionInfo:
        """One session. Raises UserError where there is none."""
        with self.reading() as session:
            row = session_row(session, session_id)
            player = session.get(PlayerRow, row.player_id) if row.player_id else None
            return info_of(row, player.name if player else None, count_of(session, session_id))

    def session_balls(self, session_id: int) -> tuple[Ball, ...]:
        """The balls of a session in the order hit, those left out by hand with `use` False."""
        return tuple(kept.ball for kept in self.kept_balls(session_id))

    def kept_balls(self, session_id: int) -> tuple[StoredBall, ...]:
        """The balls of a session in the order hit, each with the id by which it can be changed."""
        return self.kept_balls_of([session_id])[session_id]

    def kept_balls_of(self, session_ids: Sequence[int]) -> dict[int, tuple[StoredBall, ...]]:
        """The same for several sessions at once."""
        with self.reading() as session:
            edits = edits_of(session, *session_ids)
            return {
                session_id: tuple(
                    _stored(row, name, number, edits.get(row.id)) for number, (row, name) in enumerate(balls, start=1)
                )
                for session_id, balls in balls_of_days(session, session_ids).items()
            }

    def facts(self, session_id: int) -> Facts:
        """What was noted of a session. Raises UserError where there is none."""
        with self.reading() as session:
            return _facts(session_row(session, session_id))

    def facts_of(self, session_ids: Sequence[int]) -> dict[int, Facts]:
        """What was noted of several sessions."""
        with self.reading() as session:
            rows = session.scalars(select(SessionRow).where(SessionRow.id.in_(session_ids)))
            return {row.id: _facts(row) for row in rows}

    def revisions(self, players: Sequence[str]) -> dict[str, tuple[int, str]]:
        """For each of some players, by name key: the number, and a mark that changes with whatever their charts rest on."""
        with self.reading() as session:
            return revisions(session, [name_key(name) for name in players])

    def set_facts(self, session_id: int, facts: Facts) -> None:
        """Keeps what is known of a session. Raises UserError where there is none."""
        with self.writing() as session:
            row = session_row(session, session_id)
            for name, value in asdict(facts).items():
                setattr(row, name, value)

    def set_ground(self, session_id: int, ground: str) -> None:
        """Keeps the ground the balls ran out on. Raises UserError where there is no such session."""
        with self.writing() as session:
            session_row(session, session_id).ground = ground

    # Single balls

    def edit_ball(self, ball_id: int, ball: Ball) -> int:
        """Gives a ball other content; what the file said stays. Returns the edit, which `undo_edit` takes back."""
        return self._edit(ball_id, body=to_json(ball), change_body=True)

    def leave_out(self, ball_id: int, why: str | None) -> int:
        """Leaves a ball out with a reason, or (None) takes it in again. Returns the edit, which `undo_edit` takes back."""
        if why is not None and not why.strip():
            raise UserError(Message("store.say_in_a_word_why"))
        return self._edit(ball_id, why=why)

    def _edit(self, ball_id: int, *, body: str | None = None, why: str | None = None, change_body: bool = False) -> int:
        with self.writing() as session:
            if session.get(BallRow, ball_id) is None:
                raise NotThereError(Message("store.there_is_no_ball", ball_id=ball_id))
            last = session.scalars(
                select(EditRow)
                .where(EditRow.ball_id == ball_id, EditRow.undone_at.is_(None))
                .order_by(EditRow.id.desc())
            ).first()
            if change_body:
                why = last.left_out_why if last else None
            else:
                body = last.body if last else None
            row = EditRow(ball_id=ball_id, body=body, left_out_why=why, made_at=now_utc(), undone_at=None)
            session.add(row)
            session.flush()
            return row.id

    def undo_edit(self, edit_id: int) -> None:
        """Takes one change of a ball back. Raises UserError where there is none."""
        self._mark_edit(edit_id, undone=True)

    def redo_edit(self, edit_id: int) -> None:
        """Makes a change of a ball again. Raises UserError where there is none."""
        self._mark_edit(edit_id, undone=False)

    def _mark_edit(self, edit_id: int, *, undone: bool) -> None:
        with self.writing() as session:
            row = session.get(EditRow, edit_id)
            if row is None:
                raise NotThereError(Message("store.there_is_no_change", edit_id=edit_id))
            row.undone_at = now_utc() if undone else None


def _stored(row: BallRow, file: str, number: int, edit: EditRow | None) -> StoredBall:
    why = edit.left_out_why if edit else None
    return StoredBall(
        id=row.id,
        import_id=row.import_id,
        ball=restored((edit.body if edit else None) or row.body, file, number, use=why is None),
        left_out_why=why,
        edited=edit is not None and edit.body is not None,
        hit_at=row.hit_at,
        key=row.client_key,
    )


def _facts(row: SessionRow) -> Facts:
    return Facts(**{name: getattr(row, name) for name in Facts.__slots__})
