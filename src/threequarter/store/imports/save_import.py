"""Keeping a reading: what of it is new, what is known, what comes back. One function for the preview and for the act."""

import datetime
import hashlib
import json
import uuid
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any, Final

from sqlalchemy import insert, or_, select
from sqlalchemy.orm import Session

from threequarter.golf.ball import Ball
from threequarter.golf.errors import NotThereError, UserError
from threequarter.golf.message import Message
from threequarter.golf.player import name_key
from threequarter.intake.options import ReadOptions
from threequarter.intake.reading import Question, Reading, SetAside
from threequarter.store.accounts.current_user import current_user
from threequarter.store.balls.ball_columns import columns_of
from threequarter.store.balls.ball_json import content, from_json, places, to_json
from threequarter.store.database.schema import BallRow, ImportRow, PlayerRow, RejectedRow, SessionRow
from threequarter.store.imports.days_of_file import new_days, placed_by_day
from threequarter.store.imports.matching import LEAST_SHARE, Known, Match, match, ranks
from threequarter.store.messages import message_to_text, messages_to_text
from threequarter.store.results import Saved, What

HEAD_BALLS: Final = 10
"""A file of another name is a renamed copy only if its first so many balls, and all others known, are the same."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ImportFile:
    """A file to keep: its bytes, its name, how it was read; `batch` marks what is undone together with it."""

    content: bytes
    name: str
    options: ReadOptions
    player: str | None = None
    ground: str = "normal"
    as_new: bool = False
    batch: str | None = None


@dataclass(frozen=True, slots=True)
class Prepared:
    """What of a reading can be worked out before anybody else has to wait: its balls as they are kept, each with its place and what
    its row says, and the columns of its row. A day of the store is one day, whatever number it had in its file."""

    balls: tuple[Ball, ...]
    rows: tuple[tuple[str, str], ...]
    columns: tuple[dict[str, Any], ...]

    @classmethod
    def of(cls, reading: Reading) -> "Prepared":
        balls = tuple(replace(ball, day=1) for ball in reading.balls) if reading.days else reading.balls
        bodies = [to_json(ball) for ball in balls]
        return cls(
            balls,
            tuple((place, content(ball)) for place, ball in zip(places(balls), balls, strict=True)),
            tuple({"body": body} | columns_of(body) for body in bodies),
        )


@dataclass(frozen=True, slots=True)
class _Family:
    """All states of one file: per slot what stands now, and the imports that were undone."""

    id: int
    session_id: int
    known: tuple[Known, ...]
    active: dict[str, str]
    newest: dict[str, int]
    undone: tuple[tuple[ImportRow, dict[str, str]], ...]
    day_of: dict[str, int]
    """For each slot the session in which it stands, however it came there."""


def save_import(session: Session, reading: Reading, file: ImportFile, prepared: Prepared | None = None) -> Saved:
    """Writes what is new of a reading, in the caller's transaction, and says what was decided. Of a large one the caller has
    `prepared` what it could, before it holds the write lock.

    After it, every ball of the reading stands in the session just as it reads; no other ball has changed.
    """
    if reading.error or reading.questions:
        raise UserError(reading.error or _open_question(reading.questions[0]))
    if not reading.balls:
        raise UserError(Message("store.no_ball", file=file.name))
    dates = [reading.held_on(ball) for ball in reading.balls]
    if reading.days and len(set(dates)) > 1 and file.batch is None:
        file = replace(file, batch=uuid.uuid4().hex)
    prepared = prepared or Prepared.of(reading)
    reading, rows = replace(reading, balls=prepared.balls), prepared.rows
    digest = hashlib.sha256(file.content).hexdigest()
    found = None if file.as_new else _find(session, rows, digest, file, _player_name(reading, file))
    if found is None:
        return _first(session, reading, file, prepared, digest, dates)
    family, matched = found
    missing = {
        ball.slot: row[1]
        for ball, row in zip(matched.known, rows, strict=True)
        if ball and family.active.get(ball.slot) != row[1]
    }
    back = _bring_back(family, missing)
    returned = sum(len(balls) for _row, balls in back)
    for brought, balls in back:
        brought.batch = file.batch
        for slot in balls:
            del missing[slot]
    fresh = [i for i, ball in enumerate(matched.known) if ball is None or ball.slot in missing]
    import_id = back[0][0].id if back else None
    added = sum(matched.known[i] is None for i in fresh)
    days: tuple[int, ...] = (family.session_id,)
    if fresh:
        placed = placed_by_day(session, reading, family.session_id, family.day_of, fresh, matched.known, dates)
        import_id = _write(session, reading, file, prepared, digest, placed, family.id, matched.known)
        days = tuple(placed)
    if fresh or back:
        _list_again(session, family.session_id)
    what: What = "rows added" if fresh else "brought back" if back else "nothing new"
    kept = Saved(
        what=what,
        session_id=days[-1],
        import_id=import_id,
        days=days,
        added=added,
        changed=len(fresh) - added,
        brought_back=returned,
        missing=matched.missing,
    )
    return replace(kept, said=decided(kept, file.name))


def _open_question(question: Question) -> Message | str:
    return (
        Message("store.question", question=question.text, option=question.option) if question.option else question.text
    )


def decided(kept: Saved, name: str) -> tuple[Message, ...]:
    """What was decided of a file."""
    several = (Message("store.import_days", days=len(kept.days)),) if len(kept.days) > 1 else ()
    if kept.what == "new session":
        return (Message("store.import_new", name=name, balls=kept.added), *several)
    counts = (
        ("store.import_added", kept.added),
        ("store.import_changed", kept.changed),
        ("store.import_restored", kept.brought_back),
        ("store.import_missing", kept.missing),
    )
    lines = [Message("store.import_known", name=name)]
    lines += [Message(code, balls=count) for code, count in counts if count]
    if kept.what == "nothing new":
        lines.append(Message("store.import_nothing_new"))
    return (*lines, *several)


def find_player(session: Session, name: str, now: datetime.datetime) -> PlayerRow:
    """The player of a name, entered in the roster where new; one who was merged is the other, one who was archived is back.

    Raises UserError for an empty name.
    """
    if not name_key(name):
        raise UserError(Message("store.player_needs_name"))
    row = player_named(session, name)
    if row is None:
        who = current_user()
        if who is not None and not who.coaches:
            raise NotThereError(Message("store.no_player", name=name.strip()[:80]))
        row = PlayerRow(name=" ".join(name.split())[:300], name_key=name_key(name), made_at=now)
        session.add(row)
        session.flush()
    row.archived_at = row.taken_back_at = None
    return row


def one_player(session: Session, name: str) -> PlayerRow:
    """The one player of a name; where several coaches have one of that name, "Robin Sedge #12" names the one.

    Raises UserError where there is none, or where it is not clear who is meant.
    """
    row = player_named(session, name)
    if row is None:
        raise NotThereError(Message("store.no_player", name=name[:80]))
    return row


def player_named(session: Session, name: str) -> PlayerRow | None:
    """The player of a name; one who was merged is the other. None for a stranger. Raises UserError where several coaches have one."""
    plain, mark, number = name.rpartition("#")
    if mark and number.strip().isdecimal():
        row = session.get(PlayerRow, int(number)) if len(number.strip()) < 10 else None
        if row is not None and row.name_key == name_key(plain):
            return _merged(session, row)
    rows = session.scalars(select(PlayerRow).where(PlayerRow.name_key == name_key(name)).order_by(PlayerRow.id)).all()
    if len(rows) > 1:
        which = " / ".join(f"{row.name} #{row.id}" for row in rows)
        raise UserError(Message("store.player_of_several_coaches", which=which))
    return _merged(session, rows[0]) if rows else None


def _merged(session: Session, row: PlayerRow) -> PlayerRow:
    return row if row.merged_into is None else session.get_one(PlayerRow, row.merged_into)


def now_utc() -> datetime.datetime:
    """The time of an act, UTC without a zone, as both databases keep it."""
    return datetime.datetime.now(datetime.UTC).replace(tzinfo=None)


def _player_name(reading: Reading, file: ImportFile) -> str | None:
    """Whose balls they are, where all are one player's."""
    if file.player:
        return file.player
    told = {name_key(ball.player): ball.player for ball in reading.balls if ball.player}
    return next(iter(told.values())) if len(told) == 1 else None


