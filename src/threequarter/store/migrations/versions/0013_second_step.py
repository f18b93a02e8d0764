"""A second step beside the password: what an authenticator app shares, recovery codes, browsers between the two steps. And players whose import was taken back."""

import sqlalchemy as sa
from alembic import op

revision = "0013"
down_revision = "0012"


def upgrade() -> None:
    op.add_column("player", sa.Column("taken_back_at", sa.DateTime))
    op.create_table(
        "second_step",
        sa.Column("account_id", sa.Integer, sa.ForeignKey("account.id"), primary_key=True, autoincrement=False),
        sa.Column("secret", sa.String(64), nullable=False),
        sa.Column("made_at", sa.DateTime, nullable=False),
        sa.Column("since", sa.DateTime),
        sa.Column("last_step", sa.Integer, nullable=False),
    )
    op.create_table(
        "recovery_code",
        sa.Column("token", sa.String(64), primary_key=True),
        sa.Column("account_id", sa.Integer, sa.ForeignKey("account.id"), nullable=False, index=True),
    )
    op.create_table(
        "half_sign_in",
        sa.Column("token", sa.String(64), primary_key=True),
        sa.Column("account_id", sa.Integer, sa.ForeignKey("account.id"), nullable=False, index=True),
        sa.Column("ends_at", sa.DateTime, nullable=False),
    )


def downgrade() -> None:
    for table in ("half_sign_in", "recovery_code", "second_step"):
        op.drop_table(table)
    op.drop_column("player", "taken_back_at")
