"""The tables. Plain types only, so that the same schema runs on SQLite and PostgreSQL.

Nothing a user gave is overwritten: an import, and an edit of a ball, is a layer that can be taken off on any later day.
"""

import datetime
import uuid

from sqlalchemy import ForeignKey, Index, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column
from sqlalchemy.types import BigInteger, Date, DateTime, Float, Integer, LargeBinary, String, Text

from threequarter.store.accounts import tables as tables
from threequarter.store.accounts.current_user import current_account_id, current_coach_id
from threequarter.store.balls.ball_columns import BallColumns
from threequarter.store.database.base import Base as Base


def new_key() -> str:
    """A mark that no other thing bears, in this data folder or any other."""
    return uuid.uuid4().hex


class PlayerRow(Base):
    """A player of the roster, in the room of a coach (0: nobody's, as on a laptop without accounts); a name is one person there.

    `archived_at` hides one from the lists; `merged_into` is the player this one turned out to be. `taken_back_at` stands where an
    import that brought the player was taken back and nothing else is kept of them: until that changes they are on no list.
    The units and the language a player reads in are empty where nobody chose.
    """

    __tablename__ = "player"
    __table_args__ = (UniqueConstraint("coach_id", "name_key", name="uq_player_room_name"),)
    id: Mapped[int] = mapped_column(primary_key=True)
    coach_id: Mapped[int] = mapped_column(Integer, default=current_coach_id, server_default="0")
    name: Mapped[str] = mapped_column(String(300))
    name_key: Mapped[str] = mapped_column(String(300), index=True)
    made_at: Mapped[datetime.datetime] = mapped_column(DateTime)
    archived_at: Mapped[datetime.datetime | None] = mapped_column(DateTime)
    merged_into: Mapped[int | None] = mapped_column(Integer)
    taken_back_at: Mapped[datetime.datetime | None] = mapped_column(DateTime)
    distance_unit: Mapped[str | None] = mapped_column(String(2))
    height_unit: Mapped[str | None] = mapped_column(String(2))
    speed_unit: Mapped[str | None] = mapped_column(String(3))
    temperature_unit: Mapped[str | None] = mapped_column(String(1))
    language: Mapped[str | None] = mapped_column(String(5))
    goal: Mapped[str | None] = mapped_column(String(300))


class ClubRow(Base):
    """A club in a player's bag. `loft_deg` and `full_carry_m` are empty where nobody knows them.

    `other_names` (a JSON list) are what else it is called; `planned` is 1 where its shots are to be charted.
    """

    __tablename__ = "club"
    __table_args__ = (UniqueConstraint("player_id", "label", name="uq_club_player_label"),)
    id: Mapped[int] = mapped_column(primary_key=True)
    player_id: Mapped[int] = mapped_column(ForeignKey("player.id"))
    place: Mapped[int] = mapped_column(Integer)
    label: Mapped[str] = mapped_column(String(100))
    loft_deg: Mapped[float | None] = mapped_column(Float)
    full_carry_m: Mapped[float | None] = mapped_column(Float)
    other_names: Mapped[str] = mapped_column(Text, default="[]", server_default="[]")
    planned: Mapped[int] = mapped_column(Integer, default=0, server_default="0")


class SwingLengthRow(Base):
    """A swing length of a player's plan, in its order, with what else it is called (a JSON list), and where the lead arm points at the
    top (degrees from hanging down) where somebody told it."""

    __tablename__ = "swing_length"
    id: Mapped[int] = mapped_column(primary_key=True)
    player_id: Mapped[int] = mapped_column(ForeignKey("player.id"), index=True)
    place: Mapped[int] = mapped_column(Integer)
    label: Mapped[str] = mapped_column(String(100))
    other_names: Mapped[str] = mapped_column(Text, default="[]", server_default="[]")
    arm_deg: Mapped[float | None] = mapped_column(Float)


