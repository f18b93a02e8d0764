"""The units and the language a player reads in; empty where nobody chose."""

import sqlalchemy as sa
from alembic import op

revision = "0008"
down_revision = "0007"

ADDED = (("distance_unit", 2), ("height_unit", 2), ("speed_unit", 3), ("temperature_unit", 1), ("language", 5))


def upgrade() -> None:
    for column, length in ADDED:
        op.add_column("player", sa.Column(column, sa.String(length)))


def downgrade() -> None:
    for column, _ in reversed(ADDED):
        op.drop_column("player", column)
