"""Every look into the database sees only what is theirs: the one filter under all pages, lists and searches.

It is laid over each query of the tables below while somebody acts, so that a page that forgets to ask shows nothing of another.
Balls, edits and rows set aside are reached through their import. Plain-table queries (whole exports, backups) are not
touched: they belong to the program itself.
"""

from typing import Any, Final

from sqlalchemy import ColumnElement, and_, event, false, or_, select
from sqlalchemy.orm import ORMExecuteState, Session, with_loader_criteria

from threequarter.store.accounts.acting import Who, acting
from threequarter.store.schema import ActRow, ClipRow, ConsentRow, ImportRow, NoteRow, PlayerRow, SessionRow

PLAYER: Final = PlayerRow.__table__
SESSION: Final = SessionRow.__table__


def _players(who: Who, table: Any) -> ColumnElement[bool]:
    if who.room is not None:
        return table.coach_id == who.room  # type: ignore[no-any-return]
    return table.id.in_(who.players)  # type: ignore[no-any-return]


def _sessions(who: Who, table: Any) -> ColumnElement[bool]:
    if who.sessions is not None:
        return table.id.in_(who.sessions)  # type: ignore[no-any-return]
    of_players: ColumnElement[bool] = table.player_id.in_(select(PLAYER.c.id).where(_players(who, PLAYER.c)))
    return (
        of_players if who.room is None else or_(of_players, and_(table.player_id.is_(None), table.coach_id == who.room))
    )


def _under_session(who: Who, table: Any) -> ColumnElement[bool]:
    return table.session_id.in_(select(SESSION.c.id).where(_sessions(who, SESSION.c)))  # type: ignore[no-any-return]


def _clips(who: Who) -> ColumnElement[bool]:
    mine = _under_session(who, ClipRow)
    if who.room is None:
        return mine
    return or_(mine, and_(ClipRow.session_id.is_(None), ClipRow.coach_id == who.room))


def _consents(who: Who) -> ColumnElement[bool]:
    of_players = ConsentRow.player_id.in_(select(PLAYER.c.id).where(_players(who, PLAYER.c)))
    return or_(of_players, and_(ConsentRow.player_id.is_(None), _under_session(who, ConsentRow)))


def _notes(who: Who) -> ColumnElement[bool]:
    """A coach's notes are the coach's own."""
    if who.room is None:
        return false()
    return NoteRow.player_id.in_(select(PLAYER.c.id).where(_players(who, PLAYER.c)))


def _acts(who: Who) -> ColumnElement[bool]:
    if who.sessions is not None:
        return false()
    return or_(ActRow.player_id.in_(select(PLAYER.c.id).where(_players(who, PLAYER.c))), _under_session(who, ActRow))


@event.listens_for(Session, "do_orm_execute")
def _scope(state: ORMExecuteState) -> None:
    who = acting()
    if who is None or state.is_column_load or not (state.is_select or state.is_update or state.is_delete):
        return
    state.statement = state.statement.options(
        with_loader_criteria(PlayerRow, _players(who, PlayerRow)),
        with_loader_criteria(SessionRow, _sessions(who, SessionRow)),
        with_loader_criteria(ImportRow, _under_session(who, ImportRow)),
        with_loader_criteria(ClipRow, _clips(who)),
        with_loader_criteria(ConsentRow, _consents(who)),
        with_loader_criteria(NoteRow, _notes(who)),
        with_loader_criteria(ActRow, _acts(who)),
    )
