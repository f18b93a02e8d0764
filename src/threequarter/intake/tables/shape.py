"""Where the balls stand, by the types of the cells alone: heading rows, blocks beside and below each other.

A heading row does not have the type signature of the rows under it; no word is looked at.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import pairwise
from typing import Final

from threequarter.intake.tables.decode import fold
from threequarter.intake.tables.lines import is_mean_row, labels_in
from threequarter.intake.tables.numbers import find_number, missing, tidy
from threequarter.intake.tables.sheets import Row, Sheet
from threequarter.intake.tables.units import unit_of
from threequarter.intake.tables.values import side_of
from threequarter.intake.tables.vocabulary import Words, words_of

_TIME = re.compile(r"^\d{1,2}[:.h]\d{2}(?::\d{2})?(?:\s*[ap]\.?m\.?)?$", re.IGNORECASE)
_DATE = re.compile(
    r"^(?:date(?:time)?:.*|\d{1,4}[./\-]\d{1,2}[./\-]\d{1,4}\.?|\d{4}年\d{1,2}月\d{1,2}日)(?:[ T]\d{1,2}:\d{2}.*)?$"
)
LOOKED_AT: Final = 400
"""Rows that are looked at to find the shape of a table."""
_ABOVE: Final = 8


@dataclass(frozen=True, slots=True, kw_only=True)
class Block:
    """A table within a sheet: the rows and columns that belong to it (others blanked), the rows that hold its headings
    (indices; `last` < `first` where it has none), and the headings by column."""

    sheet: Sheet
    first: int
    last: int
    headings: tuple[str, ...]
    lower: tuple[str, ...] = ()

    def words(self, at: int) -> Words:
        """What the heading of a column says: of two rows the lower alone where it names a role, else both together."""
        low = words_of(self.lower[at]) if at < len(self.lower) else Words()
        joined = words_of(self.headings[at]) if at < len(self.headings) else Words()
        if low.best is None or max(low.roles.values()) < 3:
            return joined
        return joined if low.best == "player" and joined.best in ("club", "swing") else low

    @property
    def body(self) -> tuple[Row, ...]:
        """The rows below the headings."""
        return self.sheet.rows[self.last + 1 :]


@lru_cache(maxsize=65536)
def kind_of(cell: str) -> str:
    """What a cell looks like: "" blank, m a mark for nothing, n a number (with its unit or side), d a date, t a clock time,
    u a unit alone, x words."""
    text = cell.strip()
    if not text:
        return ""
    if missing(text):
        return "m"
    if _DATE.match(text):
        return "d"
    if ":" in text and _TIME.match(text):
        return "t"
    if unit_of(text):
        return "u"
    written = find_number(text)
    if written is None:
        return "x"
    around = [token for token in re.split(r"[\s()\[\],;:]+", f"{written.before} {written.after}") if token]
    return "n" if all(unit_of(t) or side_of(t) or t in ("%", "-") for t in around) or _measured(text) else "x"


def _measured(text: str) -> bool:
    """A number with its unit and side run together: "12.3mL", "左1.5m"."""
    plain = fold(tidy(text))
    return bool(
        re.fullmatch(
            r"(?:左|右|좌|우)?\s*[-+]?\d[\d.,]*\s*(?:m|yd|yds|ft|cm)?\s*(?:l|r|left|right|links|rechts|左|右|좌|우)?",
            plain,
        )
    )


def numeric_columns(rows: Sequence[Row]) -> set[int]:
    """Columns most of whose cells are numbers in rows that look like balls."""
    counts: dict[int, list[int]] = {}
    for row in rows[:LOOKED_AT]:
        if len(row.filled) < 2:
            continue
        kinds = [kind_of(cell) for cell in row.cells]
        if "n" not in kinds:
            continue
        for at, kind in enumerate(kinds):
            if kind and kind != "m":
                seen = counts.setdefault(at, [0, 0])
                seen[0] += kind == "n"
                seen[1] += 1
    return {at for at, (numbers, filled) in counts.items() if numbers >= 0.5 * filled and numbers >= 1}


def blocks_of(sheet: Sheet, line: int | None = None) -> list[Block]:
    """The tables of a sheet, from top to bottom and left to right; `line` is the row that a person named for the headings."""
    found: list[Block] = []
    for part in _parts_below(sheet, line):
        block = _block(part, line)
        if block is not None:
            found += _beside(block)
    return found


def _parts_below(sheet: Sheet, line: int | None) -> list[Sheet]:
    """The sheet cut where other headings begin: rows of words in columns that hold numbers above."""
    if line is not None:
        return [sheet]
    cuts, numeric, begun = [0], set[int](), 0
    recent: list[Row] = []
    for i, row in enumerate(sheet.rows):
        kinds = [kind_of(cell) for cell in row.cells]
        if len(row.filled) >= 2 and "n" in kinds:
            recent = [*recent[-30:], row]
            if len(recent) in (1, 3, 8, 20):
                numeric = numeric_columns(recent)
            begun += len(row.filled) > 2
        elif begun >= 2 and len(row.filled) >= 2:
            inside = [kinds[at] for at in numeric if at < len(kinds) and kinds[at]]
            texts = sum(kind in ("x",) for kind in inside)
            told = {fold(cell) for cell in row.filled}
            heads = texts >= max(1, 0.7 * len(inside)) and len(row.filled) >= 3 and not is_mean_row(row.cells)
            heads = heads and not _labelled_alike(row, kinds, numeric, recent)
            if heads and not _again(sheet.rows[:i], told) and (texts >= 2 or _heads_next(sheet.rows, i)):
                cuts.append(_title_above(sheet.rows, i, cuts[-1]))
                recent, begun = [], 0
    cuts.append(len(sheet.rows))
    return [replace(sheet, rows=sheet.rows[a:b]) for a, b in pairwise(cuts) if b > a]


def _labelled_alike(row: Row, kinds: Sequence[str], numeric: set[int], recent: Sequence[Row]) -> bool:
    """Whether a row has the labels of a ball above it: a ball whose carry is a word ("lost"), not new headings."""
    labels = [at for at, kind in enumerate(kinds) if kind == "x" and at not in numeric]
    told = [fold(row.cells[at]) for at in labels]
    return bool(labels) and any(
        told == [fold(one.cells[at]) if at < len(one.cells) else "" for at in labels] for one in recent
    )


def _again(above: Sequence[Row], told: set[str]) -> bool:
    """Whether the same row of words stands above: headings once more on a new page."""
    return any({fold(cell) for cell in row.filled} == told for row in above if len(row.filled) >= 2 and row.cells)


def _heads_next(rows: Sequence[Row], i: int) -> bool:
    below = next((row for row in rows[i + 1 : i + 4] if len(row.filled) >= 2), None)
    if below is None:
        return False
    kinds = [kind_of(cell) for cell in below.cells]
    return sum(kind == "n" for kind in kinds) >= 2 and all(kind_of(cell) in ("x", "") for cell in rows[i].cells)


def _title_above(rows: Sequence[Row], i: int, least: int) -> int:
    """The first of the single lines right above new headings: they tell its club or player."""
    while i - 1 > least and len(rows[i - 1].filled) == 1 and find_number(rows[i - 1].filled[0]) is None:
        i -= 1
    return i


def _block(sheet: Sheet, line: int | None) -> Block | None:
    rows = sheet.rows
    if line is not None:
        at = next((i for i, row in enumerate(rows) if row.number == line), None)
        if at is not None:
            return Block(sheet=sheet, first=at, last=at, headings=tuple(cell.strip() for cell in rows[at].cells))
    start = first_ball(rows)
    if start is None:
        return None
    return _headed(sheet, start)


def first_ball(rows: Sequence[Row]) -> int | None:
    """The first row that has the type signature of most rows with numbers."""
    numeric = numeric_columns(rows)
    widths = sorted(
        len(row.filled)
        for row in rows[:LOOKED_AT]
        if len(row.filled) >= 2 and any(kind_of(c) == "n" for c in row.cells)
    )
    if not widths or not numeric:
        return None
    usual = widths[len(widths) // 2]
    for i, row in enumerate(rows):
        if len(row.filled) < max(2, 0.5 * usual) or is_mean_row(row.cells):
            continue
        kinds = [row.cells[at] for at in numeric if at < len(row.cells)]
        told = [kind_of(cell) for cell in kinds if cell.strip()]
        numbers = sum(kind == "n" for kind in told)
        if numbers and numbers + told.count("m") >= 0.7 * len(told):
            return i
    return None


def _headed(sheet: Sheet, start: int) -> Block:
    """The block that begins with a ball row, with the headings above it where there are some."""
    rows = sheet.rows
    width = len(rows[start].filled)
    numeric = numeric_columns(rows[start:])
    last = None
    for i in range(start - 1, max(-1, start - 1 - _ABOVE), -1):
        kinds = [kind_of(cell) for cell in rows[i].cells]
        filled = [kind for kind in kinds if kind]
        if len(filled) < 2 or len(filled) < 0.4 * width or all(kind in ("u", "m") for kind in filled):
            continue
        inside = [kinds[at] for at in numeric if at < len(kinds) and kinds[at]]
        if filled.count("n") <= 0.34 * len(filled) and inside.count("n") <= 0.5 * len(inside):
            last = i
        break
    if last is None:
        wide = max(len(row.cells) for row in rows[start : start + LOOKED_AT])
        return Block(sheet=sheet, first=start, last=start - 1, headings=("",) * wide)
    lower = [cell.strip() for cell in rows[last].cells]
    upper = None if _is_prose(sheet, last) else _upper(rows, last, lower)
    if upper is None:
        return Block(sheet=sheet, first=last, last=last, headings=tuple(lower))
    return Block(sheet=sheet, first=last - 1, last=last, headings=upper, lower=tuple(lower))


def _is_prose(sheet: Sheet, last: int) -> bool:
    """Whether the line above the headings is words with commas, or a key and its value: it begins at the left, has no gap and
    breaks off, where group headings have gaps or are as wide as the table."""
    if last == 0:
        return False
    row, heads = sheet.rows[last - 1], sheet.rows[last]
    together = all(cell.strip() for cell in row.cells[: len(row.filled)])
    ragged = sheet.delimiter is not None and len(row.cells) == len(row.filled)
    return together and len(row.filled) < len(heads.filled) and (ragged or len(row.filled) == 2 < len(heads.filled) - 2)


def _upper(rows: Sequence[Row], last: int, lower: list[str]) -> tuple[str, ...] | None:
    """The headings where a second row of them stands above: each upper one holds for the columns to its right."""
    if last == 0 or rows[last - 1].number != rows[last].number - 1:
        return None
    above = [cell.strip() for cell in rows[last - 1].cells]
    filled = [cell for cell in above if cell]
    if (
        len(filled) < 2
        or any(kind_of(cell) not in ("x",) for cell in filled)
        or len(filled) > len([c for c in lower if c]) + 1
    ):
        return None
    if not labels_in(above, bare=False).empty or any(mark in cell for cell in filled for mark in (":", "：", "=")):
        return None
    if all(kind_of(cell) in ("u", "m", "") for cell in lower):
        return None
    width = max(len(above), len(lower))
    current, joined = "", []
    for at in range(width):
        top = above[at] if at < len(above) else ""
        low = lower[at] if at < len(lower) else ""
        current = top or current
        joined.append(f"{current} {low}".strip() if low else top)
    return tuple(joined)


def _beside(block: Block) -> list[Block]:
    """The block cut into those that stand beside each other: the same headings again to the right."""
    if block.lower:  # titles stood above: each holds for its own block
        plain = replace(block, first=block.last, headings=block.lower, lower=())
        apart = _beside(plain)
        return apart if len(apart) > 1 else [block]
    named = [(at, fold(heading)) for at, heading in enumerate(block.headings) if heading]
    for times in range(2, 9):
        size, left = divmod(len(named), times)
        if left or size < 2:
            continue
        first = [heading for _, heading in named[:size]]
        if len(set(first)) == size and all(
            [h for _, h in named[k * size : (k + 1) * size]] == first for k in range(times)
        ):
            starts = [0, *(named[k * size][0] for k in range(1, times)), 10**6]
            return [_only(block, a, b) for a, b in pairwise(starts)]
    return [block]


def _only(block: Block, left: int, right: int) -> Block:
    def cut(cells: Sequence[str]) -> tuple[str, ...]:
        return tuple(cell if left <= at < right else "" for at, cell in enumerate(cells))

    rows = tuple(  # a line above stands for all blocks
        row if i < block.first and _of_all(row) else Row(row.number, cut(row.cells))
        for i, row in enumerate(block.sheet.rows)
    )
    return replace(block, sheet=replace(block.sheet, rows=rows), headings=cut(block.headings), lower=cut(block.lower))


def _of_all(row: Row) -> bool:
    """Whether a row is a line of words, or a key with its value beside it, and no row of cells."""
    if len(row.filled) == 1:
        return True
    keyed = [cell for cell in row.filled if not labels_in([cell], bare=False).empty]
    if len(keyed) == 1 and all(kind_of(cell) == "d" for cell in row.filled if cell not in keyed):
        return True  # "Player: A" with the date further right
    beside = len(row.filled) == 2 and all(cell.strip() for cell in row.cells[:2])
    return beside and not labels_in(row.cells, bare=False).empty
