"""Headings: what a column is, by its words and by what stands under it."""

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from difflib import get_close_matches
from functools import lru_cache
from typing import Final

from threequarter.intake.tables import words
from threequarter.intake.tables.decode import fold
from threequarter.intake.tables.numbers import find_number, missing
from threequarter.intake.tables.sheets import Row
from threequarter.intake.tables.units import LONGEST_HEADING, Quantity, split_heading, unit_of

KEY_ROLES: Final = frozenset(
    "carry distance total target deviation offline ball_speed club_speed launch spin height club swing player shot_label pile average".split()
)
NUMERIC: Final = frozenset(
    "carry distance total target deviation offline ball_speed club_speed launch spin spin_axis height descent number count pile average".split()
)
_BY_WORD: Final[dict[str, tuple[str, ...]]] = {}
for _role, _words in words.ROLES.items():
    for _word in _words:
        _BY_WORD[fold(_word)] = (*_BY_WORD.get(fold(_word), ()), _role)
_LONG: Final = [word for word in _BY_WORD if len(word) >= 5 and word.isascii()]
_PRIORITY: Final = (
    "target",
    "deviation",
    "average",
    "total",
    "club_speed",
    "ball_speed",
    "launch",
    "spin",
    "descent",
    "height",
    "offline",
)
_SEARCH_ROWS: Final = 80
LONGEST_WORD: Final = 40


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """A column: its place from 0, heading as written, role (None: not understood), and unit by its heading."""

    at: int
    heading: str
    role: str | None
    unit: tuple[Quantity, float] | None = None


@lru_cache(maxsize=64)
def _of_length(length: int) -> list[str]:
    """Long words that can be close to one of this length: a ratio of 0.86 leaves no room for others."""
    return [word for word in _LONG if abs(len(word) - length) <= 0.33 * length]


@lru_cache(maxsize=8192)
def roles_of(heading: str) -> tuple[tuple[str, ...], tuple[Quantity, float] | None]:
    """Possible roles of a heading, likeliest first, and its unit."""
    name, unit = split_heading(heading)
    for text in (
        name,
        re.sub(r"\s*[(\[][^)\]]*[)\]]", "", name).strip(),
        name.replace("-", " "),
        name.replace(".", "").strip(),
    ):
        if text in _BY_WORD:
            return _BY_WORD[text], unit
    raw = fold(heading[:LONGEST_HEADING]).strip(" :*")
    if raw in _BY_WORD:
        return _BY_WORD[raw], unit
    tokens = [token for token in re.split(r"[\s,/()\[\]+\-:]+", name) if token]
    if found := _compound(tokens, name):
        return (found,), unit
    if 5 <= len(name) <= LONGEST_WORD and (close := get_close_matches(name, _of_length(len(name)), n=1, cutoff=0.86)):
        return _BY_WORD[close[0]], unit
    return (), unit


def _compound(tokens: Sequence[str], name: str) -> str | None:
    """The role of a heading made of several known words: "planned carry" is a target, "carry, mean" a mean."""
    if len(tokens) < 2 and not any(ord(letter) > 0x2E80 for letter in name):
        return None
    found = {role for token in tokens for role in _BY_WORD.get(token, ())}
    if any(ord(letter) > 0x2E80 for letter in name):
        found |= {
            role
            for word, roles in _BY_WORD.items()
            if len(word) > 1 and ord(word[0]) > 0x2E80 and word in name
            for role in roles
        }
    if "carry" in found or "distance" in found:
        for role in _PRIORITY[:4]:
            if role in found:
                return role
        return "carry" if "carry" in found and not found & {"height", "launch", "time"} else None
    return None


@dataclass(frozen=True, slots=True, kw_only=True)
class Header:
    """Where a table's headings stand: their first and last row (indices into the sheet's rows), and the columns."""

    first: int
    last: int
    columns: tuple[Column, ...]

    def with_role(self, role: str) -> list[Column]:
        """The columns of a role, in order."""
        return [column for column in self.columns if column.role == role]


