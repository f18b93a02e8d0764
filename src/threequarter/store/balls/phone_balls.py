"""Balls typed one by one on a phone: each bears a key made there, so that sending it again, late or twice changes nothing."""

import datetime
import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final, Literal

from sqlalchemy import func, select
from sqlalchemy.exc import IntegrityError
from sqlalchemy.orm import Session

from threequarter.golf.errors import UserError
from threequarter.golf.message import Message
from threequarter.store.balls.ball_json import content, from_json, to_json
from threequarter.store.balls.keys import ball_by_key, came_by_joining, days_joined_with, move_rows
from threequarter.store.balls.phone_ball_parser import ball_of
from threequarter.store.database.schema import BallRow, EditRow, ImportRow, PlayerRow, RejectedRow, SessionRow
from threequarter.store.imports.save_import import find_player, now_utc
from threequarter.store.store import Store

State = Literal["saved", "known", "conflict", "refused", "taken back", "changed"]
MOST_BALLS: Final = 500
MOST_CHANGES: Final = 100_000
OLDEST: Final = datetime.timedelta(days=30)
"""A phone that says a ball has waited longer has had its clock changed."""
TYPED: Final = "typed ball by ball"
CAME_TWICE: Final = "the same ball came twice with other content"
TAKEN_BACK: Final = "taken back"
"""Said when they are shown; kept as they stand here."""


class SessionGoneError(UserError):
    """The session that balls are for was deleted."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """What became of one typed ball, or (with `rev`) of a change of it, which is `fresh` where it had not come before."""

    key: str
    state: State
    why: Message | str = ""
    rev: int = 0
    fresh: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class TypedSession:
    """A session that was begun on a bucket page; `held_on` is its date as `SessionInfo` has it, `balls` may be none yet."""

    id: int
    player: str
    made_at: datetime.datetime
    held_on: datetime.date
    balls: int


class PhoneBalls:
    """The typed balls of a store."""

    def __init__(self, store: Store) -> None:
        self.store = store

    def begin(
        self, player: str, unit: str = "yd", *, key: str | None = None, at: datetime.datetime | None = None
    ) -> int:
        """A new session to type into, begun now or at a time told (UTC); returns its id. With a `key` (made on a phone that began it
        without a server) the same key again is the same session. Raises UserError without a name."""
        with self.store.writing() as session:
            begun = _begun(session, key)
            if begun is not None:
                return begun
            try:
                with session.begin_nested():
                    return begin_day(session, player, unit, key, at)
            except IntegrityError:  # another tab brought it in this instant: the session's own key is unique
                begun = _begun(session, key)
                if begun is None:
                    raise
                return begun

    def known(self, session_id: int, keys: Sequence[str]) -> set[str]:
        """Which of these balls a session has, those taken back too. Raises SessionGoneError for a session that is gone."""
        with self.store.writing() as session:
            days = days_joined_with(session, typed_layer(session, session_id).session_id)
            return {key for key in keys if ball_by_key(session, days, key) is not None}

    def recent(self, most: int = 6) -> list[TypedSession]:
        """The sessions begun last on a bucket page, newest first, those without a ball too."""
        counted = (
            select(
                SessionRow.id,
                SessionRow.title,
                SessionRow.made_at,
                SessionRow.held_on,
                PlayerRow.name,
                func.count(BallRow.id),
                func.max(BallRow.id),
            )
            .join(ImportRow, ImportRow.session_id == SessionRow.id)
            .outerjoin(PlayerRow, SessionRow.player_id == PlayerRow.id)
            .outerjoin(BallRow, BallRow.import_id == ImportRow.id)
            .where(
                ImportRow.name == TYPED,
                ImportRow.undone_at.is_(None),
                SessionRow.binned_at.is_(None),
                SessionRow.joined_into.is_(None),
                (PlayerRow.id.is_(None) | PlayerRow.archived_at.is_(None)),
            )
            .group_by(SessionRow.id, SessionRow.title, SessionRow.made_at, SessionRow.held_on, PlayerRow.name)
            .order_by(SessionRow.id.desc())
            .limit(most)
        )
        with self.store.reading() as session:
            return [
                TypedSession(
                    id=number,
                    player=name or title,
                    made_at=made_at,
                    held_on=held_on or made_at.date(),
                    balls=balls,
                )
                for number, title, made_at, held_on, name, balls, _last in session.execute(counted)
            ]

    def take(
        self,
        session_id: int,
        balls: Sequence[Mapping[str, Any]],
        back: Sequence[str] = (),
        changes: Sequence[Mapping[str, Any]] = (),
        phone: str = "",
    ) -> list[Outcome]:
        """Keeps what a phone sent, in one transaction; the same batch again gives the same answers and changes nothing.

        A ball whose key is known with other content is kept aside and told as a conflict, never dropped or overwritten. A
        change bears the ball's key and a number that the phone counts up (`rev`): the highest holds, whenever it comes.
        Raises SessionGoneError for a session that is gone; the balls then stay where they are.
        """
        if len(balls) + len(back) + len(changes) > MOST_BALLS:
            raise UserError(Message("store.at_most_balls_are_taken", count=MOST_BALLS))
        with self.store.writing() as session:
            typed = typed_layer(session, session_id)
            taker = _Taker(session, typed, phone[:32] or None)
            found = [taker.take(one) for one in balls]
            found += [taker.take_back(key) for key in back]
            found += [taker.change(one) for one in changes]
        return found

    def move(self, keys: Sequence[str], session_id: int, to: int) -> int:
        """Gives typed balls of one session to another (the wrong player was chosen); returns how many. Moving back undoes it."""
        with self.store.writing() as session:
            layers = {
                one: typed_layer(session, one) for one in sorted({session_id, to})
            }  # locked in one order everywhere
            source, target = layers[session_id], layers[to]
            rows = session.scalars(
                select(BallRow)
                .where(BallRow.client_key.in_(list(keys)), BallRow.import_id == source.id)
                .order_by(BallRow.rank)
            ).all()
            move_rows(session, rows, source, target)
            _relayout(source, {}, [row.place for row in rows])
            _relayout(target, {row.place: row.slot for row in rows}, ())
            return len(rows)


def _begun(session: Session, key: str | None) -> int | None:
    """The session that a phone's bucket of this key became, None where it has not come."""
    if key is None:
        return None
    known = session.scalars(select(ImportRow.session_id).where(ImportRow.name == TYPED, ImportRow.head == key)).first()
    return known if known is not None else session.scalars(select(SessionRow.id).where(SessionRow.key == key)).first()


