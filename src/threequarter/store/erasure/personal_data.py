"""Everything that belongs to one player: one list, by which it is exported and erased."""

from collections.abc import Sequence
from dataclasses import dataclass

from sqlalchemy import ColumnElement, or_, select
from sqlalchemy.orm import Session

from threequarter.store.accounts.tables import (
    AccountRow,
    InvitationRow,
    PasskeyRow,
    PendingSignInRow,
    RecoveryCodeRow,
    SecondFactorRow,
    ShareRow,
    SignInRow,
    TieRow,
)
from threequarter.store.database.schema import (
    BallRow,
    Base,
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
)
from threequarter.store.imports.save_import import one_player


@dataclass(frozen=True, slots=True, kw_only=True)
class PersonalData:
    """The rows of a player, table by table, those that refer to others first; and the clips, whose films lie in files."""

    rows: tuple[tuple[type[Base], ColumnElement[bool]], ...]
    imports: Sequence[int]
    clips: Sequence[int]


def personal_data_of(session: Session, player: str | int) -> PersonalData:
    """What belongs to a player, by name or number. Raises UserError for one who is not there."""
    number = player if isinstance(player, int) else one_player(session, player).id
    ids = [number, *session.scalars(select(PlayerRow.id).where(PlayerRow.merged_into == number))]
    sessions = session.scalars(select(SessionRow.id).where(SessionRow.player_id.in_(ids))).all()
    imports = session.scalars(select(ImportRow.id).where(ImportRow.session_id.in_(sessions))).all()
    balls = session.scalars(select(BallRow.id).where(BallRow.import_id.in_(imports))).all()
    clips = session.scalars(select(ClipRow.id).where(ClipRow.session_id.in_(sessions))).all()
    own = (
        select(TieRow.account_id)
        .join(AccountRow)
        .where(TieRow.player_id.in_(ids), TieRow.kind == "self", AccountRow.role == "player")
    )
    accounts = session.scalars(own).all()
    rows: tuple[tuple[type[Base], ColumnElement[bool]], ...] = (
        (LinkRow, or_(LinkRow.clip_id.in_(clips), LinkRow.ball_id.in_(balls))),
        (HistoryRow, or_(HistoryRow.player_id.in_(ids), HistoryRow.session_id.in_(sessions))),
        (NoteRow, or_(NoteRow.player_id.in_(ids), NoteRow.session_id.in_(sessions))),
        (EditRow, EditRow.ball_id.in_(balls)),
        (MovedBallRow, or_(MovedBallRow.ball_id.in_(balls), MovedBallRow.session_id.in_(sessions))),
        (BallRow, BallRow.id.in_(balls)),
        (RejectedRow, RejectedRow.import_id.in_(imports)),
        (ImportRow, ImportRow.id.in_(imports)),
        (ClipRow, ClipRow.id.in_(clips)),
        (ClinicSessionRow, ClinicSessionRow.session_id.in_(sessions)),
        (ConsentRow, or_(ConsentRow.player_id.in_(ids), ConsentRow.session_id.in_(sessions))),
        (ShareRow, ShareRow.session_id.in_(sessions)),
        (TieRow, or_(TieRow.player_id.in_(ids), TieRow.account_id.in_(accounts))),
        (PasskeyRow, PasskeyRow.account_id.in_(accounts)),
        (SignInRow, SignInRow.account_id.in_(accounts)),
        (InvitationRow, InvitationRow.account_id.in_(accounts)),
        (SecondFactorRow, SecondFactorRow.account_id.in_(accounts)),
        (RecoveryCodeRow, RecoveryCodeRow.account_id.in_(accounts)),
        (PendingSignInRow, PendingSignInRow.account_id.in_(accounts)),
        (AccountRow, AccountRow.id.in_(accounts)),
        (SessionRow, SessionRow.id.in_(sessions)),
        (ClubRow, ClubRow.player_id.in_(ids)),
        (SwingLengthRow, SwingLengthRow.player_id.in_(ids)),
        (PlayerRow, PlayerRow.id.in_(ids)),
    )
    return PersonalData(rows=rows, imports=imports, clips=clips)


def shared_files(session: Session, sessions: Sequence[int]) -> set[str]:
    """Fingerprints of files of these sessions in which players of other sessions stand too: not to be handed out with one of them."""
    theirs = select(ImportRow.sha256).where(ImportRow.session_id.in_(sessions), ImportRow.sha256 != "")
    others = select(ImportRow.sha256).where(ImportRow.session_id.not_in(sessions), ImportRow.sha256.in_(theirs))
    return set(session.scalars(others.distinct()))


def of_sessions(session: Session, sessions: Sequence[int]) -> PersonalData:
    """What belongs to some sessions, whosever they are."""
    imports = session.scalars(select(ImportRow.id).where(ImportRow.session_id.in_(sessions))).all()
    balls = session.scalars(select(BallRow.id).where(BallRow.import_id.in_(imports))).all()
    clips = session.scalars(select(ClipRow.id).where(ClipRow.session_id.in_(sessions))).all()
    rows: tuple[tuple[type[Base], ColumnElement[bool]], ...] = (
        (LinkRow, or_(LinkRow.clip_id.in_(clips), LinkRow.ball_id.in_(balls))),
        (HistoryRow, HistoryRow.session_id.in_(sessions)),
        (NoteRow, NoteRow.session_id.in_(sessions)),
        (EditRow, EditRow.ball_id.in_(balls)),
        (MovedBallRow, or_(MovedBallRow.ball_id.in_(balls), MovedBallRow.session_id.in_(sessions))),
        (BallRow, BallRow.id.in_(balls)),
        (RejectedRow, RejectedRow.import_id.in_(imports)),
        (ImportRow, ImportRow.id.in_(imports)),
        (ClipRow, ClipRow.id.in_(clips)),
        (ClinicSessionRow, ClinicSessionRow.session_id.in_(sessions)),
        (ConsentRow, ConsentRow.session_id.in_(sessions)),
        (ShareRow, ShareRow.session_id.in_(sessions)),
        (SessionRow, SessionRow.id.in_(sessions)),
    )
    return PersonalData(rows=rows, imports=imports, clips=clips)
