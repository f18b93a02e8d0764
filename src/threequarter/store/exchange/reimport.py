"""The product's own table brought back: what is known stays as it is, what is new or different comes in as one act.

In an empty data folder it makes the same again; a second time it changes nothing.
"""

import dataclasses
import datetime
import json
import uuid
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from threequarter.golf.ball import Ball
from threequarter.golf.errors import UserError
from threequarter.golf.message import Message
from threequarter.golf.player import name_key
from threequarter.intake.own_format.columns import OwnRow, ball_of
from threequarter.store.balls.ball_json import from_json, places, to_json
from threequarter.store.balls.current_balls import current_balls, edits_of
from threequarter.store.database.schema import (
    BallRow,
    ClubRow,
    EditRow,
    ImportRow,
    NoteRow,
    PlayerRow,
    RejectedRow,
    SessionRow,
    new_key,
)
from threequarter.store.exchange.export_table import CAME, KEYED, ball_key
from threequarter.store.imports.save_import import find_player, now_utc
from threequarter.store.imports.undo_import import mark_import
from threequarter.store.messages import messages_to_text
from threequarter.store.results import Facts
from threequarter.store.store import Store

Originals = Mapping[tuple[str, str], bytes]
"""The files behind the balls, by session key and file name."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Back:
    """What bringing a table back did (or would do). `batch` undoes it; None where nothing of balls changed.

    `same` counts balls that are here already just so, `changed` those that were here otherwise.
    """

    batch: str | None = None
    players: int = 0
    sessions: int = 0
    balls: int = 0
    changed: int = 0
    same: int = 0
    touched: tuple[int, ...] = ()

    def say(self) -> tuple[Message, ...]:
        """What was done."""
        if not (self.players or self.sessions or self.balls or self.changed):
            return (Message("store.reimport_nothing_new", balls=self.same),)
        parts = (
            ("store.new_balls", self.balls),
            ("store.new_sessions", self.sessions),
            ("store.new_players", self.players),
        )
        lines = [Message("store.reimport_new", parts=tuple(Message(code, count=count) for code, count in parts))]
        if self.changed:
            lines.append(Message("store.reimport_changed", balls=self.changed))
        if self.same:
            lines.append(Message("store.reimport_same", balls=self.same))
        return tuple(lines)


def bring_back(
    store: Store, rows: Sequence[OwnRow], *, name: str, originals: Originals | None = None, dry: bool = False
) -> Back:
    """Brings the rows of an own table in, all or none; with `dry` says what it would do and does nothing.

    Raises UserError, naming the row, for one that cannot be kept.
    """
    with store.writing() as session:
        back = bring_in(session, rows, name=name, originals=originals or {}, batch=uuid.uuid4().hex)
        if dry:
            session.rollback()
    return back


def bring_in(session: Session, rows: Sequence[OwnRow], *, name: str, originals: Originals, batch: str) -> Back:
    """The same in the caller's transaction, undone together with what else bears the `batch`."""
    return _Bringing(session, name, originals, batch).all(rows)