def begin_day(
    session: Session,
    player: str,
    unit: str = "yd",
    key: str | None = None,
    at: datetime.datetime | None = None,
) -> int:
    """A new day of a player to type into, in the caller's transaction; returns its id. Raises UserError without a name."""
    name = player.strip()[:300]
    if not name:
        raise UserError(Message("store.whose_balls_are_these_type"))
    row = SessionRow(
        player_id=find_player(session, name, now_utc()).id,
        title="bucket",
        unit="m" if unit == "m" else "yd",
        ground="normal",
        made_at=at or now_utc(),
    )
    if key is not None:
        row.key = key
    session.add(row)
    session.flush()
    layer = _import(row.id)
    layer.head = key
    session.add(layer)
    return row.id


def typed_layer(session: Session, session_id: int) -> ImportRow:
    """The layer that holds a day's typed balls, locked for this act; of the day that it was joined into, where it was."""
    row = session.get(SessionRow, session_id, with_for_update=True)
    for _step in range(20):
        if row is None or row.joined_into is None:
            break
        row = session.get(SessionRow, row.joined_into, with_for_update=True)
    if row is None or row.binned_at is not None:
        raise SessionGoneError(Message("store.session_was_deleted_the_balls", number=session_id))
    typed = session.scalars(
        select(ImportRow)
        .where(
            ImportRow.session_id == row.id,
            ImportRow.name == TYPED,
            ImportRow.undone_at.is_(None),
            ImportRow.id.not_in(came_by_joining(session, row.id)),
        )
        .order_by(ImportRow.id)
    ).first()
    if typed is None:
        typed = _import(row.id)
        session.add(typed)
        session.flush()
    if typed.family == 0:
        typed.family = typed.id
    return typed


def _import(session_id: int) -> ImportRow:
    return ImportRow(
        session_id=session_id,
        family=0,
        name=TYPED,
        sha256="",
        head=None,
        content=None,
        options="{}",
        plan="[]",
        layout="{}",
        made_at=now_utc(),
        undone_at=None,
    )


def _relayout(typed: ImportRow, came: Mapping[str, str], gone: Sequence[str]) -> None:
    layout = {place: slot for place, slot in json.loads(typed.layout).items() if place not in set(gone)}
    typed.layout = json.dumps(layout | dict(came))


ON_ITS_WAY_S: Final = 15.0
"""As long as a phone waits for an answer. A ball's time is told by its age when it was sent, so that one which was long on its way seems
later than it was; the next of the same phone, which goes only after it, is not put before it."""