class ClinicRow(Base):
    """A clinic: several players on one date, each with a day of their own. `clubs` and `swings` are JSON lists."""

    __tablename__ = "clinic"
    id: Mapped[int] = mapped_column(primary_key=True)
    coach_id: Mapped[int] = mapped_column(Integer, default=current_coach_id, server_default="0")
    name: Mapped[str] = mapped_column(String(300))
    held_on: Mapped[datetime.date] = mapped_column(Date)
    clubs: Mapped[str] = mapped_column(Text)
    swings: Mapped[str] = mapped_column(Text)
    balls_each: Mapped[int] = mapped_column(Integer)
    made_at: Mapped[datetime.datetime] = mapped_column(DateTime)
    binned_at: Mapped[datetime.datetime | None] = mapped_column(DateTime)


class ClinicSessionRow(Base):
    """A player's day within a clinic, in the order of its rotation."""

    __tablename__ = "clinic_session"
    id: Mapped[int] = mapped_column(primary_key=True)
    clinic_id: Mapped[int] = mapped_column(ForeignKey("clinic.id"), index=True)
    session_id: Mapped[int] = mapped_column(ForeignKey("session.id"), index=True)
    place: Mapped[int] = mapped_column(Integer)


class SessionRow(Base):
    """A day: one player's balls of one date at one place, however many files they came in, and the air they flew in.

    `held_on` is its date, `dated_by` how that is known: "file" or "hand"; without them the date is assumed to be that of
    `made_at`. `surface` is "mat" or "turf". `started_at` is when its lesson began, where somebody said so; `binned_at` when
    it was put in the bin. `joined_into` is the day that this one turned out to be: what a phone still sends goes there.
    `key` is its own mark, in every data folder, within the room of its coach: by it an export is known again.
    """

    __tablename__ = "session"
    __table_args__ = (Index("uq_session_key", "coach_id", "key", unique=True),)
    id: Mapped[int] = mapped_column(primary_key=True)
    key: Mapped[str] = mapped_column(String(64), default=new_key, server_default="")
    player_id: Mapped[int | None] = mapped_column(ForeignKey("player.id"), index=True)
    coach_id: Mapped[int] = mapped_column(Integer, default=current_coach_id, server_default="0")
    title: Mapped[str] = mapped_column(String(300))
    unit: Mapped[str] = mapped_column(String(2))
    ground: Mapped[str] = mapped_column(String(10))
    held_on: Mapped[datetime.date | None] = mapped_column(Date)
    where_held: Mapped[str | None] = mapped_column(String(300))
    ball_kind: Mapped[str | None] = mapped_column(String(100))
    temp_c: Mapped[float | None] = mapped_column(Float)
    altitude_m: Mapped[float | None] = mapped_column(Float)
    humidity_pct: Mapped[float | None] = mapped_column(Float)
    pressure_hpa: Mapped[float | None] = mapped_column(Float)
    wind_mps: Mapped[float | None] = mapped_column(Float)
    wind_from_deg: Mapped[float | None] = mapped_column(Float)
    made_at: Mapped[datetime.datetime] = mapped_column(DateTime)
    started_at: Mapped[datetime.datetime | None] = mapped_column(DateTime)
    binned_at: Mapped[datetime.datetime | None] = mapped_column(DateTime)
    dated_by: Mapped[str | None] = mapped_column(String(10))
    surface: Mapped[str | None] = mapped_column(String(10))
    taught_by: Mapped[str | None] = mapped_column(String(300))
    joined_into: Mapped[int | None] = mapped_column(Integer)


class ImportRow(Base):
    """One file (or typed text) as it came: kept whole, with how it was read.

    `family` is the id of the first import of the same file as it grew; `head` a fingerprint of its first balls, by which
    a renamed copy is known; `layout` says which slot stands at which place of this state of the file, balls known before
    included. Undone imports stay, so that they can be brought back. Imports of one act bear the same `batch`, by which
    all of it is undone.
    """

    __tablename__ = "import"
    id: Mapped[int] = mapped_column(primary_key=True)
    session_id: Mapped[int] = mapped_column(ForeignKey("session.id"), index=True)
    family: Mapped[int] = mapped_column(Integer, index=True)
    name: Mapped[str] = mapped_column(String(300), index=True)
    sha256: Mapped[str] = mapped_column(String(64), index=True)
    head: Mapped[str | None] = mapped_column(String(64), index=True)
    content: Mapped[bytes | None] = mapped_column(LargeBinary, deferred=True)  # up to 200 MB
    options: Mapped[str] = mapped_column(Text)
    plan: Mapped[str] = mapped_column(Text)
    layout: Mapped[str] = mapped_column(Text, deferred=True)
    batch: Mapped[str | None] = mapped_column(String(32), index=True)
    made_at: Mapped[datetime.datetime] = mapped_column(DateTime)
    undone_at: Mapped[datetime.datetime | None] = mapped_column(DateTime)


