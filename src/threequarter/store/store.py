"""What is kept and how: sessions, the files they came from, and undoing any import on any later day."""

import datetime
import hashlib
import json
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Literal

from sqlalchemy import delete, func, select
from sqlalchemy.orm import Session

from threequarter.golf.ball import Ball
from threequarter.golf.errors import UserError
from threequarter.golf.units import DistanceUnit
from threequarter.intake.options import ReadOptions
from threequarter.intake.reading import Reading, SetAside
from threequarter.store.ball_json import from_json, place_key, to_json
from threequarter.store.database import open_database
from threequarter.store.schema import AsideRow, BallRow, ImportRow, PlayerRow, SessionRow, ShapeRow

What = Literal["new session", "nothing new", "rows added", "brought back"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Kept:
    """What keeping a reading did: the session, the import (None where nothing was new), and how many balls it added."""

    what: What
    session_id: int
    import_id: int | None
    added: int


@dataclass(frozen=True, slots=True, kw_only=True)
class SessionInfo:
    """A session in a list."""

    id: int
    title: str
    player: str | None
    unit: DistanceUnit
    ground: str
    made_at: datetime.datetime
    balls: int


@dataclass(frozen=True, slots=True, kw_only=True)
class ImportInfo:
    """One file of a session."""

    id: int
    name: str
    made_at: datetime.datetime
    balls: int
    plan: tuple[str, ...]
    undone: bool


class Store:
    """The data folder of a coach."""

    def __init__(self, data_dir: Path) -> None:
        self.data_dir = data_dir
        self._engine = open_database(data_dir)

    @classmethod
    def open(cls, data_dir: Path) -> "Store":
        """Opens a folder, making it where needed. Raises UserError where it cannot be used."""
        return cls(data_dir)

    def close(self) -> None:
        """Lets go of the database."""
        self._engine.dispose()

    @contextmanager
    def _read(self) -> Iterator[Session]:
        with Session(self._engine) as session, session.begin():
            yield session

    @contextmanager
    def _write(self) -> Iterator[Session]:
        """One act, one transaction."""
        with Session(self._engine.execution_options(write=True)) as session, session.begin():
            yield session

    def keep_reading(
        self, reading: Reading, content: bytes, *, name: str, options: ReadOptions | None = None, ground: str = "normal"
    ) -> Kept:
        """Keeps the balls of a reading, exactly those shown. The same file again changes nothing; one that has grown adds
        its new rows; an undone one comes back. Raises UserError for a reading with an error or an open question."""
        if reading.error or reading.questions:
            raise UserError(reading.error or f"{reading.questions[0].text} Answer that first.")
        digest = hashlib.sha256(content).hexdigest()
        with self._write() as session:
            same = session.scalars(select(ImportRow).where(ImportRow.sha256 == digest).order_by(ImportRow.id)).first()
            if same is not None and self._same_balls(session, same, reading):
                return self._again(session, same)
            earlier = self._grown_from(session, reading, name)
            known = self._places(session, earlier) if earlier else {}
            fresh = [ball for ball in reading.balls if place_key(ball) not in known]
            if earlier and not fresh:
                return Kept(what="nothing new", session_id=earlier, import_id=None, added=0)
            now = datetime.datetime.now(datetime.UTC).replace(tzinfo=None)
            session_id = earlier or self._new_session(session, reading, name, ground, now)
            row = ImportRow(session_id=session_id, name=name[:300], sha256=digest, content=content, made_at=now, undone_at=None,
                            options=json.dumps((options or ReadOptions()).to_json()), plan=json.dumps(reading.plan))  # fmt: skip
            session.add(row)
            session.flush()
            start = len(known)
            session.add_all(_ball_row(row.id, replace(ball, number=start + i)) for i, ball in enumerate(fresh, start=1))
            session.add_all(_aside_row(row.id, aside) for aside in reading.set_aside)
            return Kept(
                what="rows added" if earlier else "new session",
                session_id=session_id,
                import_id=row.id,
                added=len(fresh),
            )

    def _same_balls(self, session: Session, row: ImportRow, reading: Reading) -> bool:
        """Whether an import of the same bytes was also read the same way (other options may read other balls)."""
        family = self._places(session, row.session_id, undone=True)
        return all(family.get(place_key(ball)) == _content(ball) for ball in reading.balls)

    def _again(self, session: Session, row: ImportRow) -> Kept:
        if row.undone_at is None:
            return Kept(what="nothing new", session_id=row.session_id, import_id=None, added=0)
        row.undone_at = None
        count = session.scalar(select(func.count()).where(BallRow.import_id == row.id)) or 0
        return Kept(what="brought back", session_id=row.session_id, import_id=row.id, added=count)

    def _grown_from(self, session: Session, reading: Reading, name: str) -> int | None:
        """The session of an earlier state of this file: same name, and every ball of it stands unchanged at its place."""
        now = {place_key(ball): _content(ball) for ball in reading.balls}
        for session_id in session.scalars(
            select(ImportRow.session_id)
            .where(ImportRow.name == name[:300], ImportRow.undone_at.is_(None))
            .distinct()
            .order_by(ImportRow.session_id.desc())
        ):
            before = self._places(session, session_id)
            if before and all(now.get(place) == content for place, content in before.items()):
                return session_id
        return None

    def _places(self, session: Session, session_id: int, *, undone: bool = False) -> dict[str, str]:
        query = select(BallRow.place, BallRow.body).join(ImportRow).where(ImportRow.session_id == session_id)
        if not undone:
            query = query.where(ImportRow.undone_at.is_(None))
        return {place: _content(from_json(body)) for place, body in session.execute(query)}

    def _new_session(self, session: Session, reading: Reading, name: str, ground: str, now: datetime.datetime) -> int:
        players = {ball.player for ball in reading.balls if ball.player}
        player_id = self._player(session, players.pop(), now) if len(players) == 1 else None
        row = SessionRow(player_id=player_id, title=name[:300], unit=reading.unit, ground=ground, made_at=now)
        session.add(row)
        session.flush()
        return row.id

    def _player(self, session: Session, name: str, now: datetime.datetime) -> int:
        found = session.scalars(select(PlayerRow).where(PlayerRow.name == name[:300])).first()
        if found is None:
            found = PlayerRow(name=name[:300], made_at=now)
            session.add(found)
            session.flush()
        return found.id

    def sessions(self) -> list[SessionInfo]:
        """All sessions that hold balls, newest first."""
        with self._read() as session:
            rows = session.execute(
                select(SessionRow, PlayerRow.name, func.count(BallRow.id))
                .outerjoin(PlayerRow, SessionRow.player_id == PlayerRow.id)
                .join(ImportRow, ImportRow.session_id == SessionRow.id)
                .join(BallRow, BallRow.import_id == ImportRow.id)
                .where(ImportRow.undone_at.is_(None))
                .group_by(SessionRow.id, PlayerRow.name)
                .order_by(SessionRow.made_at.desc(), SessionRow.id.desc())
            ).all()
            return [_info(row, player, count) for row, player, count in rows]

    def session(self, session_id: int) -> SessionInfo:
        """One session. Raises UserError where there is none."""
        with self._read() as session:
            row = session.get(SessionRow, session_id)
            if row is None:
                raise UserError(
                    f"There is no session {session_id}. Its balls may have been undone; see the list of sessions."
                )
            player = session.get(PlayerRow, row.player_id) if row.player_id else None
            count = session.scalar(
                select(func.count(BallRow.id))
                .join(ImportRow)
                .where(ImportRow.session_id == session_id, ImportRow.undone_at.is_(None))
            )
            return _info(row, player.name if player else None, count or 0)

    def session_balls(self, session_id: int) -> tuple[Ball, ...]:
        """The balls of a session in the order hit, those left out by hand with `use` False."""
        with self._read() as session:
            rows = session.execute(
                select(BallRow, ImportRow.name)
                .join(ImportRow)
                .where(ImportRow.session_id == session_id, ImportRow.undone_at.is_(None))
                .order_by(ImportRow.id, BallRow.number)
            ).all()
            return tuple(_restored(row, name, i) for i, (row, name) in enumerate(rows, start=1))

    def imports(self, session_id: int) -> list[ImportInfo]:
        """The files of a session, undone ones too."""
        with self._read() as session:
            rows = session.execute(
                select(ImportRow, func.count(BallRow.id))
                .outerjoin(BallRow)
                .where(ImportRow.session_id == session_id)
                .group_by(ImportRow.id)
                .order_by(ImportRow.id)
            ).all()
            return [
                ImportInfo(id=row.id, name=row.name, made_at=row.made_at, balls=count, plan=tuple(json.loads(row.plan)), undone=row.undone_at is not None)
                for row, count in rows
            ]  # fmt: skip

    def original(self, import_id: int) -> tuple[str, bytes]:
        """Name and content of an imported file, as it came. Raises UserError where there is none."""
        with self._read() as session:
            row = session.get(ImportRow, import_id)
            if row is None:
                raise UserError(f"There is no file {import_id}.")
            return row.name, row.content

    def set_aside(self, session_id: int) -> list[AsideRow]:
        """Rows of a session's files that are no balls."""
        with self._read() as session:
            rows = session.scalars(
                select(AsideRow)
                .join(ImportRow)
                .where(ImportRow.session_id == session_id, ImportRow.undone_at.is_(None))
                .order_by(AsideRow.id)
            ).all()
            session.expunge_all()
            return list(rows)

    def undo_import(self, import_id: int) -> int:
        """Takes back an import and exactly its own rows; returns its session. Raises UserError where there is none."""
        return self._mark(import_id, undone=True)

    def redo_import(self, import_id: int) -> int:
        """Brings an undone import back; returns its session. Raises UserError where there is none."""
        return self._mark(import_id, undone=False)

    def _mark(self, import_id: int, *, undone: bool) -> int:
        with self._write() as session:
            row = session.get(ImportRow, import_id)
            if row is None:
                raise UserError(f"There is no import {import_id}.")
            row.undone_at = datetime.datetime.now(datetime.UTC).replace(tzinfo=None) if undone else None
            return row.session_id

    def remember_shape(self, key: str, options: ReadOptions) -> None:
        """Keeps how a table of this shape was read."""
        with self._write() as session:
            session.execute(delete(ShapeRow).where(ShapeRow.key == key))
            now = datetime.datetime.now(datetime.UTC).replace(tzinfo=None)
            session.add(ShapeRow(key=key, options=json.dumps(options.to_json()), used_at=now))

    def remembered_options(self, key: str) -> ReadOptions | None:
        """How a table of this shape was read before, or None."""
        with self._read() as session:
            row = session.get(ShapeRow, key)
            return ReadOptions.from_json(json.loads(row.options)) if row else None


def _content(ball: Ball) -> str:
    """What a ball says, its number apart: the number depends on the rows before it."""
    return to_json(replace(ball, number=0))


def _ball_row(import_id: int, ball: Ball) -> BallRow:
    return BallRow(
        import_id=import_id, place=place_key(ball), number=ball.number, body=to_json(ball), distance_m=ball.distance_m
    )


def _aside_row(import_id: int, aside: SetAside) -> AsideRow:
    place = aside.place
    return AsideRow(
        import_id=import_id, sheet=place.sheet, row=place.row, col=place.col, why=aside.why, text=aside.text
    )


def _restored(row: BallRow, file: str, number: int) -> Ball:
    ball = from_json(row.body)
    place = replace(ball.place, file=file) if ball.place else None
    return replace(ball, number=number, place=place, use=ball.use and row.left_out_why is None)


def _info(row: SessionRow, player: str | None, count: int) -> SessionInfo:
    unit: DistanceUnit = "m" if row.unit == "m" else "yd"
    return SessionInfo(
        id=row.id, title=row.title, player=player, unit=unit, ground=row.ground, made_at=row.made_at, balls=count
    )
