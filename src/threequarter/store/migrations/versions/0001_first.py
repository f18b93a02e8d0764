"""Players, sessions, imports, balls, rows set aside, remembered shapes."""

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None


def upgrade() -> None:
    op.create_table(
        "player",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("name", sa.String(300), nullable=False, unique=True),
        sa.Column("made_at", sa.DateTime, nullable=False),
    )
    op.create_table(
        "session",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("player_id", sa.Integer, sa.ForeignKey("player.id"), index=True),
        sa.Column("title", sa.String(300), nullable=False),
        sa.Column("unit", sa.String(2), nullable=False),
        sa.Column("ground", sa.String(10), nullable=False),
        sa.Column("made_at", sa.DateTime, nullable=False),
    )
    op.create_table(
        "import",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("session_id", sa.Integer, sa.ForeignKey("session.id"), nullable=False, index=True),
        sa.Column("name", sa.String(300), nullable=False),
        sa.Column("sha256", sa.String(64), nullable=False, index=True),
        sa.Column("content", sa.LargeBinary, nullable=False),
        sa.Column("options", sa.Text, nullable=False),
        sa.Column("plan", sa.Text, nullable=False),
        sa.Column("made_at", sa.DateTime, nullable=False),
        sa.Column("undone_at", sa.DateTime),
    )
    op.create_table(
        "ball",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("import_id", sa.Integer, sa.ForeignKey("import.id"), nullable=False),
        sa.Column("client_key", sa.String(64), unique=True),
        sa.Column("place", sa.String(400), nullable=False),
        sa.Column("number", sa.Integer, nullable=False),
        sa.Column("body", sa.Text, nullable=False),
        sa.Column("distance_m", sa.Float, nullable=False),
        sa.Column("left_out_why", sa.Text),
        sa.UniqueConstraint("import_id", "place", name="uq_ball_import_place"),
    )
    op.create_index("ix_ball_import_number", "ball", ["import_id", "number"])
    op.create_table(
        "aside",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("import_id", sa.Integer, sa.ForeignKey("import.id"), nullable=False, index=True),
        sa.Column("sheet", sa.String(300)),
        sa.Column("row", sa.Integer),
        sa.Column("col", sa.Integer),
        sa.Column("why", sa.Text, nullable=False),
        sa.Column("text", sa.Text, nullable=False),
    )
    op.create_table(
        "shape",
        sa.Column("key", sa.String(64), primary_key=True),
        sa.Column("options", sa.Text, nullable=False),
        sa.Column("used_at", sa.DateTime, nullable=False),
    )


def downgrade() -> None:
    for table in ("shape", "aside", "ball", "import", "session", "player"):
        op.drop_table(table)
