"""Long work that was asked for and outlives the server."""

import sqlalchemy as sa
from alembic import op

revision = "0014"
down_revision = "0013"


def upgrade() -> None:
    op.create_table(
        "errand",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("kind", sa.String(20), nullable=False),
        sa.Column("asked", sa.Text, nullable=False),
        sa.Column("content", sa.LargeBinary),
        sa.Column("made", sa.LargeBinary),
        sa.Column("account_id", sa.Integer, nullable=False),
        sa.Column("room", sa.Integer, nullable=False),
        sa.Column("language", sa.String(10), nullable=False),
        sa.Column("state", sa.String(10), nullable=False, index=True),
        sa.Column("progress", sa.Float, nullable=False),
        sa.Column("result", sa.Text),
        sa.Column("error", sa.Text),
        sa.Column("made_at", sa.DateTime, nullable=False),
        sa.Column("ended_at", sa.DateTime),
    )


def downgrade() -> None:
    op.drop_table("errand")
