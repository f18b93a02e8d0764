"""Clinics: several players on one date, each with a day of their own, kept with name, stations and the order of the rotation."""

import datetime
import json
from collections.abc import Sequence
from dataclasses import dataclass

from sqlalchemy import select
from sqlalchemy.orm import Session

from threequarter.golf.errors import NotThereError, UserError
from threequarter.golf.message import Message
from threequarter.store.balls.phone_balls import begin_day
from threequarter.store.database.schema import ClinicRow, ClinicSessionRow, SessionRow
from threequarter.store.history.history import record_act
from threequarter.store.imports.save_import import now_utc
from threequarter.store.store import Store


@dataclass(frozen=True, slots=True, kw_only=True)
class Clinic:
    """A clinic; `sessions` are the players' days in the order of the rotation."""

    id: int
    name: str
    held_on: datetime.date
    clubs: tuple[str, ...]
    swings: tuple[str, ...]
    balls_each: int
    sessions: tuple[int, ...]
    made_at: datetime.datetime
    binned: bool = False


class Clinics:
    """The clinics of a store. Each method is one transaction."""

    def __init__(self, store: Store) -> None:
        self.store = store

    def begin(
        self,
        players: Sequence[str],
        clubs: Sequence[str],
        swings: Sequence[str],
        balls_each: int,
        *,
        unit: str = "yd",
        name: str = "",
    ) -> int:
        """A clinic with a day for each player, all or none; returns its id. Raises UserError without a player."""
        if not players:
            raise UserError(Message("store.clinic_without_a_player"))
        with self.store.writing() as session:
            row = ClinicRow(
                name=name.strip()[:300],
                held_on=now_utc().date(),
                clubs=json.dumps(list(clubs)),
                swings=json.dumps(list(swings)),
                balls_each=balls_each,
                made_at=now_utc(),
            )
            session.add(row)
            session.flush()
            for place, player in enumerate(players):
                day = begin_day(session, player, unit)
                session.add(ClinicSessionRow(clinic_id=row.id, session_id=day, place=place))
            session.flush()
            return row.id

    def one(self, clinic_id: int) -> Clinic:
        """A clinic. Raises UserError where there is none."""
        with self.store.reading() as session:
            return _clinic(session, _row(session, clinic_id))

    def newest(self, most: int = 6) -> list[Clinic]:
        """The clinics begun last, newest first."""
        query = select(ClinicRow).where(ClinicRow.binned_at.is_(None)).order_by(ClinicRow.id.desc()).limit(most)
        with self.store.reading() as session:
            return [_clinic(session, row) for row in session.scalars(query).all()]

    def of_session(self, session_id: int) -> Clinic | None:
        """The clinic that a day belongs to; None for a day of no clinic."""
        with self.store.reading() as session:
            query = select(ClinicRow).join(ClinicSessionRow).where(ClinicSessionRow.session_id == session_id)
            row = session.scalars(query.order_by(ClinicRow.id.desc())).first()
            return _clinic(session, row) if row else None

    def edit(self, clinic_id: int, name: str, held_on: datetime.date) -> int | None:
        """Gives a clinic another name and date; returns the act, None where nothing changes."""
        with self.store.writing() as session:
            row = _row(session, clinic_id)
            before = {"name": row.name, "held_on": row.held_on.isoformat()}
            after = {"name": name.strip()[:300] or row.name, "held_on": held_on.isoformat()}
            if before == after:
                return None
            return record_act(
                session,
                "clinic",
                {"clinic": clinic_id, "before": before, "after": after},
                session_id=_first(session, clinic_id),
            )

    def put_away(self, clinic_id: int) -> int:
        """Takes a clinic off the lists, its players' days kept; returns the act."""
        with self.store.writing() as session:
            _row(session, clinic_id)
            return record_act(session, "clinic away", {"clinic": clinic_id}, session_id=_first(session, clinic_id))


def _first(session: Session, clinic_id: int) -> int | None:
    query = select(ClinicSessionRow.session_id).where(ClinicSessionRow.clinic_id == clinic_id)
    return session.scalar(query.order_by(ClinicSessionRow.place).limit(1))


def _row(session: Session, clinic_id: int) -> ClinicRow:
    row = session.get(ClinicRow, clinic_id)
    if row is None:
        raise NotThereError(Message("store.there_is_no_clinic", number=clinic_id))
    return row


def _clinic(session: Session, row: ClinicRow) -> Clinic:
    days = session.scalars(
        select(ClinicSessionRow.session_id)
        .join(SessionRow, SessionRow.id == ClinicSessionRow.session_id)
        .where(ClinicSessionRow.clinic_id == row.id, SessionRow.binned_at.is_(None))
        .order_by(ClinicSessionRow.place)
    ).all()
    return Clinic(
        id=row.id,
        name=row.name,
        held_on=row.held_on,
        clubs=tuple(json.loads(row.clubs)),
        swings=tuple(json.loads(row.swings)),
        balls_each=row.balls_each,
        sessions=tuple(days),
        made_at=row.made_at,
        binned=row.binned_at is not None,
    )
