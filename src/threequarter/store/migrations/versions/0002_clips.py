"""Clips of swings: where a film is, how far its analysis is, what was found, and who agreed to it."""

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"


def upgrade() -> None:
    op.create_table(
        "clip",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("session_id", sa.Integer, sa.ForeignKey("session.id"), index=True),
        sa.Column("name", sa.String(300), nullable=False),
        sa.Column("suffix", sa.String(8), nullable=False),
        sa.Column("size", sa.Integer, nullable=False),
        sa.Column("received", sa.Integer, nullable=False),
        sa.Column("state", sa.String(10), nullable=False),
        sa.Column("progress", sa.Float, nullable=False),
        sa.Column("felt", sa.String(200)),
        sa.Column("answer", sa.Text),
        sa.Column("error", sa.Text),
        sa.Column("marks", sa.Text),
        sa.Column("made_at", sa.DateTime, nullable=False),
    )
    op.create_table(
        "consent",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("player_key", sa.String(300), nullable=False, unique=True),
        sa.Column("by_whom", sa.String(300), nullable=False),
        sa.Column("given_at", sa.DateTime, nullable=False),
    )


def downgrade() -> None:
    op.drop_table("consent")
    op.drop_table("clip")
