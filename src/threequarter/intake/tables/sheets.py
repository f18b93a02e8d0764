"""A file as sheets of text cells, each cell at its own row and column."""

import csv
import datetime
import re
from collections import Counter
from dataclasses import dataclass, field
from functools import lru_cache
from pathlib import Path
from typing import Any, Final

from threequarter.golf.errors import UserError
from threequarter.golf.message import Message
from threequarter.intake.sandbox import lines_of
from threequarter.intake.tables import words
from threequarter.intake.tables.decode import decode, fold
from threequarter.intake.tables.dittos import without_dittos

MAX_CELL: Final = 5000
MAX_COLUMNS: Final = 2_000
LOOKED_AT: Final = 20_000
"""Letters of a line that tell what parts its cells."""
DELIMITERS: Final = (";", "\t", "|", ",", "~", "spaces")


@dataclass(frozen=True, slots=True)
class Row:
    """One physical row: its number from 1 and its cells as text."""

    number: int
    cells: tuple[str, ...]
    filled: tuple[str, ...] = field(init=False, repr=False, compare=False)
    """The cells that are not blank."""

    def __post_init__(self) -> None:
        object.__setattr__(self, "filled", tuple(cell for cell in self.cells if cell.strip()))


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """A sheet of a workbook (name) or a text file (name None). `merged` holds (row, col, height, width), from 1.
    A sheet that was turned over, rows for columns, keeps the numbers of its rows in `turned`."""

    name: str | None
    rows: tuple[Row, ...]
    delimiter: str | None = None
    encoding: str | None = None
    merged: tuple[tuple[int, int, int, int], ...] = field(default=())
    turned: tuple[int, ...] = field(default=())


def is_workbook(content: bytes, name: str) -> bool:
    """Whether a file is a spreadsheet or a Parquet table: by its first bytes, else by its ending."""
    if content[:4] in (b"PK\x03\x04", b"PAR1") or content[:8] == b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1":
        return True
    page = content[:400].lstrip(b"\xef\xbb\xbf \t\r\n").startswith(b"<")  # a web page that was saved as a spreadsheet
    return not page and Path(name).suffix.casefold() in (".xlsx", ".xls", ".ods", ".xlsm", ".xlsb")


def sheets_of(content: bytes, name: str, *, encoding: str | None = None, delimiter: str | None = None) -> list[Sheet]:
    """All sheets of a file, marks for "as above" filled in. Raises UserError where it is no table."""
    return [without_dittos(sheet) for sheet in _sheets_of(content, name, encoding, delimiter)]


def _sheets_of(content: bytes, name: str, encoding: str | None, delimiter: str | None) -> list[Sheet]:
    if is_workbook(content, name):
        return _workbook(content)
    text, used = decode(content, encoding)
    from threequarter.intake.tables.forms import sheets_of_form

    if delimiter is None and (found := sheets_of_form(text)):
        return found
    return [_text_sheet(text, used, delimiter)]


MOST_JOINED: Final = 4
"""Lines that a cell in quotes may go on for."""
_OPEN_QUOTE: Final = re.compile(r'(?:^|[;,\t|])\s*"[^"]*$')
_SHUT_QUOTE: Final = re.compile(r'^[^"]*"\s*(?:$|[;,\t|])')


def _lines(text: str) -> list[str]:
    """Physical lines; a line ends at LF, CR LF or a lone CR, whichever the file uses. A cell in quotes that goes on in the next
    lines is joined to its first, and the lines it took are blank, so that each keeps its number."""
    lines = [line.rstrip("\r") for line in text.split("\n")] if "\n" in text else text.split("\r")
    i = 0
    while i < len(lines):
        if _OPEN_QUOTE.search(lines[i]) and lines[i].count('"') % 2:
            end = next((k for k in range(i + 1, min(i + 1 + MOST_JOINED, len(lines))) if lines[k].count('"') % 2), None)
            if end is not None and _SHUT_QUOTE.search(lines[end]):
                lines[i] = " ".join(lines[i : end + 1])
                lines[i + 1 : end + 1] = [""] * (end - i)
                i = end
        i += 1
    return lines


def _text_sheet(text: str, encoding: str, delimiter: str | None) -> Sheet:
    lines = _lines(text)
    numbered = [(i, line) for i, line in enumerate(lines, start=1) if line.strip()]
    chosen = delimiter or _delimiter([line[:LOOKED_AT] for _, line in numbered[:400]])
    split = _by_spaces([line for _, line in numbered]) if chosen == "spaces" else None
    framed = _framed([line for _, line in numbered])
    rows = []
    for position, (number, line) in enumerate(numbered):
        cells = split[position] if split else _split(line, chosen)
        if chosen == "|":
            if re.fullmatch(r"[\s|:+\-=]+", line):
                continue
            if framed and line.strip().startswith("|"):
                cells = cells[1:-1] if line.rstrip().endswith("|") else cells[1:]
        if len(cells) > MAX_COLUMNS:
            raise UserError(Message("intake.line_has_more_than_columns", line=number, most=MAX_COLUMNS))
        rows.append(Row(number, tuple(cell.strip()[:MAX_CELL] for cell in cells)))
    return Sheet(name=None, rows=tuple(rows), delimiter=chosen, encoding=encoding)


def _framed(lines: list[str]) -> bool:
    """Whether bars frame the rows, as in Markdown: then each row begins with one, not only those whose first cell is blank."""
    barred = [line.lstrip() for line in lines if line.count("|") > 1]
    return sum(line.startswith("|") for line in barred) > 0.95 * len(barred) if barred else False


