"""The list of the erased: hashes of numbers and times, no names. It outlives the database, so that an old backup forgets too."""

import contextlib
import datetime
import hashlib
import json
import os
from collections.abc import Iterable
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any, Final

from sqlalchemy import insert, select
from sqlalchemy.orm import Session

from threequarter.golf.errors import UserError
from threequarter.golf.message import Message
from threequarter.store.database.schema import Base, ClipRow, ErasedRow, NoteRow, PlayerRow, SessionRow

ERASED: Final = "erased.json"
MARKED: Final[tuple[type[Base], ...]] = (PlayerRow, SessionRow, ClipRow, NoteRow)
"""What bears a mark: rows that have a number and the time they were made, the same in every backup."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Erasure:
    """One erasure: `mark` names it, `marks` are those of the rows that went, `removed` counts them by kind."""

    mark: str
    marks: tuple[str, ...]
    removed: dict[str, int]
    erased_at: str


def mark_of(table: str, number: int, made_at: datetime.datetime) -> str:
    """The mark of a row: it says nothing to whoever does not have the row."""
    return hashlib.sha256(f"{table} {number} {made_at.isoformat()}".encode()).hexdigest()


def erasures(session: Session) -> list[Erasure]:
    """The erasures of a database, oldest first."""
    return [
        Erasure(
            mark=row.mark,
            marks=tuple(json.loads(row.marks)),
            removed=json.loads(row.removed),
            erased_at=row.erased_at.isoformat(),
        )
        for row in session.scalars(select(ErasedRow).order_by(ErasedRow.id))
    ]


def remember(session: Session, told: Iterable[Erasure]) -> None:
    """Adds erasures that the database does not have."""
    known = set(session.scalars(select(ErasedRow.mark)))
    for one in told:
        if one.mark not in known:
            known.add(one.mark)
            session.execute(
                insert(ErasedRow).values(
                    mark=one.mark,
                    marks=json.dumps(one.marks),
                    removed=json.dumps(one.removed),
                    erased_at=datetime.datetime.fromisoformat(one.erased_at),
                )
            )


def write_list(folder: Path, told: Iterable[Erasure], names: Iterable[str] = ()) -> None:
    """Writes the list into a folder, those that stand there already kept. Raises OSError."""
    whole = {one.mark: one for one in (*erased_in(folder), *told)}
    names = sorted(fingerprints_in(folder) | set(names))
    if not whole and not names:
        return
    text = json.dumps({"erased": [asdict(one) for one in whole.values()], "fingerprints": names}, indent=1)
    partial = folder / f".{ERASED}.{os.getpid()}.part"
    with partial.open("w", encoding="utf-8") as file:
        file.write(text)
        file.flush()
        os.fsync(file.fileno())
    partial.replace(folder / ERASED)


def erased_in(folder: Path) -> list[Erasure]:
    """The erasures listed in a folder; empty where there is no list."""
    found = []
    for one in _read(folder).get("erased", []):
        with contextlib.suppress(TypeError, ValueError, AttributeError):
            made = Erasure(
                mark=str(one["mark"]),
                marks=tuple(map(str, one["marks"])),
                removed={str(k): int(v) for k, v in one["removed"].items()},
                erased_at=datetime.datetime.fromisoformat(one["erased_at"]).isoformat(),
            )
            found.append(made)
    return found


def fingerprints_in(folder: Path) -> set[str]:
    """Hashes of names, as lists of earlier versions hold them."""
    return {str(one) for one in _read(folder).get("fingerprints", [])}


def _read(folder: Path) -> dict[str, list[Any]]:
    path = folder / ERASED
    try:
        told = json.loads(path.read_text(encoding="utf-8"))
    except FileNotFoundError:
        return {}
    except (OSError, ValueError, RecursionError) as error:
        # never taken for an empty one: somebody erased would come back
        raise UserError(Message("store.the_list_of_the_erased", file=path)) from error
    return {name: rows for name, rows in told.items() if isinstance(rows, list)} if isinstance(told, dict) else {}
