"""Notes of the coach about a player."""

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"


def upgrade() -> None:
    op.create_table(
        "note",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("player_id", sa.Integer, sa.ForeignKey("player.id"), nullable=False, index=True),
        sa.Column("text", sa.Text, nullable=False),
        sa.Column("made_at", sa.DateTime, nullable=False),
        sa.Column("undone_at", sa.DateTime),
    )


def downgrade() -> None:
    op.drop_table("note")