def _split(line: str, delimiter: str) -> list[str]:
    csv.field_size_limit(10_000_000)
    try:
        return next(csv.reader([line], delimiter=delimiter, skipinitialspace=True), [])
    except csv.Error:
        return line.split(delimiter)


_GAPS: Final = re.compile(r"[^\s,;|] {2,}(?=[^\s,;|])")
"""Two blanks and more between two cells; behind a comma they only line up what it parts."""


def _delimiter(lines: list[str]) -> str:
    """The separator under which most lines fall into the same number of cells, and most headings are known words."""
    best, best_score = ",", -1.0
    for delimiter in DELIMITERS:
        split = _by_spaces(lines) if delimiter == "spaces" else [_split(line, delimiter) for line in lines]
        widths = Counter(len(cells) for cells in split if len(cells) > 1)
        if not widths:
            continue
        width, often = widths.most_common(1)[0]
        heading = max(sum(_known(cell) for cell in cells) for cells in split[:60])
        score = heading * 2 + 3 * often / len(lines) + 0.1 * min(width, 12)
        if delimiter == "spaces":
            score -= 1.5
        elif any(sum(other in line for line in lines) > 0.5 * len(lines) for other in ";\t|" if other != delimiter):
            score -= 3  # another mark stands within the cells
        elif sum(len(_GAPS.findall(line)) > 1 for line in lines) > 0.5 * len(lines):
            score -= 3  # blanks part the columns
        if score > best_score:
            best, best_score = delimiter, score
    return best


def _known(cell: str) -> bool:
    """Whether a heading says what its column is."""
    from threequarter.intake.tables.vocabulary import words_of

    return 2 < len(cell) < 60 and not cell[0].isdigit() and max(words_of(cell).roles.values(), default=0.0) >= 3


def _by_spaces(lines: list[str]) -> list[list[str]]:
    """Cells of fixed-width lines: tokens parted by two blanks or more, put under the heading they overlap or are
    nearest to."""
    tokens = [[(m.start(), m.end(), m[0]) for m in re.finditer(r"\S+(?: \S+)*", line)] for line in lines]
    if not tokens:
        return []
    head = max(
        range(min(len(lines), 60)),
        key=lambda i: (sum(_known(t[2]) for t in tokens[i]), len(tokens[i])),
    )
    spans = [(start, end) for start, end, _ in tokens[head]]
    if len(spans) < 2:
        return [[token for _, _, token in row] for row in tokens]
    table = []
    for position, row in enumerate(tokens):
        if position < head or len(row) == 1:
            table.append([token for _, _, token in row])
            continue
        if len(row) == len(spans):
            table.append([token for _, _, token in row])
            continue
        cells = [""] * len(spans)
        for start, end, token in row:
            at = min(range(len(spans)), key=lambda i: _apart(spans[i], (start, end)))
            cells[at] = f"{cells[at]} {token}".strip()
        table.append(cells)
    return table


def _apart(span: tuple[int, int], token: tuple[int, int]) -> float:
    overlap = min(span[1], token[1]) - max(span[0], token[0])
    return -overlap if overlap > 0 else min(abs(span[0] - token[0]), abs(span[1] - token[1]))


def _workbook(content: bytes) -> list[Sheet]:
    """The sheets of a workbook or a Parquet table. Raises UserError for one that cannot be read."""
    sheets, error = _read_apart(content)
    if error is not None:
        raise UserError(error)
    return sheets


@lru_cache(maxsize=2)  # a file is looked at, corrected and kept: read apart once
def _read_apart(content: bytes) -> tuple[list[Sheet], Message | None]:
    try:
        return _sheets_apart(content), None
    except UserError as error:
        return [], error.args[0]


def _sheets_apart(content: bytes) -> list[Sheet]:
    sheets: list[Sheet] = []
    name = ""
    rows: list[Row] = []
    merged: tuple[tuple[int, int, int, int], ...] = ()

    def done() -> None:
        width = max((len(row.cells) for row in rows), default=0)
        full = tuple(Row(row.number, row.cells + ("",) * (width - len(row.cells))) for row in rows)
        sheets.append(Sheet(name=name or None, rows=full, merged=merged))

    begun = False
    for told in lines_of(content):
        if "sheet" in told:
            if begun:
                done()
            begun, name, rows, merged = True, told["sheet"], [], ()
        elif "row" in told:
            rows.append(Row(told["row"], tuple(_cell(cell) for cell in told["cells"])))
        else:
            merged = tuple(tuple(area) for area in told["merged"])
    if begun:
        done()
    return sheets


def _cell(cell: Any) -> str:
    """A spreadsheet's cell as the text a person sees. A clock time is 9:00; a date that was a fraction is 3/4."""
    if cell is None:
        return ""
    if isinstance(cell, list):
        kind, value = cell
        if kind == "time":
            at = datetime.time.fromisoformat(value)
            return f"{at.hour}:{at.minute:02d}"
        if kind == "struck":
            text = _cell(value)
            return f"~~{text}~~" if any(letter.isdigit() for letter in text) else text
        return f"{kind}:{value}"
    if isinstance(cell, bool):
        return "1" if cell else "0"
    if isinstance(cell, float):
        return f"{cell:.10g}" if abs(cell) < 1e12 else str(cell)
    return str(cell)[:MAX_CELL].replace("\0", "")


def of_sheet(sheet: Sheet, told: Message) -> Message:
    """A line about a sheet, with its name where it has one."""
    return Message("intake.of_sheet", name=sheet.name, told=told) if sheet.name else told


def sheet_is_default(name: str) -> bool:
    """Whether a sheet's name is what programs give by default, and so tells nothing."""
    plain = re.sub(r"[\s\d()_\-]+", "", fold(name))
    return plain in words.DEFAULT_SHEETS