class BallRow(BallColumns, Base):
    """One ball as an import gave it, never changed; traceable to its file, sheet, row and column (`place`).

    `slot` is what it is: the same slot in a later import of the family is the same ball, corrected. `rank` is its order
    within the family. A ball typed on a phone bears a key of its own (`client_key`), unique within its session; `hit_at` is when it was typed, by
    the server's clock, `phone` which one typed it; `own_at` when somebody said that it is no double of another.
    """

    __tablename__ = "ball"
    __table_args__ = (
        UniqueConstraint("import_id", "slot", name="uq_ball_import_slot"),
        UniqueConstraint("import_id", "client_key", name="uq_ball_import_client_key"),
        Index("ix_ball_client_key", "client_key"),
    )
    id: Mapped[int] = mapped_column(primary_key=True)
    import_id: Mapped[int] = mapped_column(ForeignKey("import.id"))
    client_key: Mapped[str | None] = mapped_column(String(64))
    slot: Mapped[str] = mapped_column(String(450))
    place: Mapped[str] = mapped_column(String(400))
    rank: Mapped[float] = mapped_column(Float)
    body: Mapped[str] = mapped_column(Text)
    hit_at: Mapped[datetime.datetime | None] = mapped_column(DateTime)
    phone: Mapped[str | None] = mapped_column(String(32))
    own_at: Mapped[datetime.datetime | None] = mapped_column(DateTime)


class MovedBallRow(Base):
    """That a typed ball was moved out of a session: sent there once more, it is known, not new."""

    __tablename__ = "moved_ball"
    __table_args__ = (UniqueConstraint("session_id", "client_key", name="uq_moved_ball_session_key"),)
    id: Mapped[int] = mapped_column(primary_key=True)
    session_id: Mapped[int] = mapped_column(ForeignKey("session.id"))
    client_key: Mapped[str] = mapped_column(String(64))
    ball_id: Mapped[int] = mapped_column(ForeignKey("ball.id"), index=True)


class EditRow(BallColumns, Base):
    """A change of a ball by hand: other content (`body`, else as imported), or left out with a reason.

    One made on a phone bears a key (`client_key`: the ball's and the number of the change), so that it counts once.
    """

    __tablename__ = "edit"
    __table_args__ = (
        Index("ix_edit_ball", "ball_id", "id"),
        UniqueConstraint("ball_id", "client_key", name="uq_edit_ball_client_key"),
    )
    id: Mapped[int] = mapped_column(primary_key=True)
    ball_id: Mapped[int] = mapped_column(ForeignKey("ball.id"))
    body: Mapped[str | None] = mapped_column(Text)
    left_out_why: Mapped[str | None] = mapped_column(Text)
    made_at: Mapped[datetime.datetime] = mapped_column(DateTime)
    undone_at: Mapped[datetime.datetime | None] = mapped_column(DateTime)
    client_key: Mapped[str | None] = mapped_column(String(80))


class RejectedRow(Base):
    """A row that was listed but is no ball, and why.

    Also what came from a phone under the key of another ball (`client_key`): a conflict until somebody settled it.
    """

    __tablename__ = "rejected_row"
    id: Mapped[int] = mapped_column(primary_key=True)
    import_id: Mapped[int] = mapped_column(ForeignKey("import.id"), index=True)
    sheet: Mapped[str | None] = mapped_column(String(300))
    row: Mapped[int | None] = mapped_column(Integer)
    col: Mapped[int | None] = mapped_column(Integer)
    why: Mapped[str] = mapped_column(Text)
    text: Mapped[str] = mapped_column(Text)
    client_key: Mapped[str | None] = mapped_column(String(64), index=True)
    settled_at: Mapped[datetime.datetime | None] = mapped_column(DateTime)


