"""A column as the values show it: its numbers, its words, and the unit written with it."""

import re
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import Final

import numpy as np
from numpy.typing import NDArray

from threequarter.intake.tables.decode import fold
from threequarter.intake.tables.numbers import Mark
from threequarter.intake.tables.shape import kind_of
from threequarter.intake.tables.sheets import Row
from threequarter.intake.tables.units import Quantity
from threequarter.intake.tables.values import measure, twin_numbers
from threequarter.intake.tables.vocabulary import Words

SAMPLE: Final = 400
"""Rows that evidence is taken from; in a run, as what follows what tells too."""


SLIP: Final = 5.0
"""Times the upper quartile from which on a number is a slip of the pen."""
_OTHER_MARKS: Final = ("%", "€", "$", "£", "¥", "₩", "％")
_OTHER_WORDS: Final = frozenset(
    "eur usd gbp price prices cost preis kosten prix precio prezzo pris cena bpm pulse puls pouls pulso kg percent prozent"
    " pourcent porcentaje procent punkte points score par".split()
)
MEASURES: Final = (
    "carry",
    "distance",
    "pile",
    "total",
    "offline",
    "ball_speed",
    "launch",
    "spin",
    "height",
    "club_speed",
)


@dataclass(kw_only=True)
class Column:
    """A column of a block: its place from 0, heading, what the heading says, and its cells in the rows looked at.

    `values` are the numbers as written (NaN where there is none), `unit` the quantity and factor by heading or unit row,
    `unit_m` metres for one of its lengths where a unit is known, `sides` the share of numbers with left or right beside them.
    """

    at: int
    heading: str
    words: Words
    cells: tuple[str, ...]
    values: NDArray[np.float64]
    unit: tuple[Quantity, float] | None
    sides: float
    cell_units: Counter[float] = field(default_factory=Counter)
    twins: int = 0
    """Cells that hold two numbers: 55-58."""
    changes: bool = False
    """Whether its numbers are known to change from ball to ball within one shot, as those of a target do not."""

    @cached_property
    def kinds(self) -> Counter[str]:
        """How many cells look like what."""
        return Counter(kind_of(cell) for cell in self.cells)

    @cached_property
    def filled(self) -> int:
        """Cells that hold something."""
        return sum(n for kind, n in self.kinds.items() if kind not in ("", "m"))

    @cached_property
    def numeric(self) -> bool:
        """Whether most cells are numbers; under a heading that names a measure also a third."""
        least = 0.33 if self.words.best in MEASURES else 0.6
        return self.filled > 0 and self.kinds["n"] + self.twins > least * self.filled

    @cached_property
    def numbers(self) -> NDArray[np.float64]:
        """The numbers without the gaps."""
        return self.values[np.isfinite(self.values)]

    @cached_property
    def labels(self) -> Counter[str]:
        """The different texts, folded, and how often each stands there."""
        return Counter(fold(cell) for cell in self.cells if kind_of(cell) not in ("", "m"))

    @cached_property
    def whole(self) -> bool:
        """Whether all its numbers are whole."""
        return self.numbers.size > 0 and bool(np.all(self.numbers == np.round(self.numbers)))

    @cached_property
    def step(self) -> float:
        """The last decimal that is written: 1, 0.1, 0.01, ..."""
        for digits in range(4):
            if np.allclose(self.numbers, np.round(self.numbers, digits), atol=1e-9):
                return float(10.0**-digits)
        return 1e-3

    @property
    def no_length(self) -> bool:
        """Whether heading or cells say that it is a share, money, a pulse or a weight: no distance, whatever else they say."""
        marked = sum(any(mark in cell for mark in _OTHER_MARKS) for cell in self.cells)
        told = set(re.findall(r"[^\W\d_]+", fold(self.heading)))
        return (
            any(mark in self.heading for mark in _OTHER_MARKS)
            or bool(told & _OTHER_WORDS)
            or marked > 0.5 * max(1, self.filled)
        )

    @property
    def length_m(self) -> float | None:
        """Metres of one of its units where it is known to be a length."""
        return self.unit[1] if self.unit and self.unit[0] == "length" else None

    @cached_property
    def running(self) -> bool:
        """Whether it counts on: 1, 2, 3, also anew for each shot."""
        x = self.numbers
        if x.size < 3 or not self.whole:
            return False
        steps = np.diff(x)
        on = float(np.mean((steps == 1) | ((x[1:] == 1) & (steps < 0))))
        return on > 0.85 or (
            x.size > 8 and float(np.mean(steps > 0)) > 0.95 and float(np.mean((steps >= 1) & (steps <= 3))) > 0.9
        )


def column_of(
    at: int, heading: str, words: Words, rows: Sequence[Row], decimal: Mark, unit_below: tuple[Quantity, float] | None
) -> Column:
    """A column with its values read."""
    cells = tuple(row.cells[at].strip() if at < len(row.cells) else "" for row in rows)
    unit = words.unit or unit_below
    spin = words.best == "spin"
    values = np.full(len(cells), np.nan)
    sided, found, twins = 0, 0, 0
    units: Counter[float] = Counter()
    quantities: Counter[Quantity] = Counter()
    for i, cell in enumerate(cells):
        if kind_of(cell) != "n":
            if words.best in ("carry", "pile", "distance") and (pair := twin_numbers(cell, decimal)):
                twins += 1
                values[i] = sum(pair) / 2
            continue
        one = measure(cell, decimal, spin=spin)
        if one is None:
            continue
        found += 1
        value = one.value if one.side is None else one.side * abs(one.value)
        sided += one.side is not None
        if one.factor is not None:
            units[one.factor] += 1
            quantities[_quantity(cell)] += 1
            value *= one.factor
        values[i] = value
    values = _without_slips(values)
    if units and unit is None:
        mostly = units.most_common(1)[0][0]
        values = values / mostly if len(units) == 1 else values
        unit = (quantities.most_common(1)[0][0], mostly if len(units) == 1 else 1.0)
    elif units and unit is not None:
        values = values / unit[1] if unit[1] else values
    return Column(
        at=at,
        heading=heading,
        words=words,
        cells=cells,
        values=values,
        unit=unit,
        sides=sided / max(1, found),
        cell_units=units,
        twins=twins,
    )


def _without_slips(values: NDArray[np.float64]) -> NDArray[np.float64]:
    """The numbers without those that are far from all others: a missed decimal mark tells nothing of a column."""
    size = np.abs(values[np.isfinite(values)])
    if size.size < 4 or (usual := float(np.percentile(size, 75))) <= 0:
        return values
    return np.where(np.abs(values) > SLIP * usual, np.nan, values)


def _quantity(cell: str) -> Quantity:
    from threequarter.intake.tables.numbers import find_number
    from threequarter.intake.tables.units import unit_of

    written = find_number(cell)
    if written is None:
        return "length"
    for token in f"{written.before} {written.after}".replace("(", " ").replace(")", " ").split():
        if told := unit_of(token):
            return told[0]
    return "length"