def _head(rows: Sequence[tuple[str, str]]) -> str | None:
    if len(rows) < HEAD_BALLS:
        return None
    return hashlib.sha256(json.dumps(rows[:HEAD_BALLS]).encode()).hexdigest()


def _find(
    session: Session, rows: Sequence[tuple[str, str]], digest: str, file: ImportFile, player: str | None
) -> tuple[_Family, Match] | None:
    """The known file that this one is a later state of: the one of which most still stands unchanged; the newest of equals."""
    head = _head(rows)
    same = or_(
        ImportRow.sha256 == digest, ImportRow.name == file.name[:300], *([ImportRow.head == head] if head else [])
    )
    imports = session.scalars(select(ImportRow).where(same).order_by(ImportRow.id.desc())).all()
    best: tuple[_Family, Match] | None = None
    for family_id in dict.fromkeys(row.family for row in imports):
        members = [row for row in imports if row.family == family_id]
        owner = session.scalar(
            select(PlayerRow.name_key).join(SessionRow).where(SessionRow.id == members[0].session_id)
        )
        if owner and player and owner != name_key(player):
            continue
        family = _family(session, family_id)
        layout = next((json.loads(row.layout) for row in members if row.sha256 == digest), None)
        matched = match(family.known, rows, layout)
        if layout is not None:
            enough = any(matched.known)
        elif any(row.name == file.name[:300] for row in members):
            enough = matched.share >= LEAST_SHARE
        else:
            enough = matched.share == 1.0
        if enough and (best is None or matched.share > best[1].share):
            best = family, matched
    return best


