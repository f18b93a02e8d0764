"""What all tables are made from."""

from sqlalchemy.orm import DeclarativeBase


class Base(DeclarativeBase):
    """All tables."""
