"""What a coach confirmed of tables, for the next one: how one file and one shape of table are read, and what headings mean.

Each coach has their own. Of a shape the answers are kept and how far its shots went, so that the same layout in
another unit is caught; of a heading its role. Whose balls they were is not kept, nor which rows were no balls.
"""

import hashlib
import json
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from statistics import median
from typing import Any, Final

from sqlalchemy import select
from sqlalchemy.orm import Session

from threequarter.golf.units import YARD_M
from threequarter.intake.options import ReadOptions
from threequarter.intake.reading import Reading
from threequarter.intake.tables.decode import fold
from threequarter.store.accounts.current_user import current_coach_id
from threequarter.store.database.schema import ShapeRow
from threequarter.store.imports.save_import import now_utc
from threequarter.store.store import Store

HEADINGS: Final = "headings of "
SAME_UNIT: Final = -0.5 * math.log(YARD_M)
"""How far (log) the shots of two files may be apart, at the middle of them, to be taken for written in one unit: half way to the next."""
MOST_HEADINGS: Final = 500
_OF_ONE_FILE: Final[dict[str, Any]] = {
    "player": None,
    "club": None,
    "swing": None,
    "each": None,
    "remarks": None,
    "no_balls": (),
    "as_read": (),
}
"""Answers that hold for the balls of one file only."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Heading:
    """A heading that a coach explained: as written, and its role."""

    written: str
    role: str


def how_far(reading: Reading) -> dict[str, float]:
    """The middle carry in metres of each club and swing of a reading."""
    shots: dict[str, list[float]] = {}
    for ball in reading.balls:
        if ball.use:
            shots.setdefault(f"{fold(ball.club)}|{fold(ball.swing)}", []).append(ball.distance_m)
    return {shot: round(median(far), 1) for shot, far in shots.items()}


def same_unit(one: Mapping[str, float], two: Mapping[str, float]) -> bool:
    """Whether the shots that both have went about as far in both; False where they have none in common."""
    apart = [math.log(one[shot] / two[shot]) for shot in one.keys() & two.keys() if one[shot] > 0 < two[shot]]
    return bool(apart) and abs(median(apart)) < SAME_UNIT


class Confirmed:
    """What the coach who acts has confirmed."""

    def __init__(self, store: Store) -> None:
        self._store = store
        self._room = current_coach_id()

    def remember_file(self, content: bytes, options: ReadOptions) -> None:
        """Keeps how this very file is read."""
        self._keep(self._key(hashlib.sha256(content).hexdigest()), {"options": replace(options, player=None).to_json()})

    def of_file(self, content: bytes) -> ReadOptions | None:
        """How this very file was read, or None."""
        told = self._kept(self._key(hashlib.sha256(content).hexdigest()))
        return ReadOptions.from_json(told["options"]) if told else None

    def remember_shape(self, shape: str, options: ReadOptions, far: Mapping[str, float]) -> None:
        """Keeps what was answered about a table of this shape; what its columns are is kept by their headings."""
        plain = replace(options, columns={}, learned={}, **_OF_ONE_FILE)
        self._keep(self._key(shape), {"options": plain.to_json(), "far": dict(far)})

    def of_shape(self, shape: str) -> tuple[ReadOptions, dict[str, float]] | None:
        """What was answered about a table of this shape, and how far its shots went; or None."""
        told = self._kept(self._key(shape))
        return (ReadOptions.from_json(told["options"]), told.get("far", {})) if told else None

    def learn(self, roles: Mapping[str, str | None]) -> None:
        """Keeps what headings mean (None: forget it)."""
        with self._store.writing() as session:
            known = _headings(session.get(ShapeRow, HEADINGS + str(self._room)))
            for written, role in roles.items():
                known.pop(fold(written), None)
                if role is not None:
                    known[fold(written)] = (" ".join(written.split())[:200], role)
            _put(session, HEADINGS + str(self._room), {"headings": dict(list(known.items())[-MOST_HEADINGS:])})

    def headings(self) -> list[Heading]:
        """The headings that were explained, the newest first."""
        with self._store.reading() as session:
            known = _headings(session.get(ShapeRow, HEADINGS + str(self._room)))
        return [Heading(written=written, role=role) for written, role in reversed(known.values())]

    def learned(self, headings: Sequence[str]) -> dict[str, str]:
        """What these headings mean, of those that were explained: folded heading -> role."""
        told = {fold(one) for one in headings}
        return {key: one.role for one in self.headings() if (key := fold(one.written)) in told}

    def _key(self, of: str) -> str:
        return hashlib.sha256(f"{self._room}:{of}".encode()).hexdigest()

    def _keep(self, key: str, told: dict[str, Any]) -> None:
        with self._store.writing() as session:
            _put(session, key, told)

    def _kept(self, key: str) -> dict[str, Any] | None:
        with self._store.reading() as session:
            row = session.get(ShapeRow, key)
            return json.loads(row.options) if row else None


def forget_mentions(session: Session, names: Sequence[str]) -> int:
    """Forgets of all coaches the headings that hold an erased player's name, and how far any shot of any table went."""
    forgotten = 0
    folded = [fold(name) for name in names if name.strip()]
    for row in session.scalars(select(ShapeRow)):
        told = json.loads(row.options)
        known = told.get("headings", {})
        kept = {key: one for key, one in known.items() if not any(name in key for name in folded)}
        if told.pop("far", None) or len(kept) < len(known):
            forgotten += len(known) - len(kept)
            row.options = json.dumps(told | ({"headings": kept} if known else {}), ensure_ascii=False)
    return forgotten


def _headings(row: ShapeRow | None) -> dict[str, tuple[str, str]]:
    told = json.loads(row.options)["headings"] if row else {}
    return {key: (one[0], one[1]) for key, one in told.items()}


def _put(session: Session, key: str, told: dict[str, Any]) -> None:
    text, row = json.dumps(told, ensure_ascii=False), session.get(ShapeRow, key)
    if row is None:
        session.add(ShapeRow(key=key, options=text, used_at=now_utc()))
    else:
        row.options, row.used_at = text, now_utc()
