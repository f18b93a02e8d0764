"""The SHA-256 of a film as it came, by which every machine knows that it sees the whole of it."""

import sqlalchemy as sa
from alembic import op

revision = "0011"
down_revision = "0010"


def upgrade() -> None:
    op.add_column("clip", sa.Column("sha256", sa.String(64)))


def downgrade() -> None:
    op.drop_column("clip", "sha256")
