"""What can be undone on a later day, and redone: players archived, merged or given sessions; bags; the bin.

Each kind has one function that does it or takes it back, so that doing, taking back and making again cannot differ. What was
changed otherwise since is left alone. Imports, changes of balls, notes and links are layers of their own; `recent` lists all.
"""

import datetime
import json
from collections.abc import Callable, Mapping, Sequence
from dataclasses import asdict, dataclass
from typing import Any, Final, Literal

from sqlalchemy import ColumnElement, Select, String, cast, delete, func, literal, select
from sqlalchemy.orm import Session

from threequarter.golf.errors import NotThereError, UserError
from threequarter.golf.message import Message
from threequarter.store.accounts.credentials import end_shares
from threequarter.store.database.schema import (
    BallRow,
    ClipRow,
    ClubRow,
    EditRow,
    HistoryRow,
    ImportRow,
    LinkRow,
    NoteRow,
    PlayerRow,
    SessionRow,
    SwingLengthRow,
)
from threequarter.store.history.day_acts import change_clinic, change_day, join_days, move_balls, put_clinic_away
from threequarter.store.imports.save_import import now_utc
from threequarter.store.imports.undo_import import mark_import
from threequarter.store.results import Club
from threequarter.store.store import Store

Kind = Literal[
    "archive",
    "bring back",
    "merge",
    "give",
    "bag",
    "plan",
    "whose",
    "day",
    "join",
    "move balls",
    "clinic",
    "clinic away",
    "bin session",
    "bin clip",
    "import",
    "edit",
    "note",
    "link",
]
TRASH_DAYS: Final = 30
NOTE_SHOWN: Final = 120


@dataclass(frozen=True, slots=True, kw_only=True)
class HistoryEntry:
    """Something that was done. `player` and `session_id` say where to look, `of` names the thing (a file, a ball, a text)."""

    kind: str
    id: int
    of: str
    made_at: datetime.datetime
    undone: bool
    player: str | None = None
    session_id: int | None = None


def record_act(
    session: Session, kind: Kind, body: dict[str, Any], *, player_id: int | None = None, session_id: int | None = None
) -> int:
    """Does an act in the caller's transaction and keeps how to take it back; returns its id."""
    row = HistoryRow(
        kind=kind,
        player_id=player_id,
        session_id=session_id,
        body=json.dumps(body, ensure_ascii=False),
        made_at=now_utc(),
        undone_at=None,
    )
    session.add(row)
    _DOES[kind](session, body, True)
    session.flush()
    return row.id


def _archive(session: Session, body: Mapping[str, Any], done: bool) -> None:
    row = session.get(PlayerRow, body["player"])
    if row is not None:
        row.archived_at = now_utc() if done else None


def _bring_back(session: Session, body: Mapping[str, Any], done: bool) -> None:
    _archive(session, body, not done)


def _give(session: Session, body: Mapping[str, Any], done: bool) -> None:
    source, target = (body["source"], body["target"]) if done else (body["target"], body["source"])
    for row in session.scalars(
        select(SessionRow).where(SessionRow.id.in_(body["sessions"]), SessionRow.player_id == source)
    ):
        row.player_id = target
    end_shares(session, body["sessions"])
    for note in session.scalars(
        select(NoteRow).where(NoteRow.session_id.in_(body["sessions"]), NoteRow.player_id == source)
    ):
        note.player_id = target


def _merge(session: Session, body: Mapping[str, Any], done: bool) -> None:
    _give(session, body, done)
    source, target = (body["source"], body["target"]) if done else (body["target"], body["source"])
    for note in session.scalars(select(NoteRow).where(NoteRow.id.in_(body["notes"]), NoteRow.player_id == source)):
        note.player_id = target
    for club in session.scalars(select(ClubRow).where(ClubRow.id.in_(body["clubs"]), ClubRow.player_id == source)):
        club.player_id = target
    for swing in session.scalars(
        select(SwingLengthRow).where(SwingLengthRow.id.in_(body.get("swings", ())), SwingLengthRow.player_id == source)
    ):
        swing.player_id = target
    session.get_one(PlayerRow, body["source"]).merged_into = body["target"] if done else None
    if done:
        session.get_one(PlayerRow, body["target"]).taken_back_at = None
    for earlier in session.scalars(select(PlayerRow).where(PlayerRow.id.in_(body["earlier"]))):
        earlier.merged_into = target


def _bag(session: Session, body: Mapping[str, Any], done: bool) -> None:
    _set_clubs(session, body["player"], body["after" if done else "before"])


def _set_clubs(session: Session, player_id: int, clubs: Sequence[Mapping[str, Any]]) -> None:
    session.execute(delete(ClubRow).where(ClubRow.player_id == player_id))
    for place, club in enumerate(clubs):
        names, planned = json.dumps(club.get("other_names", ()), ensure_ascii=False), int(club.get("planned", False))
        told = {**club, "other_names": names, "planned": planned}
        session.add(ClubRow(player_id=player_id, place=place, **told))


