"""Balls typed one by one on a phone: each bears a key made there, so that sending it again, late or twice changes nothing."""

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any, Final, Literal

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from threequarter.golf.ball import Ball, MeasuredAs, MeasuredBy, Strike
from threequarter.golf.errors import UserError
from threequarter.golf.units import METRES_PER
from threequarter.store.ball_json import from_json, to_json
from threequarter.store.keeping import find_player, now_utc
from threequarter.store.schema import AsideRow, BallRow, EditRow, ImportRow, SessionRow
from threequarter.store.store import Store

State = Literal["saved", "known", "conflict", "refused", "taken back"]
MOST_BALLS: Final = 500
CARRY_M: Final = (0.5, 250.0)
RESTS: Final = (MeasuredBy.LASER, MeasuredBy.PACES, MeasuredBy.PILE, MeasuredBy.POSITION)
TYPED: Final = "typed ball by ball"


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """What became of one typed ball."""

    key: str
    state: State
    why: str = ""


class Bucket:
    """The typed balls of a store."""

    def __init__(self, store: Store) -> None:
        self.store = store

    def begin(self, player: str, unit: str = "yd") -> int:
        """A new session to type into; returns its id. Raises UserError without a name."""
        name = player.strip()[:300]
        if not name:
            raise UserError("Whose balls are these? Type a name; a first name is enough.")
        with self.store.writing() as session:
            row = SessionRow(player_id=find_player(session, name, now_utc()).id, title="bucket", unit="m" if unit == "m" else "yd", ground="normal",
                             made_at=now_utc())  # fmt: skip
            session.add(row)
            session.flush()
            session.add(_import(row.id))
            return row.id

    def take(self, session_id: int, balls: Sequence[Mapping[str, Any]], back: Sequence[str] = ()) -> list[Outcome]:
        """Keeps what a phone sent, in one transaction; the same batch again gives the same answers and changes nothing.

        A ball whose key is known with other content is kept aside and told as a conflict, never dropped or overwritten.
        """
        if len(balls) + len(back) > MOST_BALLS:
            raise UserError(f"At most {MOST_BALLS} balls are taken at once.")
        with self.store.writing() as session:
            typed = self._typed(session, session_id)
            found = [_take(session, typed, one) for one in balls]
            found += [_take_back(session, key) for key in back]
        return found

    def _typed(self, session: Session, session_id: int) -> ImportRow:
        if session.get(SessionRow, session_id) is None:
            raise UserError(
                f"There is no session {session_id}; it may have been deleted. The balls stay on this phone."
            )
        row = session.scalars(
            select(ImportRow).where(
                ImportRow.session_id == session_id, ImportRow.name == TYPED, ImportRow.undone_at.is_(None)
            )
        ).first()
        if row is None:
            row = _import(session_id)
            session.add(row)
            session.flush()
        return row


def _import(session_id: int) -> ImportRow:
    return ImportRow(session_id=session_id, family=0, name=TYPED, sha256="", head=None, content=None, options="{}", plan="[]", layout="{}",
                     made_at=now_utc(), undone_at=None)  # fmt: skip


def _take(session: Session, typed: ImportRow, told: Mapping[str, Any]) -> Outcome:
    key = str(told.get("key") or "")
    if not 8 <= len(key) <= 64:
        return Outcome(key=key[:64], state="refused", why="It has no key of its own.")
    try:
        body = to_json(ball_of(told))
    except UserError as error:
        return Outcome(key=key, state="refused", why=str(error))
    known = session.scalars(select(BallRow).where(BallRow.client_key == key)).first()
    if known is not None:
        if from_json(known.body) == from_json(body):
            return Outcome(key=key, state="known")
        kept = session.scalars(select(AsideRow.id).where(AsideRow.import_id == typed.id, AsideRow.text == body)).first()
        if kept is None:
            session.add(
                AsideRow(
                    import_id=typed.id,
                    sheet=None,
                    row=None,
                    col=None,
                    why=f"the same ball came twice with other content ({key[:8]})",
                    text=body,
                )
            )
        return Outcome(
            key=key, state="conflict", why="This ball was kept before with other content; both are kept to look at."
        )
    if typed.family == 0:
        typed.family = typed.id
    place = json.dumps([None, None, key])
    rank = session.scalars(select(func.max(BallRow.rank)).where(BallRow.import_id == typed.id)).first() or 0.0
    session.add(BallRow(import_id=typed.id, client_key=key, slot=f"key:{key}", place=place, rank=rank + 1, body=body))
    session.flush()
    layout = json.loads(typed.layout)
    layout[place] = f"key:{key}"
    typed.layout = json.dumps(layout)
    return Outcome(key=key, state="saved")


def _take_back(session: Session, key: str) -> Outcome:
    row = session.scalars(select(BallRow).where(BallRow.client_key == key)).first()
    if row is None:
        return Outcome(key=key, state="refused", why="This ball has not come yet.")
    last = session.scalars(
        select(EditRow).where(EditRow.ball_id == row.id, EditRow.undone_at.is_(None)).order_by(EditRow.id.desc())
    ).first()
    if last is None or last.left_out_why is None:
        session.add(EditRow(ball_id=row.id, body=None, left_out_why="taken back", made_at=now_utc(), undone_at=None))
    return Outcome(key=key, state="taken back")


def ball_of(told: Mapping[str, Any]) -> Ball:
    """A ball from what a phone sends: club, swing, carry in its unit, and what else was typed. Raises UserError."""
    club, swing = (str(told.get(name) or "").strip()[:100] for name in ("club", "swing"))
    if not club or not swing:
        raise UserError("It has no club or no swing.")
    unit = METRES_PER.get(told.get("unit"), 0.0)  # type: ignore[arg-type]
    carry, side = told.get("carry"), told.get("side")
    if (
        not unit
        or isinstance(carry, bool)
        or not isinstance(carry, int | float)
        or not CARRY_M[0] <= carry * unit <= CARRY_M[1]
    ):
        raise UserError(f"No wedge carries {carry!r} {told.get('unit') or ''}.".replace(" .", "."))
    if side is not None and (isinstance(side, bool) or not isinstance(side, int | float) or abs(side) > carry):
        raise UserError(f"A side of {side!r} cannot be.")
    by = MeasuredBy(told["by"]) if told.get("by") in set(MeasuredBy) else MeasuredBy.UNKNOWN
    strike = Strike(told["strike"]) if told.get("strike") in set(Strike) else None
    return Ball(
        number=0, club=club, swing=swing, distance_m=carry * unit, measured_by=by, measured_as=MeasuredAs.REST if by in RESTS else MeasuredAs.CARRY,
        offline_m=None if side is None else side * unit, strike=strike, rounding_m=None,
    )  # fmt: skip


def numbered(balls: Sequence[Ball]) -> tuple[Ball, ...]:
    """Balls numbered from 1 in their order."""
    return tuple(replace(ball, number=i) for i, ball in enumerate(balls, start=1))
