"""Tables that stand on their side: a row for each measure, a column for each ball."""

import re
from collections import Counter
from collections.abc import Sequence
from dataclasses import replace
from typing import Final

from threequarter.golf.ball import Place
from threequarter.intake.tables.lines import is_club, labels_in
from threequarter.intake.tables.numbers import find_number
from threequarter.intake.tables.shape import kind_of
from threequarter.intake.tables.sheets import Row, Sheet
from threequarter.intake.tables.vocabulary import words_of

LEAST_ROWS: Final = 3
LEAST_COLUMNS: Final = 4
MOST_ROWS: Final = 60
MOSTLY: Final = 0.6
"""Share of the headings down the left that may not be one another's: carry and side may both be headed "distance"."""
UNLIKE: Final = 12.0
"""Between a topped and a full wedge lie fewer times; between a club's number and a side more."""


def upright(sheet: Sheet) -> Sheet:
    """The sheet with a row for each ball: turned over where its rows, not its columns, are of one kind each."""
    wide = max((len(row.filled) for row in sheet.rows), default=0)
    rows = [row for row in sheet.rows if not _is_line(row, wide)]
    if not LEAST_ROWS <= len(rows) <= MOST_ROWS or not _on_its_side(rows):
        return sheet
    above = [row for row in sheet.rows if _is_line(row, wide)]
    wide = max(len(row.cells) for row in rows)
    turned = tuple(
        Row(at + 1, tuple(row.cells[at] if at < len(row.cells) else "" for row in rows)) for at in range(wide)
    )
    return replace(sheet, rows=(*above, *turned), turned=tuple(row.number for row in rows))


def _is_line(row: Row, wide: int) -> bool:
    """Whether a row is no measure of the balls but a line above them: one cell, or a key with its value among few."""
    short = len(row.filled) <= 3 < LEAST_COLUMNS < wide
    return len(row.filled) < 2 or (short and not labels_in(row.cells, bare=False).empty and ":" in "".join(row.filled))


def place_in(sheet: Sheet, row: int, at: int) -> Place:
    """Where a ball stands in the file: its row and the column of its carry, as the file has them."""
    if sheet.turned and at < len(sheet.turned):
        return Place(sheet=sheet.name, row=sheet.turned[at], col=row)
    return Place(sheet=sheet.name, row=row, col=at + 1)


def _on_its_side(rows: Sequence[Row]) -> bool:
    wide = max(len(row.filled) for row in rows)
    if wide < LEAST_COLUMNS:
        return False
    left = [row.cells[0] for row in rows if row.cells]
    if sum(kind_of(cell) == "x" for cell in left) < 0.8 * len(rows) or len(set(left)) < MOSTLY * len(left):
        return False
    named = sum(_named(cell) for cell in left)
    across = max(sum(_named(cell) for cell in set(row.cells[1:])) for row in rows[:4])
    lying, standing = _purity([row.cells[1:] for row in rows]), _purity(_columns(rows))
    if lying < 0.9 or (standing > 0.9 and not (named >= 0.75 * len(rows) and _far_apart(rows))):
        return False
    if sum(find_number(cell) is not None for cell in left) > 0.4 * len(left):
        return False
    silent = across == 0 and standing < 0.75 and lying > 0.97
    return silent or (named > max(1, across) and named >= 0.5 * len(rows))


def _named(cell: str) -> bool:
    if is_club(cell) or (words_of(cell).best == "number" and any(letter.isdigit() for letter in cell)):
        return False
    return 1 < len(cell) < 60 and max(words_of(cell).roles.values(), default=0.0) >= 2.5


def _columns(rows: Sequence[Row]) -> list[tuple[str, ...]]:
    wide = max(len(row.cells) for row in rows)
    return [tuple(row.cells[at] if at < len(row.cells) else "" for row in rows) for at in range(1, min(wide, 60))]


def _far_apart(rows: Sequence[Row]) -> bool:
    """Whether the numbers of most columns are of different sizes, as a club, a carry and a side are."""
    unlike = [unlike_sizes(column) for column in _columns(rows)]
    return sum(unlike) > 0.8 * len(unlike)


def unlike_sizes(cells: Sequence[str]) -> bool:
    """Whether the numbers in some cells differ so much that they cannot be the same thing measured again."""
    found = (find_number(cell) for cell in cells)
    sizes = [
        abs(float(re.sub(r"[^\d.]", "", one.digits.replace(",", ".")) or 0))
        for one in found
        if one and one.digits.count(".") + one.digits.count(",") < 2
    ]
    return len(sizes) > 1 and max(sizes) > UNLIKE * max(min(sizes), 0.1)


def _purity(groups: Sequence[Sequence[str]]) -> float:
    """The mean share of the commonest kind of cell in each group."""
    shares = []
    for group in groups:
        kinds = Counter(kind for cell in group if (kind := kind_of(cell)) not in ("", "m", "u"))
        if sum(kinds.values()) >= 2:
            shares.append(max(kinds.values()) / sum(kinds.values()))
    return sum(shares) / len(shares) if shares else 0.0