class _Bringing:
    """One act within a transaction."""

    def __init__(self, session: Session, name: str, originals: Originals, batch: str) -> None:
        self.session, self.name, self.originals = session, name[:300], originals
        self.now, self.batch = now_utc(), batch
        self.balls = self.changed = self.same = 0
        self.new_players: set[int] = set()
        self.touched: set[int] = set()
        self.people: dict[str, PlayerRow] = {}

    def all(self, rows: Sequence[OwnRow]) -> Back:
        """Players first (with the day they were entered), then sessions, then what belongs to players."""
        for row in rows:
            if row["record"] == "player":
                self._player(row["player"], row["made_at_utc"])
        held: dict[str, list[tuple[int, OwnRow]]] = {}
        asides: dict[str, list[OwnRow]] = {}
        for at, row in enumerate(rows, start=2):
            if row["record"] == "ball":
                held.setdefault(row["session_key"] or _refuse(at, Message("store.a_ball_needs_a_session")), []).append(
                    (at, row)
                )
            elif row["record"] == "aside" and row["session_key"]:
                asides.setdefault(row["session_key"], []).append(row)
        made = [self._session(key, balls, asides.get(key, [])) for key, balls in held.items()]
        for row in rows:
            if row["record"] == "club":
                self._club(row)
            elif row["record"] == "note":
                self._note(row)
        touched = sorted(self.touched)
        return Back(
            batch=self.batch if touched else None,
            players=len(self.new_players),
            sessions=sum(made),
            balls=self.balls,
            changed=self.changed,
            same=self.same,
            touched=tuple(touched),
        )

    def _player(self, name: str | None, made_at: datetime.datetime | None = None) -> PlayerRow | None:
        if not name:
            return None
        key = name_key(name)
        if key not in self.people:
            last = self.session.scalar(select(func.max(PlayerRow.id))) or 0
            row = find_player(self.session, name, made_at or self.now)
            if row.id > last:
                self.new_players.add(row.id)
            self.people[key] = row
        return self.people[key]

    def _session(self, key: str, told: Sequence[tuple[int, OwnRow]], asides: Sequence[OwnRow]) -> bool:
        """One session's balls; True where the session is new."""
        row = self.session.scalars(select(SessionRow).where(SessionRow.key == key)).first()
        new = row is None
        if row is None:
            row = self._new_session(key, told[0][1])
        known: dict[str, tuple[BallRow, Ball, str | None]] = {}
        edits = edits_of(self.session, row.id)
        for kept, _known in current_balls(self.session, row.id):
            edit = edits.get(kept.id)
            ball = from_json((edit.body if edit else None) or kept.body)
            known[ball_key(key, kept.slot)] = (kept, _bare(ball), edit.left_out_why if edit else None)
        fresh: list[_Fresh] = []
        seen: set[str] = set()
        for at, one in sorted(told, key=lambda item: item[1]["number"] or 0):
            mark = one["ball_key"] or new_key()
            if mark in seen:
                _refuse(at, Message("store.the_ball_key_stands_twice", key=mark))
            seen.add(mark)
            try:
                ball = ball_of(one)
            except UserError as error:
                _refuse(at, error.args[0])
            why = one["left_out_why"] or (
                "left out in the table" if one["use"] is False and not one["marked"] else None
            )
            old = known.get(mark)
            if old and _bare(ball) == old[1] and why == old[2]:
                self.same += 1
                continue
            fresh.append(
                _Fresh(
                    key=mark,
                    ball=ball,
                    why=why,
                    file=one["source_file"] or self.name,
                    hit_at=one["hit_at_utc"],
                    old=old[0] if old else None,
                )
            )
        self.changed += sum(one.old is not None for one in fresh)
        self.balls += sum(one.old is None for one in fresh)
        self.touched |= {row.id} if fresh else set()
        self._write(row, key, fresh, asides if new else ())
        return new

    def _new_session(self, key: str, told: OwnRow) -> SessionRow:
        owner = self._player(told["player"])
        facts = {name: told.get(name) for name in Facts.__slots__}
        for name, known in (("dated_by", ("file", "hand")), ("surface", ("mat", "turf"))):
            facts[name] = facts[name] if facts[name] in known else None
        ground = told["ground"] if told["ground"] in ("soft", "normal", "firm", "plugs") else "normal"
        row = SessionRow(
            key=key,
            player_id=owner.id if owner else None,
            title=told["session"] or self.name,
            unit="m" if told["unit"] == "m" else "yd",
            ground=ground,
            made_at=told["made_at_utc"] or self.now,
            started_at=told["started_at_utc"],
            **facts,
        )
        self.session.add(row)
        self.session.flush()
        return row

    def _write(self, row: SessionRow, key: str, fresh: "Sequence[_Fresh]", asides: Sequence[OwnRow]) -> None:
        """Imports for the new and different balls: one for each run of balls of one file, and one over what is here already."""
        over = [one for one in fresh if one.old is not None]
        if over:
            family = self.session.get_one(ImportRow, over[0].old.import_id).family if over[0].old else 0
            self._import(row, self.name, over, family=family)
        runs: list[list[_Fresh]] = []
        for one in fresh:
            if one.old is None:
                if not runs or runs[-1][0].file != one.file:
                    runs.append([])
                runs[-1].append(one)
        for at, run in enumerate(runs):
            content = self.originals.get((key, run[0].file))
            self._import(row, run[0].file, run, content=content, asides=asides if at == 0 else ())

    def _import(
        self,
        row: SessionRow,
        name: str,
        balls: "Sequence[_Fresh]",
        *,
        family: int = 0,
        content: bytes | None = None,
        asides: Sequence[OwnRow] = (),
    ) -> None:
        made = ImportRow(
            session_id=row.id,
            family=family,
            name=name[:300],
            sha256="",
            head=None,
            content=content,
            options="{}",
            plan=messages_to_text([Message("store.reimport_from", name=self.name)]),
            layout="{}",
            batch=self.batch,
            made_at=self.now,
            undone_at=None,
        )
        self.session.add(made)
        self.session.flush()
        made.family = family or made.id
        layout: dict[str, str] = {}
        typed_keys = [one.key for one in balls if one.typed]
        taken = {
            key
            for at in range(0, len(typed_keys), 500)
            for key in self.session.scalars(
                select(BallRow.client_key)
                .join(ImportRow)
                .where(ImportRow.session_id == row.id, BallRow.client_key.in_(typed_keys[at : at + 500]))
            )
        }
        left_out: list[tuple[BallRow, str]] = []
        for rank, (one, where) in enumerate(zip(balls, places([one.ball for one in balls]), strict=True)):
            slot = one.old.slot if one.old else (KEYED if one.typed else CAME) + one.key
            place = json.dumps([None, None, one.key]) if one.ball.place is None else where
            kept = BallRow(
                import_id=made.id,
                client_key=one.key if one.typed and one.key not in taken else None,
                slot=slot,
                place=place[:400],
                rank=one.old.rank if one.old else float(rank),
                body=to_json(_bare(one.ball)),
                hit_at=one.hit_at,
            )
            layout[place] = slot
            self.session.add(kept)
            if one.why is not None:
                left_out.append((kept, one.why))
        self.session.flush()
        self.session.add_all(
            EditRow(ball_id=kept.id, body=None, left_out_why=why, made_at=self.now, undone_at=None)
            for kept, why in left_out
        )
        made.layout = json.dumps(layout, ensure_ascii=False)
        self.session.add_all(_aside(made.id, aside) for aside in asides)

    def _club(self, row: OwnRow) -> None:
        owner = self._player(row["player"])
        if owner is None or not row["club"]:
            return
        here = self.session.scalars(select(ClubRow).where(ClubRow.player_id == owner.id)).all()
        if any(club.label == row["club"] for club in here):
            return
        self.session.add(
            ClubRow(
                player_id=owner.id,
                place=len(here),
                label=row["club"][:100],
                loft_deg=row["loft_deg"],
                full_carry_m=row["full_carry_m"],
            )
        )
        self.session.flush()

    def _note(self, row: OwnRow) -> None:
        owner = self._player(row["player"])
        if owner is None or not row["note"]:
            return
        same = select(NoteRow.id).where(NoteRow.player_id == owner.id, NoteRow.text == row["note"])
        if self.session.scalars(same).first() is None:
            self.session.add(
                NoteRow(player_id=owner.id, text=row["note"], made_at=row["made_at_utc"] or self.now, undone_at=None)
            )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Fresh:
    """A ball to write: new (`old` None), or over one that is here otherwise."""

    key: str
    ball: Ball
    why: str | None
    file: str
    hit_at: datetime.datetime | None
    old: BallRow | None

    @property
    def typed(self) -> bool:
        """Whether it stands in no file and bears a key as a phone makes them."""
        return self.ball.place is None and 8 <= len(self.key) <= 64