def _family(session: Session, family_id: int) -> _Family:
    imports = session.scalars(select(ImportRow).where(ImportRow.family == family_id).order_by(ImportRow.id)).all()
    balls = session.scalars(
        select(BallRow).join(ImportRow).where(ImportRow.family == family_id).order_by(BallRow.import_id, BallRow.rank)
    ).all()
    undone_ids = {row.id for row in imports if row.undone_at is not None}
    said = {ball.id: content(from_json(ball.body)) for ball in balls}
    active = {ball.slot: ball for ball in balls if ball.import_id not in undone_ids}
    shown = {ball.slot: ball for ball in balls} | active
    sessions = {row.id: row.session_id for row in imports}
    now_at: dict[str, str] = {}
    for row in imports:
        now_at.update((slot, place) for place, slot in json.loads(row.layout).items())
    known = tuple(
        Known(ball.slot, now_at[ball.slot], said[ball.id], ball.rank)
        for ball in sorted(shown.values(), key=lambda ball: (ball.rank, ball.import_id))
    )
    undone = tuple(
        (row, {ball.slot: said[ball.id] for ball in balls if ball.import_id == row.id})
        for row in reversed(imports)
        if row.id in undone_ids
    )
    return _Family(
        family_id,
        imports[0].session_id,
        known,
        {slot: said[ball.id] for slot, ball in active.items()},
        {slot: ball.import_id for slot, ball in active.items()},
        undone,
        {slot: sessions[ball.import_id] for slot, ball in shown.items()},
    )