class _Taker:
    """Keeps one batch of one phone."""

    def __init__(self, session: Session, typed: ImportRow, phone: str | None) -> None:
        self.session, self.typed, self.phone = session, typed, phone
        self.now = now_utc()
        self.days = days_joined_with(session, typed.session_id)
        self.last_rank = 0.0
        self.before = self._last_of_phone()

    def _last_of_phone(self) -> float:
        """The rank of the ball that this phone brought last, 0 for none."""
        mine = BallRow.import_id == self.typed.id, BallRow.phone == self.phone
        last = self.session.scalar(select(func.max(BallRow.rank)).where(*mine)) if self.phone else None
        return last or 0.0

    def take(self, told: Mapping[str, Any]) -> Outcome:
        key = str(told.get("key") or "")
        if not 8 <= len(key) <= 64:
            return Outcome(key=key[:64], state="refused", why=Message("store.it_has_no_key_of"))
        try:
            body = to_json(ball_of(told))
        except UserError as error:
            return Outcome(key=key, state="refused", why=error.args[0])
        known = self._by_key(key) or self._insert(key, body, told)
        return self._compare(known, key, body) if known else Outcome(key=key, state="saved")

    def _insert(self, key: str, body: str, told: Mapping[str, Any]) -> BallRow | None:
        """Keeps a new ball; where another session took the same key in this instant, gives back what that one kept."""
        hit_at = self.now - _age(told.get("age_s"))
        rank = max(hit_at.replace(tzinfo=datetime.UTC).timestamp(), self.last_rank + 1e-6)
        if 0 <= self.before - rank < ON_ITS_WAY_S:
            rank = self.before + 1e-6
        place = json.dumps([None, None, key])
        try:
            with self.session.begin_nested():
                self.session.add(
                    BallRow(
                        import_id=self.typed.id,
                        client_key=key,
                        slot=f"key:{key}",
                        place=place,
                        rank=rank,
                        body=body,
                        hit_at=hit_at,
                        phone=self.phone,
                    )
                )
        except IntegrityError:
            return self._by_key(key)
        self.last_rank = rank
        _relayout(self.typed, {place: f"key:{key}"}, ())
        return None

    def _by_key(self, key: str) -> BallRow | None:
        return ball_by_key(self.session, self.days, key)

    def _compare(self, known: BallRow, key: str, body: str) -> Outcome:
        if content(from_json(known.body)) == content(from_json(body)):
            return Outcome(key=key, state="known")
        kept = self.session.scalars(
            select(RejectedRow.id).where(
                RejectedRow.import_id == known.import_id, RejectedRow.client_key == key, RejectedRow.text == body
            )
        ).first()
        if kept is None:
            why = CAME_TWICE
            self.session.add(
                RejectedRow(
                    import_id=known.import_id, sheet=None, row=None, col=None, why=why, text=body, client_key=key
                )
            )
        says = Message("store.this_ball_was_kept_before")
        return Outcome(key=key, state="conflict", why=says)

    def take_back(self, key: str) -> Outcome:
        row = self._by_key(key)
        if row is None:
            return Outcome(key=key[:64], state="refused", why=Message("store.this_ball_has_not_come"))
        last = self._standing(row)
        if last is None or last.left_out_why is None:
            self.session.add(EditRow(ball_id=row.id, body=None, left_out_why=TAKEN_BACK, made_at=self.now))
        return Outcome(key=key, state="taken back")

    def change(self, told: Mapping[str, Any]) -> Outcome:
        """Other content for a ball that is here, or taken back, or back again, as the phone's latest state says."""
        key, rev = str(told.get("key") or "")[:64], told.get("rev")
        if isinstance(rev, bool) or not isinstance(rev, int) or not 1 <= rev <= MOST_CHANGES:
            return Outcome(key=key, state="refused", why=Message("store.the_change_has_no_number"))
        row = self._by_key(key)
        if row is None:
            return Outcome(key=key, state="refused", why=Message("store.this_ball_has_not_come"), rev=rev)
        try:
            body = to_json(ball_of(told))
        except UserError as error:
            return Outcome(key=key, state="refused", why=str(error), rev=rev)
        known = self.session.scalars(
            select(EditRow.client_key).where(EditRow.ball_id == row.id, EditRow.client_key.is_not(None))
        ).all()
        made = {int(str(one).rpartition(":")[2]) for one in known}
        if rev not in made:
            late = any(other > rev for other in made)
            self.session.add(
                EditRow(
                    ball_id=row.id,
                    body=None if body == row.body else body,
                    left_out_why=TAKEN_BACK if told.get("back") else None,
                    made_at=self.now,
                    undone_at=self.now if late else None,
                    client_key=f"{key}:{rev}",
                )
            )
            self.session.flush()
        return Outcome(key=key, state="changed", rev=rev, fresh=rev not in made)

    def _standing(self, row: BallRow) -> EditRow | None:
        return self.session.scalars(
            select(EditRow).where(EditRow.ball_id == row.id, EditRow.undone_at.is_(None)).order_by(EditRow.id.desc())
        ).first()


def _age(told: Any) -> datetime.timedelta:
    """How long ago a ball was typed, by the difference on the phone's own clock, right or wrong; nothing where that cannot be."""
    if isinstance(told, bool) or not isinstance(told, int | float) or not 0 <= told <= OLDEST.total_seconds():
        return datetime.timedelta()
    return datetime.timedelta(seconds=float(told))
