"""Marks that say "as above": each becomes what stands above it, before anything else is asked of a cell."""

import re
from dataclasses import replace
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from threequarter.intake.tables.sheets import Row, Sheet

_MARKS: Final = re.compile(r"""[-–—\s]*(?:["“”„«»〃″״]|'')+[-–—\s]*""")
_WORDS: Final = frozenset(
    "ditto|dito|do.|idem|ídem|id.|same|same as above|as above|s.o.|wie oben|comme ci-dessus|come sopra|igual|jak wyżej|j.w."
    "|то же|тоже|同上|同左上|동상|위와 같음".split("|")
)
"""Common practice in written tables, no source."""
LEAST_CELLS: Final = 2
"""A line with fewer cells is a remark between rows; the marks below go on from the row before it."""


def is_ditto(cell: str) -> bool:
    """Whether a cell says nothing but "as above"."""
    text = cell.strip()
    return bool(text) and (_MARKS.fullmatch(text) is not None or text.casefold() in _WORDS)


def without_dittos(sheet: "Sheet") -> "Sheet":
    """The sheet with each such mark replaced by the cell above it; one with nothing above it stays as it is."""
    if not any(is_ditto(cell) for row in sheet.rows for cell in row.filled):
        return sheet
    rows: list[Row] = []
    above: tuple[str, ...] = ()
    for row in sheet.rows:
        cells = tuple(
            above[at] if at < len(above) and above[at].strip() and is_ditto(cell) else cell
            for at, cell in enumerate(row.cells)
        )
        rows.append(replace(row, cells=cells) if cells != row.cells else row)
        if len(row.filled) >= LEAST_CELLS:
            above = cells
    return replace(sheet, rows=tuple(rows))
