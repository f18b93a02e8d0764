"""The days of a player: their date, place and conditions put right, two joined, balls moved between them. Every act can be undone."""

import datetime
from collections.abc import Sequence
from dataclasses import asdict

from sqlalchemy import select
from sqlalchemy.orm import Session

from threequarter.golf.errors import UserError
from threequarter.golf.message import Message
from threequarter.store.balls.current_balls import session_row
from threequarter.store.balls.phone_balls import TYPED, typed_layer
from threequarter.store.database.schema import BallRow, ClipRow, ImportRow, NoteRow, SessionRow
from threequarter.store.history.day_acts import facts_body
from threequarter.store.history.history import record_act
from threequarter.store.imports.save_import import now_utc
from threequarter.store.results import Facts
from threequarter.store.store import Store

EARLIEST = datetime.date(1950, 1, 1)


class Days:
    """The days of a store. Each method is one transaction."""

    def __init__(self, store: Store) -> None:
        self.store = store

    def standing(self, session_id: int) -> int:
        """The day that a day is now: the other one where it was joined into it."""
        with self.store.reading() as session:
            return standing_day(session, session_id)

    def edit(self, session_id: int, facts: Facts, ground: str | None = None) -> int | None:
        """Puts the facts of a day right; returns the act, None where nothing changed. Raises UserError for a date that cannot be."""
        check_date(facts.held_on)
        with self.store.writing() as session:
            row = session_row(session, session_id)
            before = facts_body(row)
            held_on = facts.held_on.isoformat() if facts.held_on else None
            after = asdict(facts) | {"held_on": held_on, "ground": ground or row.ground}
            if held_on != before["held_on"]:
                after["dated_by"] = "hand" if held_on else None
            if before == after:
                return None
            body = {"session": session_id, "before": before, "after": after}
            return record_act(session, "day", body, player_id=row.player_id, session_id=session_id)

    def join(self, session_id: int, into: int) -> int:
        """Makes two days of one player one: everything of `session_id` goes to `into`, and so does what a phone still sends.

        Returns the act. Raises UserError for one and the same day, or days of two players.
        """
        with self.store.writing() as session:
            source, target = session_row(session, session_id), session_row(session, into)
            if source.id == target.id:
                raise UserError(Message("store.that_is_the_same_day"))
            if source.player_id != target.player_id:
                raise UserError(Message("store.these_days_are_of_two"))
            body = {
                "source": source.id,
                "target": target.id,
                "imports": list(session.scalars(select(ImportRow.id).where(ImportRow.session_id == source.id))),
                "clips": list(session.scalars(select(ClipRow.id).where(ClipRow.session_id == source.id))),
                "notes": list(session.scalars(select(NoteRow.id).where(NoteRow.session_id == source.id))),
            }
            return record_act(session, "join", body, player_id=target.player_id, session_id=target.id)

    def part(self, session_id: int, ball_ids: Sequence[int], held_on: datetime.date | None = None) -> tuple[int, int]:
        """Parts some balls from a day into a new one of the same player; returns the new day and the act.

        The new day has the place and the ball of the old one; its date is `held_on` where told.
        """
        check_date(held_on)
        with self.store.writing() as session:
            old = session_row(session, session_id)
            made = SessionRow(
                player_id=old.player_id,
                coach_id=old.coach_id,
                title=old.title,
                unit=old.unit,
                ground=old.ground,
                held_on=held_on or old.held_on,
                dated_by="hand" if held_on else old.dated_by,
                where_held=old.where_held,
                ball_kind=old.ball_kind,
                surface=old.surface,
                made_at=old.made_at,
            )
            session.add(made)
            session.flush()
            return made.id, _move(session, session_id, made.id, ball_ids)

    def move(self, session_id: int, to: int, ball_ids: Sequence[int]) -> int:
        """Moves balls from one day to another; returns the act. Raises UserError where none of them is there."""
        with self.store.writing() as session:
            return _move(session, session_id, standing_day(session, to), ball_ids)


def check_date(held_on: datetime.date | None) -> None:
    """Raises UserError for a day that is not here yet, or before anybody measured a wedge."""
    if held_on is not None and not EARLIEST <= held_on <= now_utc().date() + datetime.timedelta(days=1):
        raise UserError(Message("store.cannot_be_the_day_these", day=held_on.isoformat()))


def standing_day(session: Session, session_id: int) -> int:
    """The day that a day is now: the other one where it was joined into it."""
    seen: set[int] = set()
    while session_id not in seen:
        seen.add(session_id)
        row = session.get(SessionRow, session_id)
        if row is None or row.joined_into is None:
            break
        session_id = row.joined_into
    return session_id


def _move(session: Session, source: int, target: int, ball_ids: Sequence[int]) -> int:
    """Every state of a ball goes with it, so that an older one does not come to light; a file stays known as one file."""
    session_row(session, target)
    chosen = session.scalars(
        select(BallRow).join(ImportRow).where(BallRow.id.in_(ball_ids), ImportRow.session_id == source)
    ).all()
    if not chosen or source == target:
        raise UserError(Message("store.none_of_these_balls_is"))
    slots = {ball.slot for ball in chosen}
    rows = session.execute(
        select(BallRow, ImportRow)
        .join(ImportRow)
        .where(ImportRow.session_id == source, BallRow.slot.in_(slots))
        .order_by(BallRow.import_id, BallRow.rank)
    ).all()
    layers: dict[int, tuple[int, list[int]]] = {}
    for ball, layer in rows:
        if layer.id not in layers:
            layers[layer.id] = _layer_like(session, layer, target).id, []
        layers[layer.id][1].append(ball.id)
    body = {
        "source": source,
        "target": target,
        "moves": [[one, other, balls] for one, (other, balls) in layers.items()],
    }
    player = session_row(session, target).player_id
    return record_act(session, "move balls", body, player_id=player, session_id=target)


def _layer_like(session: Session, layer: ImportRow, target: int) -> ImportRow:
    """A layer of the target day for balls of another's: its typed balls, or one more of the same file."""
    if layer.name == TYPED:
        return typed_layer(session, target)
    made = ImportRow(
        session_id=target,
        family=layer.family,
        name=layer.name,
        sha256="moved",
        head=None,
        content=None,
        options=layer.options,
        plan=layer.plan,
        layout="{}",
        batch=None,
        made_at=layer.made_at,
        undone_at=layer.undone_at,
    )
    session.add(made)
    session.flush()
    return made