def _bring_back(family: _Family, missing: dict[str, str]) -> list[tuple[ImportRow, dict[str, str]]]:
    """Takes back the undoing of those imports whose every ball stands in the file again and would be seen."""
    back: list[tuple[ImportRow, dict[str, str]]] = []
    taken: set[str] = set()
    for row, balls in family.undone:
        wanted = balls and all(
            missing.get(slot) == said and slot not in taken and family.newest.get(slot, 0) < row.id
            for slot, said in balls.items()
        )
        if wanted:
            row.undone_at = None
            taken.update(balls)
            back.append((row, balls))
    return back


def _list_again(session: Session, session_id: int) -> None:
    """The player of a session that has balls again is on the lists again."""
    owner = session.scalar(select(PlayerRow).join(SessionRow).where(SessionRow.id == session_id))
    if owner is not None:
        owner.taken_back_at = None


def _first(
    session: Session,
    reading: Reading,
    file: ImportFile,
    prepared: Prepared,
    digest: str,
    dates: Sequence[datetime.date | None],
) -> Saved:
    now = now_utc()
    player = _player_name(reading, file)
    owner = find_player(session, player, now).id if player else None
    like = {"player_id": owner, "title": file.name[:300], "unit": reading.unit, "ground": file.ground, "made_at": now}
    placed = new_days(session, reading, dates, like)
    import_id = _write(session, reading, file, prepared, digest, placed, None, [None] * len(prepared.rows))
    days = tuple(placed)
    kept = Saved(what="new session", session_id=days[-1], import_id=import_id, added=len(prepared.rows), days=days)
    return replace(kept, said=decided(kept, file.name))


def _write(
    session: Session,
    reading: Reading,
    file: ImportFile,
    prepared: Prepared,
    digest: str,
    placed: Mapping[int, Sequence[int]],
    family: int | None,
    known: Sequence[Known | None],
) -> int:
    """New imports, one in each day, with the balls at the positions of the reading that are placed there; returns the first."""
    made, rows = [], prepared.rows
    for at, session_id in enumerate(placed):
        row = ImportRow(
            session_id=session_id,
            family=family or 0,
            name=file.name[:300],
            sha256=digest,
            head=_head(rows),
            content=None if at else file.content,  # the file is kept once
            options=json.dumps(file.options.to_json()),
            plan=messages_to_text(reading.plan),
            layout="",
            batch=file.batch,
            made_at=now_utc(),
            undone_at=None,
        )
        session.add(row)
        session.flush()
        made.append(row)
    home = {i: row.id for row, fresh in zip(made, placed.values(), strict=True) for i in fresh}
    slots = [
        ball.slot if ball else f"{home[i]}:{place}"
        for i, (ball, (place, _)) in enumerate(zip(known, rows, strict=True))
    ]
    layout = json.dumps({place: slot for slot, (place, _) in zip(slots, rows, strict=True)}, ensure_ascii=False)
    order = ranks(known)
    for row in made:
        row.family, row.layout = family or made[0].id, layout
    session.flush()
    # all at once and without objects: nobody else can write meanwhile, and of a large table that is a third of the time
    balls = [
        {"import_id": home[i], "slot": slots[i], "place": rows[i][0], "rank": order[i]} | prepared.columns[i]
        for i in sorted(home)
    ]
    if balls:
        session.execute(insert(BallRow), balls)
    session.add_all(_aside_row(made[0].id, aside) for aside in reading.set_aside)
    session.flush()
    return made[0].id


def _aside_row(import_id: int, aside: SetAside) -> RejectedRow:
    place = aside.place
    return RejectedRow(
        import_id=import_id,
        sheet=place.sheet,
        row=place.row,
        col=place.col,
        why=message_to_text(aside.why),
        text=aside.text,
    )


def restored(body: str, file: str, number: int, *, use: bool) -> Ball:
    """A kept ball with its number in the session and the file it stands in."""
    ball = from_json(body, file=file, number=number)
    return ball if use else replace(ball, use=False)
