"""What phones sent that a person should look at: one key with two contents, and one ball that two phones seem to have typed."""

import datetime
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final, Literal

from sqlalchemy import select

from threequarter.golf.ball import Ball
from threequarter.golf.errors import UserError
from threequarter.golf.message import Message
from threequarter.store.balls.ball_json import from_json, to_json
from threequarter.store.database.schema import BallRow, EditRow, ImportRow, RejectedRow
from threequarter.store.imports.save_import import now_utc
from threequarter.store.results import StoredBall
from threequarter.store.store import Store

SECONDS_APART: Final = 30.0
"""Two phones that note the same shot within this time noted one ball; a player takes longer for the next (practice, no source)."""
SAME_M: Final = 0.01
TWICE: Final = "the same ball on two phones"


@dataclass(frozen=True, slots=True, kw_only=True)
class Conflict:
    """One key, two contents: what stands, and what else came."""

    id: int
    key: str
    kept: Ball
    other: Ball


@dataclass(frozen=True, slots=True, kw_only=True)
class Double:
    """A ball that seems to have been typed on two phones; both count until somebody says otherwise."""

    first: StoredBall
    again: StoredBall
    seconds: float


class Conflicts:
    """Conflicts and likely doubles of the sessions of a store."""

    def __init__(self, store: Store) -> None:
        self.store = store

    def conflicts(self, session_id: int) -> list[Conflict]:
        """Those not settled yet, oldest first."""
        with self.store.reading() as session:
            rows = session.execute(
                select(RejectedRow.id, RejectedRow.client_key, RejectedRow.text, BallRow.id)
                .join(
                    BallRow,
                    (BallRow.client_key == RejectedRow.client_key) & (BallRow.import_id == RejectedRow.import_id),
                )
                .join(ImportRow, BallRow.import_id == ImportRow.id)
                .where(ImportRow.session_id == session_id, RejectedRow.settled_at.is_(None))
                .order_by(RejectedRow.id)
            ).all()
        if not rows:
            return []
        standing = {kept.id: kept.ball for kept in self.store.kept_balls(session_id)}
        return [
            Conflict(id=number, key=str(key), kept=standing[ball_id], other=from_json(text))
            for number, key, text, ball_id in rows
            if ball_id in standing
        ]

    def settle(self, session_id: int, conflict_id: int, take: Literal["kept", "other"]) -> None:
        """Lets one content stand; the other is kept, and a change of a ball can be undone. Raises UserError where there is none."""
        found = next((one for one in self.conflicts(session_id) if one.id == conflict_id), None)
        if found is None:
            raise UserError(Message("store.this_was_settled_before"))
        with self.store.writing() as session:
            row = session.get(RejectedRow, conflict_id)
            if row is None or row.settled_at is not None:
                return
            row.settled_at = now_utc()
            same = (BallRow.client_key == found.key, BallRow.import_id == row.import_id)
            ball = session.scalars(select(BallRow).where(*same)).one()
            if take == "other":
                body = to_json(replace(found.other, number=0))
                session.add(EditRow(ball_id=ball.id, body=body, left_out_why=None, made_at=now_utc()))

    def doubles(self, session_id: int) -> list[Double]:
        """Balls of one shot and one value that two phones typed within seconds."""
        with self.store.reading() as session:
            typed = session.execute(
                select(BallRow.id, BallRow.phone, BallRow.hit_at, BallRow.own_at)
                .join(ImportRow, BallRow.import_id == ImportRow.id)
                .where(ImportRow.session_id == session_id, ImportRow.undone_at.is_(None), BallRow.phone.is_not(None))
                .order_by(BallRow.hit_at, BallRow.id)
            ).all()
        if len({phone for _id, phone, _at, _own in typed}) < 2:
            return []
        kept = {one.id: one for one in self.store.kept_balls(session_id)}
        told = [
            (kept[number], phone, at, own)
            for number, phone, at, own in typed
            if at and number in kept and kept[number].left_out_why is None
        ]
        return _pairs(told)

    def settle_double(self, session_id: int, ball_id: int, *, same: bool) -> None:
        """One ball: the later note is left out, with the reason. Two balls: it is not asked again."""
        if not any(double.again.id == ball_id for double in self.doubles(session_id)):
            raise UserError(Message("store.this_was_settled_before"))
        if same:
            self.store.leave_out(ball_id, TWICE)
            return
        with self.store.writing() as session:
            row = session.get(BallRow, ball_id)
            if row is not None:
                row.own_at = now_utc()


def _pairs(told: Sequence[tuple[StoredBall, str | None, datetime.datetime, datetime.datetime | None]]) -> list[Double]:
    """Each ball at most once: as the repeat of the nearest one before it that is not a repeat or repeated itself."""
    found: list[Double] = []
    taken: set[int] = set()
    for i, (again, phone, at, own) in enumerate(told):
        if own is not None:
            continue
        for first, other_phone, before, _own in reversed(told[:i]):
            seconds = (at - before).total_seconds()
            if seconds > SECONDS_APART:
                break
            if other_phone != phone and not {first.id, again.id} & taken and _alike(first.ball, again.ball):
                found.append(Double(first=first, again=again, seconds=seconds))
                taken |= {first.id, again.id}
                break
    return found


def _alike(a: Ball, b: Ball) -> bool:
    same_shot = a.shot == b.shot
    return same_shot and abs(a.distance_m - b.distance_m) <= SAME_M
