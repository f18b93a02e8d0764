"""Films of 2 GB and more: PostgreSQL's Integer ends there. SQLite's does not."""

import sqlalchemy as sa
from alembic import op

revision = "0006"
down_revision = "0005"


def upgrade() -> None:
    _change(sa.Integer(), sa.BigInteger())


def downgrade() -> None:
    _change(sa.BigInteger(), sa.Integer())


def _change(before: sa.Integer, after: sa.Integer) -> None:
    if op.get_bind().dialect.name == "postgresql":
        for column in ("size", "received"):
            op.alter_column("clip", column, existing_type=before, type_=after, existing_nullable=False)
