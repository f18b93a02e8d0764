"""Players whom an import brought: when it is taken back and nothing else is kept of them, they leave the lists with it."""

from typing import Any

from sqlalchemy import ColumnElement, or_, select
from sqlalchemy.orm import Session

from threequarter.store.accounts.current_user import as_user
from threequarter.store.accounts.tables import TieRow
from threequarter.store.database.schema import (
    ClipRow,
    ClubRow,
    ConsentRow,
    HistoryRow,
    ImportRow,
    NoteRow,
    PlayerRow,
    SessionRow,
    SwingLengthRow,
)
from threequarter.store.imports.save_import import now_utc


def mark_import(session: Session, row: ImportRow, *, undone: bool) -> None:
    """Takes an import back, or brings it again, in all days that it filled, and with it the player whom it brought."""
    same = select(ImportRow).where(ImportRow.batch == row.batch, ImportRow.family == row.family) if row.batch else None
    for one in session.scalars(same) if same is not None else [row]:
        one.undone_at = now_utc() if undone else None
    session.flush()
    with as_user(None):
        owner = session.get_one(SessionRow, row.session_id).player_id
        player = session.get(PlayerRow, owner) if owner is not None else None
        if player is not None:
            leaves = undone and _brought(session, player) and not _something_stands(session, player.id)
            player.taken_back_at = now_utc() if leaves else None


def _brought(session: Session, player: PlayerRow) -> bool:
    """Whether a session came together with the player: both were made at one moment."""
    together = select(SessionRow.id).where(SessionRow.player_id == player.id, SessionRow.made_at == player.made_at)
    return session.scalar(together.limit(1)) is not None


def _something_stands(session: Session, player_id: int) -> bool:
    mine = SessionRow.player_id == player_id
    files = select(ImportRow.session_id)
    stands: tuple[tuple[Any, ColumnElement[bool]], ...] = (
        (
            SessionRow,
            mine & or_(SessionRow.id.in_(files.where(ImportRow.undone_at.is_(None))), SessionRow.id.not_in(files)),
        ),
        (SessionRow, mine & SessionRow.id.in_(select(ClipRow.session_id))),
        (NoteRow, (NoteRow.player_id == player_id) & NoteRow.undone_at.is_(None)),
        (ClubRow, ClubRow.player_id == player_id),
        (SwingLengthRow, SwingLengthRow.player_id == player_id),
        (ConsentRow, ConsentRow.player_id == player_id),
        (TieRow, TieRow.player_id == player_id),
        (HistoryRow, HistoryRow.player_id == player_id),
        (PlayerRow, PlayerRow.merged_into == player_id),
    )
    return any(session.scalar(select(table.id).where(which).limit(1)) is not None for table, which in stands)
