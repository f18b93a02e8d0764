"""Sessions bear a mark of their own in every data folder; imports of one act are undone together; tokens for scripts."""

import hashlib

import sqlalchemy as sa
from alembic import op

revision = "0005"
down_revision = "0004"


def upgrade() -> None:
    op.add_column("session", sa.Column("key", sa.String(64)))
    session = sa.table("session", sa.column("id", sa.Integer), sa.column("key", sa.String), sa.column("made_at", sa.DateTime))
    bind = op.get_bind()
    for number, made_at in bind.execute(sa.select(session.c.id, session.c.made_at)).all():
        key = hashlib.sha256(f"{made_at.isoformat()}|{number}".encode()).hexdigest()[:32]
        bind.execute(session.update().where(session.c.id == number).values(key=key))
    with op.batch_alter_table("session") as batch:
        batch.alter_column("key", existing_type=sa.String(64), nullable=False)
        batch.create_unique_constraint("uq_session_key", ["key"])
    op.add_column("import", sa.Column("batch", sa.String(32)))
    op.create_index("ix_import_batch", "import", ["batch"])
    op.create_table(
        "token",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("name", sa.String(100), nullable=False),
        sa.Column("fingerprint", sa.String(64), nullable=False, unique=True),
        sa.Column("rights", sa.String(10), nullable=False),
        sa.Column("made_at", sa.DateTime, nullable=False),
        sa.Column("used_at", sa.DateTime),
    )


def downgrade() -> None:
    op.drop_table("token")
    op.drop_index("ix_import_batch", "import")
    op.drop_column("import", "batch")
    with op.batch_alter_table("session") as batch:
        batch.drop_constraint("uq_session_key", type_="unique")
        batch.drop_column("key")
