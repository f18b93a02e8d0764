"""A script's token belongs to an account, and does what that account may."""

import sqlalchemy as sa
from alembic import op

revision = "0012"
down_revision = "0011"


def upgrade() -> None:
    op.add_column("token", sa.Column("account_id", sa.Integer, nullable=False, server_default="0"))


def downgrade() -> None:
    op.drop_column("token", "account_id")
