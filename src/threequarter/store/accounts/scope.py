"""Every look into the database sees only what is theirs: the one filter under all pages, lists and searches.

It is laid over each query of the tables below while somebody acts, so that a page that forgets to ask shows nothing of another.
A key is looked up within its session besides. Plain-table queries (whole exports, backups) are not touched: they belong to the
program itself, and `scripts/check_house.py` lists the files that may make them.
"""

from functools import lru_cache
from typing import Any, Final

from sqlalchemy import ColumnElement, and_, event, false, or_, select
from sqlalchemy.orm import ORMExecuteState, Session, with_loader_criteria

from threequarter.store.accounts.current_user import CurrentUser, current_user
from threequarter.store.accounts.tables import ShareRow
from threequarter.store.database.schema import (
    BallRow,
    ClinicRow,
    ClinicSessionRow,
    ClipRow,
    ClubRow,
    ConsentRow,
    EditRow,
    HistoryRow,
    ImportRow,
    LinkRow,
    MovedBallRow,
    NoteRow,
    PlayerRow,
    RejectedRow,
    SessionRow,
    SwingLengthRow,
    TokenRow,
)

SEEN_PLAYER: Final = PlayerRow.__table__.alias("seen_player")
SEEN_SESSION: Final = SessionRow.__table__.alias("seen_session")
SEEN_IMPORT: Final = ImportRow.__table__.alias("seen_import")
SEEN_BALL: Final = BallRow.__table__.alias("seen_ball")
SEEN_CLIP: Final = ClipRow.__table__.alias("seen_clip")
"""Names of their own, so that a subquery never mixes with the tables of the query it is laid over; made once, since that takes long."""


def _players(who: CurrentUser, table: Any) -> ColumnElement[bool]:
    if who.room is not None:
        return table.coach_id == who.room  # type: ignore[no-any-return]
    return table.id.in_(who.players)  # type: ignore[no-any-return]


def _of_players(who: CurrentUser, column: Any) -> ColumnElement[bool]:
    return column.in_(select(SEEN_PLAYER.c.id).where(_players(who, SEEN_PLAYER.c)))  # type: ignore[no-any-return]


def _sessions(who: CurrentUser, table: Any) -> ColumnElement[bool]:
    if who.sessions is not None:
        return table.id.in_(who.sessions)  # type: ignore[no-any-return]
    of_players: ColumnElement[bool] = _of_players(who, table.player_id)
    return (
        of_players if who.room is None else or_(of_players, and_(table.player_id.is_(None), table.coach_id == who.room))
    )


def _under_session(who: CurrentUser, table: Any) -> ColumnElement[bool]:
    return table.session_id.in_(select(SEEN_SESSION.c.id).where(_sessions(who, SEEN_SESSION.c)))  # type: ignore[no-any-return]


def _clips(who: CurrentUser) -> ColumnElement[bool]:
    mine = _under_session(who, ClipRow)
    if who.room is None:
        return mine
    return or_(mine, and_(ClipRow.session_id.is_(None), ClipRow.coach_id == who.room))


def _consents(who: CurrentUser) -> ColumnElement[bool]:
    of_players = _of_players(who, ConsentRow.player_id)
    return or_(of_players, and_(ConsentRow.player_id.is_(None), _under_session(who, ConsentRow)))


def _notes(who: CurrentUser) -> ColumnElement[bool]:
    """A coach's notes are the coach's own."""
    if who.room is None:
        return false()
    return _of_players(who, NoteRow.player_id)


def _balls(who: CurrentUser) -> ColumnElement[bool]:
    return BallRow.import_id.in_(select(SEEN_IMPORT.c.id).where(_under_session(who, SEEN_IMPORT.c)))


def _edits(who: CurrentUser) -> ColumnElement[bool]:
    ball, file = SEEN_BALL, SEEN_IMPORT
    of = select(ball.c.id).join(file, file.c.id == ball.c.import_id)
    return of.where(ball.c.id == EditRow.ball_id, _under_session(who, file.c)).exists()


def _asides(who: CurrentUser) -> ColumnElement[bool]:
    file = SEEN_IMPORT
    return select(file.c.id).where(file.c.id == RejectedRow.import_id, _under_session(who, file.c)).exists()


def _links(who: CurrentUser) -> ColumnElement[bool]:
    clip = SEEN_CLIP
    return select(clip.c.id).where(clip.c.id == LinkRow.clip_id, _under_session(who, clip.c)).exists()


def _acts(who: CurrentUser) -> ColumnElement[bool]:
    if who.sessions is not None:
        return false()
    return or_(_of_players(who, HistoryRow.player_id), _under_session(who, HistoryRow))


@lru_cache(maxsize=256)
def _criteria(who: CurrentUser) -> tuple[Any, ...]:
    """What somebody sees of each table. Made once for each: to make them takes longer than most queries."""
    return (
        with_loader_criteria(PlayerRow, _players(who, PlayerRow)),
        with_loader_criteria(SessionRow, _sessions(who, SessionRow)),
        with_loader_criteria(ImportRow, _under_session(who, ImportRow)),
        with_loader_criteria(BallRow, _balls(who)),
        with_loader_criteria(ClipRow, _clips(who)),
        with_loader_criteria(ConsentRow, _consents(who)),
        with_loader_criteria(NoteRow, _notes(who)),
        with_loader_criteria(HistoryRow, _acts(who)),
        with_loader_criteria(EditRow, _edits(who)),
        with_loader_criteria(RejectedRow, _asides(who)),
        with_loader_criteria(LinkRow, _links(who)),
        with_loader_criteria(MovedBallRow, _under_session(who, MovedBallRow)),
        with_loader_criteria(ClubRow, _of_players(who, ClubRow.player_id)),
        with_loader_criteria(SwingLengthRow, _of_players(who, SwingLengthRow.player_id)),
        with_loader_criteria(ClinicRow, ClinicRow.coach_id == who.room if who.room is not None else false()),
        with_loader_criteria(ClinicSessionRow, _under_session(who, ClinicSessionRow)),
        with_loader_criteria(TokenRow, TokenRow.account_id == who.account_id),
        with_loader_criteria(ShareRow, _under_session(who, ShareRow)),
    )


@event.listens_for(Session, "do_orm_execute")
def _scope(state: ORMExecuteState) -> None:
    who = current_user()
    if who is None or state.is_column_load or not (state.is_select or state.is_update or state.is_delete):
        return
    state.statement = state.statement.options(*_criteria(who))
