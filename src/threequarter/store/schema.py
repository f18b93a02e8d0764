"""The tables. Plain types only, so that the same schema runs on SQLite and PostgreSQL."""

import datetime

from sqlalchemy import DateTime, Float, ForeignKey, Index, Integer, LargeBinary, String, Text, UniqueConstraint
from sqlalchemy.orm import DeclarativeBase, Mapped, mapped_column


class Base(DeclarativeBase):
    """All tables."""


class PlayerRow(Base):
    """A player of the roster."""

    __tablename__ = "player"
    id: Mapped[int] = mapped_column(primary_key=True)
    name: Mapped[str] = mapped_column(String(300), unique=True)
    made_at: Mapped[datetime.datetime] = mapped_column(DateTime)


class SessionRow(Base):
    """A session: one player's balls of one occasion, however many files they came in."""

    __tablename__ = "session"
    id: Mapped[int] = mapped_column(primary_key=True)
    player_id: Mapped[int | None] = mapped_column(ForeignKey("player.id"), index=True)
    title: Mapped[str] = mapped_column(String(300))
    unit: Mapped[str] = mapped_column(String(2))
    ground: Mapped[str] = mapped_column(String(10), default="normal")
    made_at: Mapped[datetime.datetime] = mapped_column(DateTime)


class ImportRow(Base):
    """One file (or typed text) as it came: kept whole, with how it was read. Undone imports stay, so that they can be redone."""

    __tablename__ = "import"
    id: Mapped[int] = mapped_column(primary_key=True)
    session_id: Mapped[int] = mapped_column(ForeignKey("session.id"), index=True)
    name: Mapped[str] = mapped_column(String(300))
    sha256: Mapped[str] = mapped_column(String(64), index=True)
    content: Mapped[bytes] = mapped_column(LargeBinary)
    options: Mapped[str] = mapped_column(Text)
    plan: Mapped[str] = mapped_column(Text)
    made_at: Mapped[datetime.datetime] = mapped_column(DateTime)
    undone_at: Mapped[datetime.datetime | None] = mapped_column(DateTime)


class BallRow(Base):
    """One ball, traceable to its import, sheet, row and column. `place` is unique within an import; a ball typed on a
    phone bears a key of its own (`client_key`), unique everywhere."""

    __tablename__ = "ball"
    __table_args__ = (
        UniqueConstraint("import_id", "place", name="uq_ball_import_place"),
        Index("ix_ball_import_number", "import_id", "number"),
    )
    id: Mapped[int] = mapped_column(primary_key=True)
    import_id: Mapped[int] = mapped_column(ForeignKey("import.id"))
    client_key: Mapped[str | None] = mapped_column(String(64), unique=True)
    place: Mapped[str] = mapped_column(String(400))
    number: Mapped[int] = mapped_column(Integer)
    body: Mapped[str] = mapped_column(Text)
    distance_m: Mapped[float] = mapped_column(Float)
    left_out_why: Mapped[str | None] = mapped_column(Text)


class AsideRow(Base):
    """A row that was listed but is no ball, and why."""

    __tablename__ = "aside"
    id: Mapped[int] = mapped_column(primary_key=True)
    import_id: Mapped[int] = mapped_column(ForeignKey("import.id"), index=True)
    sheet: Mapped[str | None] = mapped_column(String(300))
    row: Mapped[int | None] = mapped_column(Integer)
    col: Mapped[int | None] = mapped_column(Integer)
    why: Mapped[str] = mapped_column(Text)
    text: Mapped[str] = mapped_column(Text)


class ShapeRow(Base):
    """How a file of a certain shape (its headings) was read, for the next one that looks alike."""

    __tablename__ = "shape"
    key: Mapped[str] = mapped_column(String(64), primary_key=True)
    options: Mapped[str] = mapped_column(Text)
    used_at: Mapped[datetime.datetime] = mapped_column(DateTime)
