"""Three tables get the names that the code has for what lies in them: rejected rows, history entries, background tasks."""

import sqlalchemy as sa
from alembic import op

revision = "0020"
down_revision = "0019"

RENAMED = {"aside": "rejected_row", "act": "history_entry", "errand": "task"}


def upgrade() -> None:
    for old, new in RENAMED.items():
        _rename(old, new)


def downgrade() -> None:
    for old, new in RENAMED.items():
        _rename(new, old)


def _rename(old: str, new: str) -> None:
    """With what bears the name of the table: its indexes, and on PostgreSQL its counter and key."""
    op.rename_table(old, new)
    for index in sa.inspect(op.get_bind()).get_indexes(new):
        name = str(index["name"])
        op.drop_index(name, new)
        op.create_index(name.replace(f"_{old}_", f"_{new}_"), new, list(index["column_names"]))  # type: ignore[arg-type]
    if op.get_bind().dialect.name == "postgresql":
        op.execute(f"ALTER SEQUENCE {old}_id_seq RENAME TO {new}_id_seq")
        op.execute(f"ALTER INDEX {old}_pkey RENAME TO {new}_pkey")
