"""Reads a workbook or a Parquet table from standard input and prints its cells as JSON; run as a process of its own with limits.

`python -m threequarter.intake.tables.spreadsheet MEGABYTES SECONDS`. A line a sheet or row: {"sheet": name}, {"row": number, "cells": [...]},
{"merged": [...]}. Exit 3: the message for the user on standard error, as {"code": ..., "values": {...}}.
"""

import datetime
import io
import json
import math
import os
import re
import sys
import zipfile
import zlib
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any, Final, NoReturn

from threequarter.fence import fence
from threequarter.golf.message import Message, to_json
from threequarter.intake.tables.struck import struck_cells

MAX_COLUMNS: Final = 2_000
MAX_CELLS: Final = 3_000_000
"""Filled cells of a table of someone else; a table of our own may hold more, as its rows are taken one by one."""
MAX_OWN_CELLS: Final = 60_000_000
MAX_TEXT: Final = 40_000_000
"""Letters in all cells together."""
MAX_CELL: Final = 10_000
MAX_UNPACKED_MB: Final = 600
MAX_RATIO: Final = 400
MAX_EXTENT: Final = 4_000_000
"""Rows times columns of a sheet that may be all but empty."""
_CELL: Final = re.compile(rb'<c\b[^>]{0,30}?\br="([A-Z]{1,3})(\d{1,7})"')


def refuse(code: str, **values: object) -> NoReturn:
    """Ends with a message for the user, which the parent passes on."""
    sys.stderr.write(json.dumps(to_json(Message(code, **values))))
    sys.exit(3)


def check_archive(content: bytes) -> None:
    """Refuses an archive that unpacks to far more than it holds."""
    if content[:4] != b"PK\x03\x04":
        return
    try:
        entries = zipfile.ZipFile(io.BytesIO(content)).infolist()
    except (zipfile.BadZipFile, NotImplementedError, ValueError, OSError):
        refuse("intake.this_is_no_spreadsheet_whatever")
    size = sum(entry.file_size for entry in entries)
    if size > MAX_UNPACKED_MB * 2**20 or (size > 30 * 2**20 and size > MAX_RATIO * max(1, len(content))):
        refuse(
            "intake.the_spreadsheet_unpacks_to_mb",
            size=size // 2**20,
        )
    with zipfile.ZipFile(io.BytesIO(content)) as pack:
        for entry in entries:
            if re.fullmatch(r"xl/worksheets/[^/]+\.xml", entry.filename, re.IGNORECASE):
                check_extent(pack, entry)


def check_extent(pack: zipfile.ZipFile, entry: zipfile.ZipInfo) -> None:
    """Refuses a sheet that is all but empty and yet enormous: the reader lays out every cell up to the farthest corner."""
    rows = columns = cells = 0
    try:
        with pack.open(entry) as part:
            rest = b""
            while piece := part.read(2**20):
                text = rest + piece
                for match in _CELL.finditer(text):
                    cells += 1
                    rows = max(rows, int(match[2]))
                    columns = max(columns, _column(match[1]))
                rest = text[-40:] if b"<c" in text[-40:] else b""
    except (zipfile.BadZipFile, zlib.error, NotImplementedError, RuntimeError, ValueError, OSError, EOFError):
        refuse("intake.this_is_no_spreadsheet_whatever")
    if rows * columns > MAX_EXTENT and rows * columns > 20 * cells:
        refuse(
            "intake.the_spreadsheet_reaches_to_row",
            row=rows,
            column=columns,
        )


def _column(letters: bytes) -> int:
    number = 0
    for letter in letters:
        number = number * 26 + letter - 64
    return number


@dataclass(frozen=True)
class Struck:
    """A cell that is crossed out."""

    value: Any


def plain(cell: Any) -> Any:
    """A cell as JSON: numbers, text, or [kind, value] for times, dates and what is crossed out."""
    if isinstance(cell, Struck):
        value = plain(cell.value)
        return None if value is None else ["struck", value]
    if cell is None or isinstance(cell, bool | int):
        return cell
    if isinstance(cell, float):
        return cell if math.isfinite(cell) else None
    if isinstance(cell, datetime.datetime | datetime.date):
        return ["date", cell.isoformat()]
    if isinstance(cell, datetime.time):
        return ["time", cell.isoformat()]
    if isinstance(cell, datetime.timedelta):
        minutes = round(cell.total_seconds() / 60)
        return ["time", f"{minutes // 60 % 24:02d}:{minutes % 60:02d}:00"]
    text = cell if isinstance(cell, str) else str(cell)
    return text[:MAX_CELL].encode("utf-8", "replace").decode() or None