class ShapeRow(Base):
    """What a coach confirmed of tables, as JSON: how a file, or one of a certain shape (its headings), was read, by a mark of coach and
    file or shape; under "headings of N" what the headings mean that coach N explained."""

    __tablename__ = "shape"
    key: Mapped[str] = mapped_column(String(64), primary_key=True)
    options: Mapped[str] = mapped_column(Text)
    used_at: Mapped[datetime.datetime] = mapped_column(DateTime)


class ClipRow(Base):
    """A film of swings. Its bytes lie in the data folder under clips/<id>; `received` of `size` bytes have come so far.

    `state` is "coming", "waiting", "running", "done" or "failed"; `answer` what was found, `marks` what a coach corrected (JSON).
    `filmed_at` is when its first picture was taken, where the phone told; `binned_at` when it was put in the bin; `sha256`
    of the film as it is kept, date and place taken out. `kept_from` is when somebody last asked for it to be kept, `told_at`
    since when it is said that it ends.
    """

    __tablename__ = "clip"
    id: Mapped[int] = mapped_column(primary_key=True)
    session_id: Mapped[int | None] = mapped_column(ForeignKey("session.id"), index=True)
    name: Mapped[str] = mapped_column(String(300))
    suffix: Mapped[str] = mapped_column(String(8))
    size: Mapped[int] = mapped_column(BigInteger)
    received: Mapped[int] = mapped_column(BigInteger)
    state: Mapped[str] = mapped_column(String(10))
    progress: Mapped[float] = mapped_column(Float)
    felt: Mapped[str | None] = mapped_column(String(200))
    answer: Mapped[str | None] = mapped_column(Text)
    error: Mapped[str | None] = mapped_column(Text)
    marks: Mapped[str | None] = mapped_column(Text)
    made_at: Mapped[datetime.datetime] = mapped_column(DateTime)
    filmed_at: Mapped[datetime.datetime | None] = mapped_column(DateTime)
    binned_at: Mapped[datetime.datetime | None] = mapped_column(DateTime)
    coach_id: Mapped[int] = mapped_column(Integer, default=current_coach_id, server_default="0")
    kept_from: Mapped[datetime.datetime | None] = mapped_column(DateTime)
    told_at: Mapped[datetime.datetime | None] = mapped_column(DateTime)
    sha256: Mapped[str | None] = mapped_column(String(64))


class ConsentRow(Base):
    """That a player (or a guardian) agreed to be filmed, since when and, where it was taken back, until when.

    It stands by session where the session is nobody's. `given_by` and `revoked_by` are accounts, 0 where there was none.
    """

    __tablename__ = "consent"
    id: Mapped[int] = mapped_column(primary_key=True)
    player_id: Mapped[int | None] = mapped_column(ForeignKey("player.id"), index=True)
    session_id: Mapped[int | None] = mapped_column(ForeignKey("session.id"), index=True)
    by_whom: Mapped[str] = mapped_column(String(300))
    given_at: Mapped[datetime.datetime] = mapped_column(DateTime)
    given_by: Mapped[int] = mapped_column(Integer, server_default="0", default=0)
    revoked_at: Mapped[datetime.datetime | None] = mapped_column(DateTime)
    revoked_by: Mapped[int | None] = mapped_column(Integer)


class NoteRow(Base):
    """What the coach noted about a player, in a lesson or apart from one. One taken back stays, so that it can come again."""

    __tablename__ = "note"
    id: Mapped[int] = mapped_column(primary_key=True)
    player_id: Mapped[int] = mapped_column(ForeignKey("player.id"), index=True)
    session_id: Mapped[int | None] = mapped_column(ForeignKey("session.id"), index=True)
    text: Mapped[str] = mapped_column(Text)
    made_at: Mapped[datetime.datetime] = mapped_column(DateTime)
    undone_at: Mapped[datetime.datetime | None] = mapped_column(DateTime)


