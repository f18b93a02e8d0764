"""Lessons: when it began, when a ball and a film were made, which swing hit which ball; a bin; players archived and merged; acts."""

import sqlalchemy as sa
from alembic import op

revision = "0004"
down_revision = "0003"

ADDED = (
    ("player", "archived_at", sa.DateTime),
    ("player", "merged_into", sa.Integer),
    ("session", "started_at", sa.DateTime),
    ("session", "binned_at", sa.DateTime),
    ("ball", "hit_at", sa.DateTime),
    ("clip", "filmed_at", sa.DateTime),
    ("clip", "binned_at", sa.DateTime),
)


def upgrade() -> None:
    for table, column, kind in ADDED:
        op.add_column(table, sa.Column(column, kind))
    with op.batch_alter_table("note") as note:
        note.add_column(sa.Column("session_id", sa.Integer, sa.ForeignKey("session.id", name="fk_note_session")))
        note.create_index("ix_note_session_id", ["session_id"])
    op.create_table(
        "link",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("clip_id", sa.Integer, sa.ForeignKey("clip.id"), nullable=False, index=True),
        sa.Column("swing", sa.Integer, nullable=False),
        sa.Column("ball_id", sa.Integer, sa.ForeignKey("ball.id")),
        sa.Column("made_at", sa.DateTime, nullable=False),
        sa.Column("undone_at", sa.DateTime),
    )
    op.create_table(
        "act",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("kind", sa.String(20), nullable=False),
        sa.Column("player_id", sa.Integer, sa.ForeignKey("player.id"), index=True),
        sa.Column("session_id", sa.Integer, sa.ForeignKey("session.id"), index=True),
        sa.Column("body", sa.Text, nullable=False),
        sa.Column("made_at", sa.DateTime, nullable=False),
        sa.Column("undone_at", sa.DateTime),
    )


def downgrade() -> None:
    op.drop_table("act")
    op.drop_table("link")
    with op.batch_alter_table("note") as note:
        note.drop_index("ix_note_session_id")
        note.drop_column("session_id")
    for table, column, _ in reversed(ADDED):
        op.drop_column(table, column)