class Printer:
    """Prints sheets line by line and counts what it prints."""

    def __init__(self) -> None:
        self.cells = self.letters = 0
        self.most = MAX_CELLS

    def sheet(self, name: str) -> None:
        """A new sheet begins."""
        self._line({"sheet": name[:300]})

    def row(self, number: int, cells: Iterable[Any]) -> None:
        """A row, its empty end cut off; nothing for an empty row. The headings of our own table lift the limit."""
        values = [plain(cell) for cell in cells]
        while values and values[-1] is None:
            values.pop()
        if not values:
            return
        self.cells += sum(value is not None for value in values)
        self.letters += sum(len(value) for value in values if isinstance(value, str))
        if {"record", "session_key", "ball_key"} <= {value for value in values if isinstance(value, str)}:
            self.most = MAX_OWN_CELLS
        if len(values) > MAX_COLUMNS or self.cells > self.most or (self.letters > MAX_TEXT and self.most == MAX_CELLS):
            refuse(
                "intake.the_table_is_larger_than",
                columns=MAX_COLUMNS,
                cells=self.most // 1_000_000,
            )
        self._line({"row": number, "cells": values})

    def merged(self, areas: Iterable[tuple[tuple[int, int], tuple[int, int]]]) -> None:
        """The merged areas of the sheet, as row, column, height, width from 1."""
        shown = list(areas)[:50_000]
        told = [(top + 1, left + 1, bottom - top + 1, right - left + 1) for (top, left), (bottom, right) in shown]
        self._line({"merged": told})

    def _line(self, told: Any) -> None:
        sys.stdout.write(json.dumps(told) + "\n")


def read_workbook(content: bytes, out: Printer) -> None:
    """All sheets of a spreadsheet."""
    import python_calamine

    try:
        book = python_calamine.CalamineWorkbook.from_filelike(io.BytesIO(content))
        struck = struck_cells(content)
        for name in book.sheet_names[:200]:
            sheet = book.get_sheet_by_name(name)
            out.sheet(name)
            first = sheet.start[1] if sheet.start else 0
            if first > MAX_COLUMNS:
                refuse(
                    "intake.sheet_begins_beyond_column_save",
                    name=name[:50],
                    columns=MAX_COLUMNS,
                )
            crossed = struck.get(name, set())
            for number, cells in enumerate(sheet.iter_rows(), start=1):
                values = [None] * first + ["" if cell is None else cell for cell in cells]
                out.row(number, [Struck(v) if (number, at) in crossed else v for at, v in enumerate(values, start=1)])
            out.merged(sheet.merged_cell_ranges or [])
    except (python_calamine.CalamineError, ValueError, OSError, OverflowError) as error:
        refuse("intake.the_spreadsheet_cannot_be_opened", error=str(error)[:200])


def read_parquet(content: bytes, out: Printer) -> None:
    """The one table of a Parquet file, its headings as the first row."""
    os.environ["ARROW_DEFAULT_MEMORY_POOL"] = "system"
    try:
        import pyarrow as arrow
        import pyarrow.parquet as parquet
    except ImportError:
        refuse("intake.parquet_needs_one_library_more")
    try:
        file = parquet.ParquetFile(arrow.BufferReader(content))
        names = file.schema_arrow.names
        if len(names) > MAX_COLUMNS:
            refuse("intake.the_table_has_more_than", columns=MAX_COLUMNS)
        rows = file.metadata.num_rows  # a few kB may say millions of rows, all alike: known before any is unpacked
        if rows > MAX_EXTENT or rows * len(names) > MAX_OWN_CELLS:
            refuse("intake.the_table_is_larger_than", columns=MAX_COLUMNS, cells=MAX_CELLS // 1_000_000)
        out.sheet("")
        out.row(1, names)
        number = 1
        for batch in file.iter_batches(batch_size=2000, use_threads=False):
            columns = [column.to_pylist() for column in batch.columns]
            for cells in zip(*columns, strict=True):
                number += 1
                out.row(number, cells)
    except (arrow.ArrowException, ValueError, OSError, OverflowError, TypeError) as error:
        why = str(error).splitlines()[0][:200] if str(error) else type(error).__name__
        refuse("intake.the_parquet_table_cannot_be", error=why)


def main() -> None:
    """Reads what stands on standard input."""
    megabytes, seconds = int(sys.argv[1]), int(sys.argv[2])
    fence(megabytes, seconds)
    content = sys.stdin.buffer.read()
    try:
        if content[:4] == b"PAR1":
            read_parquet(content, Printer())
        else:
            check_archive(content)
            read_workbook(content, Printer())
    except MemoryError:
        refuse("intake.the_table_needs_more_memory")


if __name__ == "__main__":
    main()