def _plan(session: Session, body: Mapping[str, Any], done: bool) -> None:
    told, player_id = body["after" if done else "before"], body["player"]
    _set_clubs(session, player_id, told["clubs"])
    session.execute(delete(SwingLengthRow).where(SwingLengthRow.player_id == player_id))
    for place, swing in enumerate(told["swings"]):
        names = json.dumps(swing["other_names"], ensure_ascii=False)
        told_as = {"label": swing["label"], "other_names": names, "arm_deg": swing.get("arm_deg")}
        session.add(SwingLengthRow(player_id=player_id, place=place, **told_as))
    player = session.get(PlayerRow, player_id)
    if player is not None:
        player.goal = told["goal"]


def _whose(session: Session, body: Mapping[str, Any], done: bool) -> None:
    row = session.get(SessionRow, body["session"])
    if row is not None and row.player_id == body["before" if done else "after"]:
        row.player_id = body["after" if done else "before"]
        end_shares(session, [row.id])


def _bin_session(session: Session, body: Mapping[str, Any], done: bool) -> None:
    row = session.get(SessionRow, body["session"])
    if row is None:
        raise UserError(Message("store.that_session_was_deleted_for"))
    row.binned_at = now_utc() if done else None


def _bin_clip(session: Session, body: Mapping[str, Any], done: bool) -> None:
    row = session.get(ClipRow, body["clip"])
    if row is None:
        raise UserError(Message("store.that_clip_was_deleted_for"))
    row.binned_at = now_utc() if done else None


_DOES: Final[dict[str, Callable[[Session, Mapping[str, Any], bool], None]]] = {
    "archive": _archive,
    "bring back": _bring_back,
    "merge": _merge,
    "give": _give,
    "bag": _bag,
    "plan": _plan,
    "whose": _whose,
    "bin session": _bin_session,
    "bin clip": _bin_clip,
    "day": change_day,
    "join": join_days,
    "move balls": move_balls,
    "clinic": change_clinic,
    "clinic away": put_clinic_away,
}
_LAYERS: Final[dict[str, Any]] = {"import": ImportRow, "edit": EditRow, "note": NoteRow, "link": LinkRow}


class History:
    """The acts of a store."""

    def __init__(self, store: Store) -> None:
        self.store = store

    def take_back(self, kind: str, entry_id: int) -> HistoryEntry:
        """Undoes an act; one that is undone stays so. Raises UserError where there is none."""
        return self._set(kind, entry_id, done=False)

    def again(self, kind: str, entry_id: int) -> HistoryEntry:
        """Makes an act that was taken back again. Raises UserError where there is none."""
        return self._set(kind, entry_id, done=True)

    def _set(self, kind: str, entry_id: int, *, done: bool) -> HistoryEntry:
        with self.store.writing() as session:
            row = session.get(_LAYERS.get(kind, HistoryRow), entry_id)
            if row is None or (kind not in _LAYERS and row.kind != kind):
                raise NotThereError(Message("store.there_is_no_such_act", kind=kind[:20], entry_id=entry_id))
            if (row.undone_at is None) != done:
                if kind in _DOES:
                    _DOES[kind](session, json.loads(row.body), done)
                if isinstance(row, ImportRow):
                    mark_import(session, row, undone=not done)
                else:
                    row.undone_at = None if done else now_utc()
            session.flush()
            if kind in _QUERIES:
                query = _QUERIES[kind]
                return _entries(session, query.where(query.selected_columns.id == entry_id), 1)[0]
            return _acts(session, select(HistoryRow).where(HistoryRow.id == entry_id))[0]

    def recent(self, limit: int = 60) -> list[HistoryEntry]:
        """What was done, newest first, undone acts too."""
        with self.store.reading() as session:
            found = [entry for query in _QUERIES.values() for entry in _entries(session, query, limit)]
            found += _acts(session, select(HistoryRow).order_by(HistoryRow.id.desc()).limit(limit))
        return sorted(found, key=lambda entry: entry.made_at, reverse=True)[:limit]


def _entries(session: Session, query: Select[Any], limit: int) -> list[HistoryEntry]:
    newest = query.order_by(query.selected_columns.id.desc()).limit(limit)
    return [
        HistoryEntry(
            kind=row.kind,
            id=row.id,
            of=row.of or "",
            made_at=row.made_at,
            undone=row.undone_at is not None,
            player=row.player,
            session_id=row.session_id,
        )
        for row in session.execute(newest)
    ]


def _entry_columns(kind: str, table: Any, of: ColumnElement[Any], session_id: Any) -> tuple[Any, ...]:
    return (
        literal(kind).label("kind"),
        table.id,
        of.label("of"),
        table.made_at,
        table.undone_at,
        PlayerRow.name.label("player"),
        session_id.label("session_id"),
    )


