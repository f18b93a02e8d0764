"""What the database can be asked about a ball: columns beside its JSON, always made from it.

A distance stands in `carry_m` or in `rest_m`, by what was measured, never in both: no query can take one for the other.
"""

import json
from typing import Any, Final

from sqlalchemy import Connection, Table, bindparam, select, update
from sqlalchemy.orm import Mapped, mapped_column, validates
from sqlalchemy.types import Float, Integer, String

from threequarter.golf.ball import Strike

BATCH: Final = 5000
LONGEST_NAME: Final = 200
NAMES: Final = ("club", "swing", "carry_m", "rest_m", "day", "good")
MISHITS: Final = frozenset({Strike.FAT, Strike.THIN, Strike.TOE, Strike.HEEL})


class BallColumns:
    """The columns, for each table that holds a ball as JSON in `body`; empty where that row holds none.

    `good` is 1 for a strike noted as good or heavy but usable, 0 for a mishit, empty where nothing was noted.
    """

    club: Mapped[str | None] = mapped_column(String(LONGEST_NAME))
    swing: Mapped[str | None] = mapped_column(String(LONGEST_NAME))
    carry_m: Mapped[float | None] = mapped_column(Float)
    rest_m: Mapped[float | None] = mapped_column(Float)
    day: Mapped[int | None] = mapped_column(Integer)
    good: Mapped[int | None] = mapped_column(Integer)

    @validates("body")
    def _columns(self, _name: str, body: str | None) -> str | None:
        for name, value in columns_of(body).items():
            setattr(self, name, value)
        return body


def columns_of(body: str | None) -> dict[str, Any]:
    """The columns that go with a ball's JSON; all empty where it is none."""
    try:
        told = json.loads(body) if body else None
    except ValueError:
        told = None
    if not isinstance(told, dict) or "distance_m" not in told:
        return dict.fromkeys(NAMES)
    rest = told.get("measured_as") == "rest"
    strike = told.get("strike")
    return {
        "club": told["club"][:LONGEST_NAME],
        "swing": told["swing"][:LONGEST_NAME],
        "carry_m": None if rest else told["distance_m"],
        "rest_m": told["distance_m"] if rest else None,
        "day": told.get("day", 1),
        "good": None if strike is None else int(strike not in MISHITS),
    }


def fill_columns(connection: Connection, table: Table) -> None:
    """Makes the columns of rows that came without them, as from an export of an earlier release."""
    key, body = table.c.id, table.c.body
    set_ = update(table).where(key == bindparam("of")).values({name: bindparam(f"new_{name}") for name in NAMES})
    last = 0
    while True:
        batch = (
            select(key, body).where(key > last, table.c.club.is_(None), body.is_not(None)).order_by(key).limit(BATCH)
        )
        rows = connection.execute(batch).all()
        if not rows:
            return
        last = rows[-1].id
        found = ((row.id, columns_of(row.body)) for row in rows)
        connection.execute(set_, [{"of": of, **{f"new_{n}": v for n, v in told.items()}} for of, told in found])
