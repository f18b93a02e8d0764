"""What a phone or a script names is looked up within its session: keys of balls are unique there, not everywhere."""

import sqlalchemy as sa
from alembic import op

revision = "0017"
down_revision = "0016"

NAMES = {"uq": "uq_%(table_name)s_%(column_0_name)s"}
"""The first schema left the rule without a name; a rule of SQLite is found by this one then."""


def upgrade() -> None:
    op.create_table(
        "moved_ball",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("session_id", sa.Integer, sa.ForeignKey("session.id"), nullable=False),
        sa.Column("client_key", sa.String(64), nullable=False),
        sa.Column("ball_id", sa.Integer, sa.ForeignKey("ball.id"), nullable=False, index=True),
        sa.UniqueConstraint("session_id", "client_key", name="uq_moved_ball_session_key"),
    )
    with op.batch_alter_table("ball", naming_convention=NAMES) as ball:
        ball.drop_constraint(_unique_of_ball(), type_="unique")
        ball.create_unique_constraint("uq_ball_import_client_key", ["import_id", "client_key"])
    op.create_index("ix_ball_client_key", "ball", ["client_key"])
    with op.batch_alter_table("edit") as edit:
        edit.drop_constraint("uq_edit_client_key", type_="unique")
        edit.create_unique_constraint("uq_edit_ball_client_key", ["ball_id", "client_key"])
    op.drop_index("uq_session_key", "session")
    op.create_index("uq_session_key", "session", ["coach_id", "key"], unique=True)


def downgrade() -> None:
    """Of rows that bear one key in several sessions the first keeps it; the balls themselves all stay."""
    op.drop_index("uq_session_key", "session")
    _only_first("session", "key", "key || '-' || id")
    op.create_index("uq_session_key", "session", ["key"], unique=True)
    _only_first("edit", "client_key", "NULL")
    with op.batch_alter_table("edit") as edit:
        edit.drop_constraint("uq_edit_ball_client_key", type_="unique")
        edit.create_unique_constraint("uq_edit_client_key", ["client_key"])
    op.drop_index("ix_ball_client_key", "ball")
    _only_first("ball", "client_key", "NULL")
    with op.batch_alter_table("ball", naming_convention=NAMES) as ball:
        ball.drop_constraint("uq_ball_import_client_key", type_="unique")
        ball.create_unique_constraint(_unique_of_ball(), ["client_key"])
    op.drop_table("moved_ball")


def _unique_of_ball() -> str:
    return "ball_client_key_key" if op.get_bind().dialect.name == "postgresql" else "uq_ball_client_key"


def _only_first(table: str, column: str, other: str) -> None:
    key: sa.ColumnClause[str] = sa.column(column)
    number: sa.ColumnClause[int] = sa.column("id")
    rows = sa.table(table, number, key)
    others = rows.alias("others")
    first = sa.select(sa.func.min(others.c.id)).group_by(others.c[column])
    op.execute(sa.update(rows).where(key.is_not(None), rows.c.id.not_in(first)).values({column: sa.text(other)}))
