"""Each line of the record bears a mark of itself and of the line before it."""

import sqlalchemy as sa
from alembic import op

revision = "0019"
down_revision = "0018"


def upgrade() -> None:
    op.add_column("audit", sa.Column("mark", sa.String(64)))


def downgrade() -> None:
    with op.batch_alter_table("audit") as record:
        record.drop_column("mark")