def find_header(rows: Sequence[Row], line: int | None = None) -> Header | None:
    """The row (or two rows) that names most columns; with `line` the one at that row number."""
    best: Header | None = None
    best_score = 0.0
    for i, row in enumerate(rows[:_SEARCH_ROWS]):
        if line is not None and row.number != line:
            continue
        for last, cells in _candidates(rows, i):
            header = Header(first=i, last=last, columns=_columns(cells, rows, last))
            score = _score(header) - 0.3 * (last - i)
            if score > best_score + 1e-9:
                best, best_score = header, score
    return best if best_score >= (0.5 if line is not None else 2.0) else None


def plain_header(rows: Sequence[Row]) -> Header | None:
    """The likeliest headings of a table whose words are not known: the first wide row of words above rows of as many cells;
    where there is none, the columns go without headings."""
    width = max((len(row.filled) for row in rows[:_SEARCH_ROWS]), default=0)
    if width < 2:
        return None
    for i, row in enumerate(rows[:_SEARCH_ROWS]):
        if len(row.filled) >= 0.6 * width:
            words_only = sum(find_number(cell) is None for cell in row.filled) > 0.6 * len(row.filled)
            if words_only:
                return Header(first=i, last=i, columns=_columns(row.cells, rows, i))
            columns = tuple(Column(at=at, heading="", role=None) for at in range(len(row.cells)))
            return Header(first=i, last=i - 1, columns=columns)
    return None


def _candidates(rows: Sequence[Row], i: int) -> list[tuple[int, list[str]]]:
    cells = list(rows[i].cells)
    found = [(i, cells)]
    if i + 1 < len(rows) and rows[i + 1].number == rows[i].number + 1:
        below = list(rows[i + 1].cells)
        numeric = sum(find_number(cell) is not None for cell in below)
        units = [cell for cell in below if cell and unit_of(cell)]
        if not numeric or len(units) >= 1:
            width = max(len(cells), len(below))
            upper = cells + [""] * (width - len(cells))
            lower = below + [""] * (width - len(below))
            found.append((i + 1, [f"{u} {low}".strip() for u, low in zip(upper, lower, strict=True)]))
            filled, current = [], ""
            for cell in upper:
                current = cell or current
                filled.append(current)
            found.append(
                (i + 1, [f"{u} {low}".strip() if low else u0 for u, low, u0 in zip(filled, lower, upper, strict=True)])
            )
    return found


def _columns(cells: Sequence[str], rows: Sequence[Row], last: int) -> tuple[Column, ...]:
    columns = []
    for at, cell in enumerate(cells):
        roles, unit = roles_of(cell) if cell.strip() else ((), None)
        role = roles[0] if len(roles) == 1 else _by_content(roles, at, rows[last + 1 : last + 40])
        columns.append(Column(at=at, heading=cell, role=role, unit=unit))
    if any(column.role == "pile" for column in columns):  # beside a pile "balls" tells how many
        columns = [replace(c, role="count") if "count" in roles_of(c.heading)[0] else c for c in columns]
    return tuple(columns)


def _by_content(roles: tuple[str, ...], at: int, below: Sequence[Row]) -> str | None:
    """Which of several roles fits what stands under the heading: numbers, or words."""
    if not roles:
        return None
    cells = [row.cells[at] for row in below if at < len(row.cells) and not missing(row.cells[at])]
    numeric = bool(cells) and sum(find_number(cell) is not None for cell in cells) > 0.6 * len(cells)
    fitting = [role for role in roles if (role in NUMERIC) == numeric]
    return fitting[0] if fitting else roles[0]


def _score(header: Header) -> float:
    roles = {column.role for column in header.columns if column.role}
    return len(roles & KEY_ROLES) + 0.4 * len(roles - KEY_ROLES)
