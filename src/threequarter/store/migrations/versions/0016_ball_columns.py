"""What was measured of a ball as columns of its row and of its changes, so that the database can be asked about them."""

import json
from typing import Any

import sqlalchemy as sa
from alembic import op

revision = "0016"
down_revision = "0015"

BATCH = 5000
COLUMNS: dict[str, sa.types.TypeEngine[Any]] = {
    "club": sa.String(200),
    "swing": sa.String(200),
    "carry_m": sa.Float(),
    "rest_m": sa.Float(),
    "day": sa.Integer(),
    "good": sa.Integer(),
}


def upgrade() -> None:
    for name in ("ball", "edit"):
        for column, kind in COLUMNS.items():
            op.add_column(name, sa.Column(column, kind))
        _fill(name)


def downgrade() -> None:
    for name in ("edit", "ball"):
        with op.batch_alter_table(name) as batch:
            for column in reversed(COLUMNS):
                batch.drop_column(column)


def _fill(name: str) -> None:
    connection = op.get_bind()
    table = sa.table(name, sa.column("id"), sa.column("body"), *(sa.column(column) for column in COLUMNS))
    write = (
        sa.update(table)
        .where(table.c.id == sa.bindparam("of"))
        .values({column: sa.bindparam(f"new_{column}") for column in COLUMNS})
    )
    last = 0
    while rows := connection.execute(
        sa.select(table.c.id, table.c.body).where(table.c.id > last).order_by(table.c.id).limit(BATCH)
    ).all():
        last = rows[-1].id
        told = [(row.id, _told(row.body)) for row in rows]
        if known := [{"of": of, **{f"new_{k}": v for k, v in found.items()}} for of, found in told if found]:
            connection.execute(write, known)


def _told(body: str | None) -> dict[str, Any] | None:
    try:
        ball = json.loads(body) if body else None
    except ValueError:
        return None
    if not isinstance(ball, dict) or "distance_m" not in ball:
        return None
    rest = ball.get("measured_as") == "rest"
    strike = ball.get("strike")
    return {
        "club": ball["club"][:200],
        "swing": ball["swing"][:200],
        "carry_m": None if rest else ball["distance_m"],
        "rest_m": ball["distance_m"] if rest else None,
        "day": ball.get("day", 1),
        "good": None if strike is None else int(strike not in ("fat", "thin", "toe", "heel")),
    }
