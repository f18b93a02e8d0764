"""Reads a workbook from standard input and prints its cells as JSON; run as a process of its own with limits.

`python -m threequarter.intake.spreadsheet MEGABYTES`. Exit 3: one clear line on standard error.
"""

import datetime
import io
import json
import sys
import zipfile
from typing import Any, Final

MAX_ROWS: Final = 200_000
MAX_COLUMNS: Final = 2_000
MAX_UNPACKED_MB: Final = 600
MAX_RATIO: Final = 400


def limit(megabytes: int) -> None:
    """Caps this process's memory where the system can."""
    try:
        import resource
    except ImportError:  # not on Windows; the parent's time limit still holds
        return
    resource.setrlimit(resource.RLIMIT_AS, (megabytes * 2**20, megabytes * 2**20))


def refuse(words: str) -> None:
    sys.stderr.write(words + "\n")
    sys.exit(3)


def check_archive(content: bytes) -> None:
    """Refuses an archive that unpacks to far more than it holds."""
    if content[:4] != b"PK\x03\x04":
        return
    try:
        entries = zipfile.ZipFile(io.BytesIO(content)).infolist()
    except zipfile.BadZipFile:
        refuse("This is no spreadsheet, whatever its name says: it cannot be opened. Save it again as XLSX or CSV.")
        return
    size = sum(entry.file_size for entry in entries)
    if size > MAX_UNPACKED_MB * 2**20 or (size > 30 * 2**20 and size > MAX_RATIO * max(1, len(content))):
        refuse(
            f"The spreadsheet unpacks to {size // 2**20} MB, more than is read here. Save the sheet with the balls as CSV."
        )


def plain(cell: Any) -> Any:
    """A cell as JSON: numbers, text, or [kind, value] for times and dates."""
    if isinstance(cell, datetime.datetime):
        return ["date", cell.isoformat()]
    if isinstance(cell, datetime.date):
        return ["date", cell.isoformat()]
    if isinstance(cell, datetime.time):
        return ["time", cell.isoformat()]
    if isinstance(cell, datetime.timedelta):
        minutes = round(cell.total_seconds() / 60)
        return ["time", f"{minutes // 60 % 24:02d}:{minutes % 60:02d}:00"]
    return None if cell == "" else cell


def main() -> None:
    content = sys.stdin.buffer.read()
    check_archive(content)
    limit(int(sys.argv[1]))
    import python_calamine

    try:
        book = python_calamine.CalamineWorkbook.from_filelike(io.BytesIO(content))
        sheets = []
        for name in book.sheet_names:
            sheet = book.get_sheet_by_name(name)
            rows = []
            for number, cells in enumerate(sheet.iter_rows(), start=1):
                if number > MAX_ROWS or len(cells) > MAX_COLUMNS:
                    refuse(
                        f"Sheet {name!r} is larger than {MAX_ROWS} rows by {MAX_COLUMNS} columns. Save the part with the balls as CSV."
                    )
                first = sheet.start[1] if sheet.start else 0
                values = [None] * first + [plain(cell) for cell in cells]
                if any(value is not None for value in values):
                    rows.append({"number": number, "cells": values})
            areas = [
                (top + 1, left + 1, bottom - top + 1, right - left + 1)
                for (top, left), (bottom, right) in (sheet.merged_cell_ranges or [])
            ]
            sheets.append({"name": name, "rows": rows, "merged": areas})
    except python_calamine.CalamineError as error:
        refuse(f"The spreadsheet cannot be opened ({error}). Save it again as XLSX, or as CSV.")
    sys.stdout.write(json.dumps(sheets))


if __name__ == "__main__":
    main()
