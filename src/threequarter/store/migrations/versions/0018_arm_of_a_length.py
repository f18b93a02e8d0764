"""A swing length of the plan may say in degrees where the lead arm points."""

import sqlalchemy as sa
from alembic import op

revision = "0018"
down_revision = "0017"


def upgrade() -> None:
    op.add_column("swing_length", sa.Column("arm_deg", sa.Float))


def downgrade() -> None:
    with op.batch_alter_table("swing_length") as lengths:
        lengths.drop_column("arm_deg")
