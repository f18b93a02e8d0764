"""The plan belongs to the player, the day has a date that is known or assumed, a clinic is a thing of its own."""

import sqlalchemy as sa
from alembic import op

revision = "0015"
down_revision = "0014"


def upgrade() -> None:
    op.create_table(
        "swing_length",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("player_id", sa.Integer, sa.ForeignKey("player.id"), nullable=False, index=True),
        sa.Column("place", sa.Integer, nullable=False),
        sa.Column("label", sa.String(100), nullable=False),
        sa.Column("other_names", sa.Text, nullable=False, server_default="[]"),
    )
    op.create_table(
        "clinic",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("coach_id", sa.Integer, nullable=False, server_default="0"),
        sa.Column("name", sa.String(300), nullable=False),
        sa.Column("held_on", sa.Date, nullable=False),
        sa.Column("clubs", sa.Text, nullable=False),
        sa.Column("swings", sa.Text, nullable=False),
        sa.Column("balls_each", sa.Integer, nullable=False),
        sa.Column("made_at", sa.DateTime, nullable=False),
        sa.Column("binned_at", sa.DateTime),
    )
    op.create_table(
        "clinic_session",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("clinic_id", sa.Integer, sa.ForeignKey("clinic.id"), nullable=False, index=True),
        sa.Column("session_id", sa.Integer, sa.ForeignKey("session.id"), nullable=False, index=True),
        sa.Column("place", sa.Integer, nullable=False),
    )
    op.add_column("club", sa.Column("other_names", sa.Text, nullable=False, server_default="[]"))
    op.add_column("club", sa.Column("planned", sa.Integer, nullable=False, server_default="0"))
    op.add_column("player", sa.Column("goal", sa.String(300)))
    op.add_column("session", sa.Column("dated_by", sa.String(10)))
    op.add_column("session", sa.Column("surface", sa.String(10)))
    op.add_column("session", sa.Column("taught_by", sa.String(300)))
    op.add_column("session", sa.Column("joined_into", sa.Integer))


def downgrade() -> None:
    for table, columns in (
        ("session", ("joined_into", "taught_by", "surface", "dated_by")),
        ("player", ("goal",)),
        ("club", ("planned", "other_names")),
    ):
        with op.batch_alter_table(table) as batch:
            for column in columns:
                batch.drop_column(column)
    for table in ("clinic_session", "clinic", "swing_length"):
        op.drop_table(table)
