"""What is done to whole days and can be taken back: their facts changed, two joined, balls moved from one to another."""

import datetime
import json
from collections.abc import Mapping, Sequence
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from threequarter.store.balls.keys import move_rows
from threequarter.store.database.schema import BallRow, ClinicRow, ClipRow, ImportRow, NoteRow, SessionRow

FACTS = (
    "held_on",
    "dated_by",
    "where_held",
    "ball_kind",
    "surface",
    "ground",
    "taught_by",
    "temp_c",
    "altitude_m",
    "humidity_pct",
    "pressure_hpa",
    "wind_mps",
    "wind_from_deg",
)


def facts_body(row: SessionRow) -> dict[str, Any]:
    """The facts of a day as an act keeps them."""
    told = {name: getattr(row, name) for name in FACTS}
    return told | {"held_on": row.held_on.isoformat() if row.held_on else None}


def change_day(session: Session, body: Mapping[str, Any], done: bool) -> None:
    """Gives a day other facts, or those it had."""
    row = session.get(SessionRow, body["session"])
    if row is None:
        return
    told = body["after" if done else "before"]
    for name, value in told.items():
        setattr(row, name, datetime.date.fromisoformat(value) if name == "held_on" and value else value)


def join_days(session: Session, body: Mapping[str, Any], done: bool) -> None:
    """Gives everything of one day to another, or gives back what came then; what came since stays."""
    source, target = (body["source"], body["target"]) if done else (body["target"], body["source"])
    for table, name in ((ImportRow, "imports"), (ClipRow, "clips"), (NoteRow, "notes")):
        rows: Sequence[Any] = session.scalars(select(table).where(table.id.in_(body[name]))).all()
        for row in rows:
            if row.session_id == source:
                row.session_id = target
    gone = session.get(SessionRow, body["source"])
    if gone is not None:
        gone.joined_into = body["target"] if done else None


def move_balls(session: Session, body: Mapping[str, Any], done: bool) -> None:
    """Moves balls from their layers to those of another day, or back. The layout of typed layers goes with them."""
    for source_id, target_id, ball_ids in body["moves"]:
        here, there = (source_id, target_id) if done else (target_id, source_id)
        source, target = session.get(ImportRow, here), session.get(ImportRow, there)
        if source is None or target is None:
            continue
        rows = session.scalars(select(BallRow).where(BallRow.id.in_(ball_ids), BallRow.import_id == here)).all()
        move_rows(session, rows, source, target)
        if (
            not source.sha256 and not target.sha256
        ):  # typed: a file's own layout stays, by it the same file is known again
            places = {ball.place: ball.slot for ball in rows}
            old = {place: slot for place, slot in json.loads(source.layout or "{}").items() if place not in places}
            source.layout = json.dumps(old, ensure_ascii=False)
            target.layout = json.dumps(json.loads(target.layout or "{}") | places, ensure_ascii=False)


def change_clinic(session: Session, body: Mapping[str, Any], done: bool) -> None:
    """Gives a clinic another name and date, or those it had."""
    row = session.get(ClinicRow, body["clinic"])
    if row is not None:
        told = body["after" if done else "before"]
        row.name, row.held_on = told["name"], datetime.date.fromisoformat(told["held_on"])


def put_clinic_away(session: Session, body: Mapping[str, Any], done: bool) -> None:
    """Takes a clinic off the lists, or puts it on them again."""
    row = session.get(ClinicRow, body["clinic"])
    if row is not None:
        row.binned_at = datetime.datetime.now(datetime.UTC).replace(tzinfo=None) if done else None
