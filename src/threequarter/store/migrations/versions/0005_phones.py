"""Phones: which one typed a ball, changes made on it counted once, conflicts that can be settled, doubles that are none."""

import sqlalchemy as sa
from alembic import op

revision = "0005"
down_revision = "0004"


def upgrade() -> None:
    op.add_column("ball", sa.Column("phone", sa.String(32)))
    op.add_column("ball", sa.Column("own_at", sa.DateTime))
    with op.batch_alter_table("edit") as edit:
        edit.add_column(sa.Column("client_key", sa.String(80)))
        edit.create_unique_constraint("uq_edit_client_key", ["client_key"])
    op.add_column("aside", sa.Column("client_key", sa.String(64)))
    op.add_column("aside", sa.Column("settled_at", sa.DateTime))
    op.create_index("ix_aside_client_key", "aside", ["client_key"])


def downgrade() -> None:
    op.drop_index("ix_aside_client_key", "aside")
    op.drop_column("aside", "settled_at")
    op.drop_column("aside", "client_key")
    with op.batch_alter_table("edit") as edit:
        edit.drop_constraint("uq_edit_client_key", type_="unique")
        edit.drop_column("client_key")
    op.drop_column("ball", "own_at")
    op.drop_column("ball", "phone")