class LinkRow(Base):
    """Which ball a swing of a clip hit, said by hand: the newest that was not undone holds. An empty `ball_id` says: none of them."""

    __tablename__ = "link"
    id: Mapped[int] = mapped_column(primary_key=True)
    clip_id: Mapped[int] = mapped_column(ForeignKey("clip.id"), index=True)
    swing: Mapped[int] = mapped_column(Integer)
    ball_id: Mapped[int | None] = mapped_column(ForeignKey("ball.id"))
    made_at: Mapped[datetime.datetime] = mapped_column(DateTime)
    undone_at: Mapped[datetime.datetime | None] = mapped_column(DateTime)


class HistoryRow(Base):
    """An act that can be taken back later: what it was (`kind`), what it needs to be undone and done again (`body`, JSON).

    Imports, changes of balls, notes and links are layers of their own and do not stand here.
    """

    __tablename__ = "history_entry"
    id: Mapped[int] = mapped_column(primary_key=True)
    kind: Mapped[str] = mapped_column(String(20))
    player_id: Mapped[int | None] = mapped_column(ForeignKey("player.id"), index=True)
    session_id: Mapped[int | None] = mapped_column(ForeignKey("session.id"), index=True)
    body: Mapped[str] = mapped_column(Text)
    made_at: Mapped[datetime.datetime] = mapped_column(DateTime)
    undone_at: Mapped[datetime.datetime | None] = mapped_column(DateTime)


class TaskRow(Base):
    """Long work that was asked for and outlives the server: a large table, a print of many, a backup.

    `asked` and `result` are JSON; `content` is the files it works on, one behind the other, `made` the file it made. `account_id`
    asked, in `room`.
    """

    __tablename__ = "task"
    id: Mapped[int] = mapped_column(primary_key=True)
    kind: Mapped[str] = mapped_column(String(20))
    asked: Mapped[str] = mapped_column(Text)
    content: Mapped[bytes | None] = mapped_column(LargeBinary, deferred=True)
    made: Mapped[bytes | None] = mapped_column(LargeBinary, deferred=True)
    account_id: Mapped[int] = mapped_column(Integer, default=current_account_id)
    room: Mapped[int] = mapped_column(Integer, default=current_coach_id)
    language: Mapped[str] = mapped_column(String(10))
    state: Mapped[str] = mapped_column(String(10), index=True)
    progress: Mapped[float] = mapped_column(Float)
    result: Mapped[str | None] = mapped_column(Text)
    error: Mapped[str | None] = mapped_column(Text)
    made_at: Mapped[datetime.datetime] = mapped_column(DateTime)
    ended_at: Mapped[datetime.datetime | None] = mapped_column(DateTime)


class TokenRow(Base):
    """What lets a script in: only a fingerprint of the token is kept. It acts as the account that made it. `rights` is "read" or "write" (which reads too)."""

    __tablename__ = "token"
    id: Mapped[int] = mapped_column(primary_key=True)
    name: Mapped[str] = mapped_column(String(100))
    fingerprint: Mapped[str] = mapped_column(String(64), unique=True)
    rights: Mapped[str] = mapped_column(String(10))
    account_id: Mapped[int] = mapped_column(Integer, default=current_account_id, server_default="0")
    made_at: Mapped[datetime.datetime] = mapped_column(DateTime)
    used_at: Mapped[datetime.datetime | None] = mapped_column(DateTime)


class ErasedRow(Base):
    """That a person was erased: marks of what was theirs (hashes of number and time, no names), and how much of it there was.

    By the marks an older backup forgets them too when it is restored. `mark` names the erasure itself.
    """

    __tablename__ = "erased"
    id: Mapped[int] = mapped_column(primary_key=True)
    mark: Mapped[str] = mapped_column(String(64), unique=True)
    marks: Mapped[str] = mapped_column(Text)
    removed: Mapped[str] = mapped_column(Text)
    erased_at: Mapped[datetime.datetime] = mapped_column(DateTime)


class RestoredRow(Base):
    """The backup that was restored last: `token` names the folder in which its films were laid ready."""

    __tablename__ = "restored"
    token: Mapped[str] = mapped_column(String(32), primary_key=True)
    made_at: Mapped[str] = mapped_column(String(40))
    restored_at: Mapped[datetime.datetime] = mapped_column(DateTime)
