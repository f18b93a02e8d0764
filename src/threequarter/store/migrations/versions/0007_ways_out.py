"""Sessions bear a mark of their own in every data folder; imports of one act are undone together; tokens for scripts."""

import hashlib

import sqlalchemy as sa
from alembic import op

revision = "0007"
down_revision = "0006"


def upgrade() -> None:
    op.add_column("session", sa.Column("key", sa.String(64), nullable=False, server_default=""))
    session = sa.table(
        "session", sa.column("id", sa.Integer), sa.column("key", sa.String), sa.column("made_at", sa.DateTime)
    )
    bind = op.get_bind()
    for number, made_at in bind.execute(sa.select(session.c.id, session.c.made_at)).all():
        key = hashlib.sha256(f"{made_at.isoformat()}|{number}".encode()).hexdigest()[:32]
        bind.execute(session.update().where(session.c.id == number).values(key=key))
    op.create_index("uq_session_key", "session", ["key"], unique=True)
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
    op.drop_index("uq_session_key", "session")
    op.drop_column("session", "key")
