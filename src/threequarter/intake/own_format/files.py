"""The product's own table of balls in each of its four forms: written as a file, and read back."""

import csv
import io
import json
import math
from collections.abc import Callable, Iterable, Iterator, Mapping
from itertools import islice
from pathlib import Path
from typing import Any, Final, Literal, get_args

from threequarter.golf.errors import UserError
from threequarter.golf.message import Message
from threequarter.intake.own_format.columns import (
    BY_NAME,
    COLUMNS,
    FORMAT,
    OwnRow,
    as_written,
    clean,
    harmless,
    is_own,
    plain,
)
from threequarter.intake.sandbox import lines_of
from threequarter.intake.tables.sheets import is_workbook, sheets_of

Form = Literal["csv", "json", "xlsx", "parquet"]
FORMS: Final = get_args(Form)
MEDIA: Final = {
    "csv": "text/csv; charset=utf-8",
    "json": "application/json",
    "parquet": "application/vnd.apache.parquet",
    "xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
}
Say = Callable[[Message], str]
BATCH: Final = 5000
MOST_ROWS: Final = 1_048_575
"""What a sheet of a workbook holds below its headings."""


def form_of(name: str) -> Form:
    """The form a file's name asks for. Raises UserError for another ending."""
    ending = Path(name).suffix.casefold().lstrip(".")
    if ending not in FORMS:
        raise UserError(
            Message("own_table.the_ending_says_the_form", name=name, forms=", ".join("." + form for form in FORMS))
        )
    return ending  # type: ignore[return-value]


def parquet_is_there() -> bool:
    """Whether the library for Parquet is installed."""
    from importlib.util import find_spec

    return find_spec("pyarrow") is not None


def write_own(rows: Iterable[Mapping[str, Any]], form: Form, path: Path, say: Say = str) -> int:
    """Writes rows as they come, the columns' meanings as `say` says them; returns how many. Raises UserError where the form cannot hold them or is not installed."""
    return _WRITE[form](rows, path, say)


def csv_lines(rows: Iterable[Mapping[str, Any]]) -> Iterator[str]:
    """The lines of the CSV form, headings first."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow([column.name for column in COLUMNS])
    for row in rows:
        writer.writerow([_csv_cell(row.get(column.name)) for column in COLUMNS])
        yield out.getvalue()
        out.seek(0)
        out.truncate()
    yield out.getvalue()


def _csv_cell(value: Any) -> Any:
    if value is None:
        return ""
    if isinstance(value, bool):
        return int(value)
    return harmless(value) if isinstance(value, str) else plain(value)


def _write_csv(rows: Iterable[Mapping[str, Any]], path: Path, _say: Say) -> int:
    count = -1
    with path.open("w", encoding="utf-8-sig", newline="") as file:
        for count, line in enumerate(csv_lines(rows)):  # noqa: B007
            file.write(line)
    return count


def _write_json(rows: Iterable[Mapping[str, Any]], path: Path, say: Say) -> int:
    head = {"format": FORMAT, "columns": {column.name: say(column.says) for column in COLUMNS}}
    count = 0
    with path.open("w", encoding="utf-8") as file:
        file.write(json.dumps(head, ensure_ascii=False)[:-1] + ', "rows": [')
        for row in rows:
            full = {name: plain(row.get(name)) for name in BY_NAME}
            file.write((",\n" if count else "\n") + json.dumps(full, ensure_ascii=False))
            count += 1
        file.write("\n]}\n")
    return count


def _write_xlsx(rows: Iterable[Mapping[str, Any]], path: Path, say: Say) -> int:
    import xlsxwriter
    from xlsxwriter.worksheet import Worksheet

    class Exact(Worksheet):  # type: ignore[misc,unused-ignore]
        """Numbers with all their digits: the writer's own sixteen do not always give the same number back."""

        def _xml_number_element(self, number: float, attributes: Any = ()) -> None:
            attr = "".join(f' {key}="{value}"' for key, value in attributes)
            self.fh.write(f"<c{attr}><v>{number!r}</v></c>")

    book = xlsxwriter.Workbook(
        path,
        {"constant_memory": True, "strings_to_formulas": False, "strings_to_urls": False, "strings_to_numbers": False},
    )
    try:
        bold = book.add_format({"bold": True})
        sheet = book.add_worksheet("balls", worksheet_class=Exact)
        sheet.freeze_panes(1, 0)
        for at, column in enumerate(COLUMNS):
            sheet.write_string(0, at, column.name, bold)
        count = 0
        for count, row in enumerate(rows, start=1):
            if count > MOST_ROWS:
                raise UserError(Message("own_table.a_workbook_holds_rows_there", most=MOST_ROWS))
            for at, column in enumerate(COLUMNS):
                _xlsx_cell(sheet, count, at, row.get(column.name))
        says = book.add_worksheet("columns")
        says.set_column(0, 0, 18)
        says.set_column(1, 1, 100)
        for at, column in enumerate(COLUMNS):
            says.write_string(at, 0, column.name, bold)
            says.write_string(at, 1, say(column.says))
    finally:
        book.close()
    return count


def _xlsx_cell(sheet: Any, row: int, at: int, value: Any) -> None:
    if value is None or value == "":
        return
    value = plain(value)
    if isinstance(value, bool):
        sheet.write_number(row, at, int(value))
    elif isinstance(value, int | float):
        sheet.write_number(row, at, value)
    else:
        sheet.write_string(row, at, value)