_QUERIES: Final[dict[str, Select[Any]]] = {
    "import": select(*_entry_columns("import", ImportRow, ImportRow.name.expression, ImportRow.session_id))
    .outerjoin(SessionRow, ImportRow.session_id == SessionRow.id)
    .outerjoin(PlayerRow, SessionRow.player_id == PlayerRow.id),
    "edit": select(*_entry_columns("edit", EditRow, EditRow.left_out_why.expression, ImportRow.session_id))
    .join(BallRow, EditRow.ball_id == BallRow.id)
    .join(ImportRow, BallRow.import_id == ImportRow.id)
    .outerjoin(SessionRow, ImportRow.session_id == SessionRow.id)
    .outerjoin(PlayerRow, SessionRow.player_id == PlayerRow.id),
    "note": select(
        *_entry_columns("note", NoteRow, func.substr(NoteRow.text, 1, NOTE_SHOWN), NoteRow.session_id)
    ).outerjoin(PlayerRow, NoteRow.player_id == PlayerRow.id),
    "link": select(*_entry_columns("link", LinkRow, cast(LinkRow.swing, String), ClipRow.session_id))
    .join(ClipRow, LinkRow.clip_id == ClipRow.id)
    .outerjoin(SessionRow, ClipRow.session_id == SessionRow.id)
    .outerjoin(PlayerRow, SessionRow.player_id == PlayerRow.id),
}
"""What each layer tells of itself, by one query: of no row more is read than is shown."""


def _acts(session: Session, query: Select[Any]) -> list[HistoryEntry]:
    """The acts of this table, their players and clips fetched together."""
    rows: list[tuple[HistoryRow, dict[str, Any]]] = [(row, json.loads(row.body)) for row in session.scalars(query)]
    owners = {row.session_id for row, _body in rows if row.player_id is None}
    of_session = _pairs(session, SessionRow.id, SessionRow.player_id, owners)
    others = {body[_NAMES[row.kind]] for row, body in rows if row.kind in _NAMES}
    players = {row.player_id for row, _body in rows} | set(of_session.values()) | others
    names: dict[int | None, str] = _pairs(session, PlayerRow.id, PlayerRow.name, players)
    clips: dict[int | None, str] = _pairs(
        session, ClipRow.id, ClipRow.name, {body["clip"] for row, body in rows if row.kind == "bin clip"}
    )

    def of(kind: str, body: Mapping[str, Any]) -> str:
        if kind == "bin clip":
            return clips.get(body["clip"], "")
        return names.get(body[_NAMES[kind]], "") if kind in _NAMES else ""

    return [
        HistoryEntry(
            kind=row.kind,
            id=row.id,
            of=of(row.kind, body),
            made_at=row.made_at,
            undone=row.undone_at is not None,
            player=names.get(row.player_id if row.player_id is not None else of_session.get(row.session_id or 0)),
            session_id=row.session_id,
        )
        for row, body in rows
    ]


def _pairs(session: Session, key: Any, value: Any, wanted: set[int | None]) -> dict[int | None, Any]:
    return {row[0]: row[1] for row in session.execute(select(key, value).where(key.in_(wanted - {None})))}


_NAMES: Final = {"merge": "source", "give": "source", "whose": "before"}
"""Kinds that tell of another player beside the one whose page they lead to, and where that one stands."""


def bag_of(session: Session, player_id: int) -> list[dict[str, Any]]:
    """A bag as an act keeps it."""
    rows = session.scalars(select(ClubRow).where(ClubRow.player_id == player_id).order_by(ClubRow.place))
    return [{**asdict(club), "other_names": list(club.other_names)} for club in map(club_of, rows)]


def club_of(row: ClubRow) -> Club:
    """A club of a bag as kept."""
    return Club(
        label=row.label,
        loft_deg=row.loft_deg,
        full_carry_m=row.full_carry_m,
        other_names=tuple(json.loads(row.other_names)),
        planned=bool(row.planned),
    )


def swing_body(label: str, other_names: Sequence[str], arm_deg: float | None) -> dict[str, Any]:
    """A swing length as an act keeps it; those kept by earlier releases name no arm."""
    return {"label": label, "other_names": list(other_names), **({} if arm_deg is None else {"arm_deg": arm_deg})}


def plan_body(session: Session, player_id: int) -> dict[str, Any]:
    """A plan as an act keeps it."""
    rows = session.scalars(
        select(SwingLengthRow).where(SwingLengthRow.player_id == player_id).order_by(SwingLengthRow.place)
    )
    player = session.get(PlayerRow, player_id)
    return {
        "clubs": bag_of(session, player_id),
        "swings": [swing_body(row.label, json.loads(row.other_names), row.arm_deg) for row in rows],
        "goal": player.goal if player else None,
    }