def _bare(ball: Ball) -> Ball:
    """The ball without what its import and its order tell."""
    place = dataclasses.replace(ball.place, file=None) if ball.place else None
    return dataclasses.replace(ball, number=0, place=place)


def _aside(import_id: int, row: OwnRow) -> RejectedRow:
    return RejectedRow(
        import_id=import_id,
        sheet=row["source_sheet"],
        row=row["source_row"],
        col=row["source_column"],
        why=row["left_out_why"] or "",
        text=row["note"] or "",
    )


def _refuse(at: int, why: Message | str) -> str:
    raise UserError(Message("store.row_nothing_was_kept", at=at, why=why))


def undo_batch(store: Store, batch: str) -> int:
    """Takes an act of many imports back; returns how many. Raises UserError where there is none."""
    return _mark(store, batch, undone=True)


def redo_batch(store: Store, batch: str) -> int:
    """Does it again; returns how many imports came back. Raises UserError where there is none."""
    return _mark(store, batch, undone=False)


def _mark(store: Store, batch: str, *, undone: bool) -> int:
    with store.writing() as session:
        rows = session.scalars(select(ImportRow).where(ImportRow.batch == batch)).all() if batch else ()
        if not rows:
            raise UserError(Message("store.there_is_nothing_of_this"))
        for row in rows:
            mark_import(session, row, undone=undone)
        return len(rows)