def _write_parquet(rows: Iterable[Mapping[str, Any]], path: Path, say: Say) -> int:
    try:
        import pyarrow as arrow
        import pyarrow.parquet as parquet
    except ImportError:
        raise UserError(Message("own_table.parquet_needs_one_library_more")) from None
    kinds = {
        "text": arrow.string(),
        "number": arrow.float64(),
        "whole": arrow.int64(),
        "yes": arrow.bool_(),
        "day": arrow.date32(),
        "time": arrow.timestamp("us", tz="UTC"),
    }
    fields = [arrow.field(c.name, kinds[c.kind], metadata={"says": say(c.says)}) for c in COLUMNS]
    schema = arrow.schema(fields, metadata={"format": FORMAT})
    count = 0
    with parquet.ParquetWriter(path, schema, compression="zstd") as file:
        for batch in _batches(rows):
            file.write_table(arrow.table({c.name: [row.get(c.name) for row in batch] for c in COLUMNS}, schema=schema))
            count += len(batch)
    return count


def _batches(rows: Iterable[Mapping[str, Any]]) -> Iterator[list[Mapping[str, Any]]]:
    batch: list[Mapping[str, Any]] = []
    for row in rows:
        batch.append(row)
        if len(batch) == BATCH:
            yield batch
            batch = []
    if batch:
        yield batch


_WRITE: Final[dict[str, Callable[[Iterable[Mapping[str, Any]], Path, Say], int]]] = {
    "csv": _write_csv,
    "json": _write_json,
    "xlsx": _write_xlsx,
    "parquet": _write_parquet,
}


def holds_own(content: bytes, name: str) -> bool:
    """Whether a file is a table of our own, told from its beginning. Raises UserError for a workbook that cannot be opened."""
    if is_workbook(content, name):
        sheets = sheets_of(content, name)
        return bool(sheets and sheets[0].rows and is_own(sheets[0].rows[0].cells))
    if _looks_like_json(content):
        return FORMAT.encode() in content[:400]
    return _mark_of(content) is not None


def _looks_like_json(content: bytes) -> bool:
    return content[:200].lstrip(b"\xef\xbb\xbf \r\n\t").startswith(b"{")


def _mark_of(content: bytes) -> str | None:
    """What parts the cells of our own table; None for any other text."""
    head = content[:8000].decode("utf-8-sig", errors="replace").split("\n", 1)[0]
    return next((mark for mark in (",", ";", "\t") if is_own(cell.strip(' "\r') for cell in head.split(mark))), None)


def read_own(content: bytes, name: str) -> list[OwnRow] | None:
    """The rows of a table of our own, None for any other file. Raises UserError, naming row and column, for a damaged one."""
    if content[:4] in (b"PK\x03\x04", b"PAR1"):
        found = _from_sheets(content)
    elif _looks_like_json(content):
        found = _from_json(content)
    else:
        found = _from_csv(content)
    return (
        None if found is None else [clean(cells, Message("own_table.where", name=name, row=at)) for at, cells in found]
    )


_Cells = Iterable[tuple[int, Mapping[str, Any]]]


def _from_json(content: bytes) -> _Cells | None:
    if FORMAT.encode() not in content[:400]:
        return None
    try:
        told = json.loads(content)
    except (ValueError, RecursionError):
        raise UserError(Message("own_table.the_file_is_broken_off")) from None
    if not isinstance(told, dict) or told.get("format") != FORMAT or not isinstance(told.get("rows"), list):
        return None
    if not all(isinstance(row, dict) for row in told["rows"]):
        raise UserError(Message("own_table.each_of_its_rows_is"))
    return enumerate(told["rows"], start=1)


def _from_csv(content: bytes) -> _Cells | None:
    mark = _mark_of(content)
    if mark is None:
        return None
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise UserError(Message("own_table.this_is_an_export_of")) from None
    return _csv_rows(text, mark)


def _csv_rows(text: str, mark: str) -> Iterator[tuple[int, Mapping[str, Any]]]:
    csv.field_size_limit(10_000_000)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=mark)
    try:
        names = [cell.strip() for cell in next(reader)]
        for at, cells in enumerate(reader, start=2):
            if any(cells):
                yield at, {name: as_written(cell) for name, cell in zip(names, cells, strict=False) if cell}
    except csv.Error as error:
        raise UserError(Message("own_table.the_table_is_damaged", error=error)) from None


def _from_sheets(content: bytes) -> _Cells | None:
    """Rows of the sheet that bears our headings; asks the first sheet only, as a table of ours begins with it."""
    lines = lines_of(content)
    first = list(islice(lines, 2))
    if len(first) < 2 or "row" not in first[1] or not is_own(str(cell) for cell in first[1]["cells"]):
        lines.close()  # type: ignore[attr-defined]
        return None
    names = [str(cell) for cell in first[1]["cells"]]

    def rows() -> Iterator[tuple[int, Mapping[str, Any]]]:
        for told in lines:
            if "sheet" in told:
                break
            if "row" in told:
                cells = zip(names, told["cells"], strict=False)
                yield told["row"], {name: _cell(cell) for name, cell in cells if cell is not None}

    return rows()


def _cell(cell: Any) -> Any:
    value = cell[1] if isinstance(cell, list) else cell
    return value if not isinstance(value, float) or math.isfinite(value) else None
