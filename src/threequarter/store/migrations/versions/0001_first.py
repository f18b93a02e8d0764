"""Players, bags, sessions, imports, balls and their edits, rows set aside, remembered shapes."""

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None


def upgrade() -> None:
    op.create_table(
        "player",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("name", sa.String(300), nullable=False),
        sa.Column("name_key", sa.String(300), nullable=False, unique=True),
        sa.Column("made_at", sa.DateTime, nullable=False),
    )
    op.create_table(
        "club",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("player_id", sa.Integer, sa.ForeignKey("player.id"), nullable=False),
        sa.Column("place", sa.Integer, nullable=False),
        sa.Column("label", sa.String(100), nullable=False),
        sa.Column("loft_deg", sa.Float),
        sa.Column("full_carry_m", sa.Float),
        sa.UniqueConstraint("player_id", "label", name="uq_club_player_label"),
    )
    op.create_table(
        "session",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("player_id", sa.Integer, sa.ForeignKey("player.id"), index=True),
        sa.Column("title", sa.String(300), nullable=False),
        sa.Column("unit", sa.String(2), nullable=False),
        sa.Column("ground", sa.String(10), nullable=False),
        sa.Column("held_on", sa.Date),
        sa.Column("where_held", sa.String(300)),
        sa.Column("ball_kind", sa.String(100)),
        *(
            sa.Column(name, sa.Float)
            for name in ("temp_c", "altitude_m", "humidity_pct", "pressure_hpa", "wind_mps", "wind_from_deg")
        ),
        sa.Column("made_at", sa.DateTime, nullable=False),
    )
    op.create_table(
        "import",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("session_id", sa.Integer, sa.ForeignKey("session.id"), nullable=False, index=True),
        sa.Column("family", sa.Integer, nullable=False, index=True),
        sa.Column("name", sa.String(300), nullable=False, index=True),
        sa.Column("sha256", sa.String(64), nullable=False, index=True),
        sa.Column("head", sa.String(64), index=True),
        sa.Column("content", sa.LargeBinary),
        sa.Column("options", sa.Text, nullable=False),
        sa.Column("plan", sa.Text, nullable=False),
        sa.Column("layout", sa.Text, nullable=False),
        sa.Column("made_at", sa.DateTime, nullable=False),
        sa.Column("undone_at", sa.DateTime),
    )
    op.create_table(
        "ball",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("import_id", sa.Integer, sa.ForeignKey("import.id"), nullable=False),
        sa.Column("client_key", sa.String(64), unique=True),
        sa.Column("slot", sa.String(450), nullable=False),
        sa.Column("place", sa.String(400), nullable=False),
        sa.Column("rank", sa.Float, nullable=False),
        sa.Column("body", sa.Text, nullable=False),
        sa.UniqueConstraint("import_id", "slot", name="uq_ball_import_slot"),
    )
    op.create_table(
        "edit",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("ball_id", sa.Integer, sa.ForeignKey("ball.id"), nullable=False),
        sa.Column("body", sa.Text),
        sa.Column("left_out_why", sa.Text),
        sa.Column("made_at", sa.DateTime, nullable=False),
        sa.Column("undone_at", sa.DateTime),
    )
    op.create_index("ix_edit_ball", "edit", ["ball_id", "id"])
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
    for table in ("shape", "aside", "edit", "ball", "import", "session", "club", "player"):
        op.drop_table(table)
