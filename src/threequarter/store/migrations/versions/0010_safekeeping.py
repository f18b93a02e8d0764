"""Who was erased (no names), and which backup was restored."""

import sqlalchemy as sa
from alembic import op

revision = "0010"
down_revision = "0009"


def upgrade() -> None:
    op.create_table(
        "erased",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("mark", sa.String(64), nullable=False, unique=True),
        sa.Column("marks", sa.Text, nullable=False),
        sa.Column("removed", sa.Text, nullable=False),
        sa.Column("erased_at", sa.DateTime, nullable=False),
    )
    op.create_table(
        "restored",
        sa.Column("token", sa.String(32), primary_key=True),
        sa.Column("made_at", sa.String(40), nullable=False),
        sa.Column("restored_at", sa.DateTime, nullable=False),
    )


def downgrade() -> None:
    op.drop_table("restored")
    op.drop_table("erased")
