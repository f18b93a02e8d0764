"""Everything, a player or a session as rows of the product's own table: the end state, as the pages show it."""

import hashlib
from collections.abc import Iterator
from typing import Any

from sqlalchemy import Select, select
from sqlalchemy.orm import Session

from threequarter.golf.ball import Ball
from threequarter.golf.errors import NotThereError
from threequarter.golf.message import Message
from threequarter.golf.player import name_key
from threequarter.intake.own_format.columns import OwnRow, row_of
from threequarter.store.balls.ball_json import from_json
from threequarter.store.balls.current_balls import current_balls, edits_of, session_row
from threequarter.store.database.schema import (
    BallRow,
    ClubRow,
    EditRow,
    ImportRow,
    NoteRow,
    PlayerRow,
    RejectedRow,
    SessionRow,
)
from threequarter.store.erasure.personal_data import shared_files
from threequarter.store.results import Facts
from threequarter.store.store import Store

KEYED, CAME = "key:", "came:"
"""How the slot of a ball begins that was typed on a phone, and of one that came by our own table."""


def ball_key(session_key: str, slot: str) -> str:
    """The mark of a ball, the same in every data folder it comes to."""
    for begin in (KEYED, CAME):
        if slot.startswith(begin):
            return slot.removeprefix(begin)
    return hashlib.sha256(f"{session_key}|{slot}".encode()).hexdigest()[:24]


def own_rows(store: Store, *, player: str | None = None, session_id: int | None = None) -> Iterator[OwnRow]:
    """Balls first, session by session; then what else belongs to the players. One snapshot, rows as they are asked for.

    Raises UserError for a player or a session that is not there.
    """
    with store.reading() as session:
        if session_id is not None:
            chosen = [session_row(session, session_id)]
            people = select(PlayerRow).where(PlayerRow.id == chosen[0].player_id)
        elif player is not None:
            owner = session.scalars(select(PlayerRow).where(PlayerRow.name_key == name_key(player))).first()
            if owner is None:
                raise NotThereError(Message("store.there_is_no_player", name=repr(player[:80])))
            people = select(PlayerRow).where(PlayerRow.id == owner.id)
            chosen = _sessions(session, select(SessionRow).where(SessionRow.player_id == owner.id))
        else:
            people = select(PlayerRow).where(PlayerRow.merged_into.is_(None)).order_by(PlayerRow.id)
            chosen = _sessions(session, select(SessionRow))
        owners = {one.id: one.name for one in session.execute(select(PlayerRow.id, PlayerRow.name))}
        everything = player is None and session_id is None
        shared = set() if everything else shared_files(session, [row.id for row in chosen])
        for row in chosen:
            yield from _session_rows(session, row, shared, owners.get(row.player_id or 0))
        for person in session.scalars(people).all():
            yield from _player_rows(session, person, notes=session_id is None)


def _sessions(session: Session, query: Select[Any]) -> list[SessionRow]:
    return list(session.scalars(query.where(SessionRow.binned_at.is_(None)).order_by(SessionRow.id)).all())


def _session_rows(session: Session, row: SessionRow, shared: set[str], player: str | None) -> Iterator[OwnRow]:
    facts = {name: getattr(row, name) for name in Facts.__slots__}
    whose: OwnRow = {"player": player, "session": row.title, "session_key": row.key}
    about = (
        whose
        | facts
        | {"unit": row.unit, "ground": row.ground, "made_at_utc": row.made_at, "started_at_utc": row.started_at}
    )
    edits = edits_of(session, row.id)
    for number, (ball_row, file) in enumerate(current_balls(session, row.id), start=1):
        yield about | _ball_row(row.key, ball_row, file, number, edits.get(ball_row.id))
    asides = session.execute(
        select(RejectedRow, ImportRow.name)
        .join(ImportRow, RejectedRow.import_id == ImportRow.id)
        .where(ImportRow.session_id == row.id, ImportRow.undone_at.is_(None), ImportRow.sha256.not_in(shared))
        .order_by(RejectedRow.id)
    ).all()
    for aside in {
        (name, a.sheet, a.row, a.col, a.why, a.text): None for a, name in asides
    }:  # a file that grew lists old rows again
        yield whose | {
            "record": "aside",
            **dict(
                zip(
                    ("source_file", "source_sheet", "source_row", "source_column", "left_out_why", "note"),
                    aside,
                    strict=True,
                )
            ),
        }


def _ball_row(session_key: str, row: BallRow, file: str, number: int, edit: EditRow | None) -> OwnRow:
    ball: Ball = from_json((edit.body if edit else None) or row.body)
    why = edit.left_out_why if edit else None
    told: dict[str, Any] = row_of(ball) | {"number": number, "source_file": file, "hit_at_utc": row.hit_at}
    told |= {"edited": bool(edit and edit.body), "use": ball.use and why is None, "left_out_why": why}
    return told | {"ball_key": ball_key(session_key, row.slot)}


def _player_rows(session: Session, person: PlayerRow, *, notes: bool) -> Iterator[OwnRow]:
    yield {"record": "player", "player": person.name, "made_at_utc": person.made_at}
    clubs = session.scalars(select(ClubRow).where(ClubRow.player_id == person.id).order_by(ClubRow.place))
    for place, club in enumerate(clubs, start=1):
        yield {
            "record": "club",
            "player": person.name,
            "club": club.label,
            "loft_deg": club.loft_deg,
            "full_carry_m": club.full_carry_m,
            "number": place,
        }
    if notes:
        told = select(NoteRow).where(NoteRow.player_id == person.id, NoteRow.undone_at.is_(None)).order_by(NoteRow.id)
        for note in session.scalars(told):
            yield {"record": "note", "player": person.name, "note": note.text, "made_at_utc": note.made_at}
