"""A table in memory and its file: columns with roles and numbers, a style, and the truth that follows from both.

A twist changes columns or style and never the truth: `render` works the truth out from what it writes.
"""

import csv
import html
import io
import json
import re
from dataclasses import dataclass, field
from typing import Any

import xlsxwriter

from worlds.table_words import UNIT_WORDS, UNITS

FIELDS = {
    "carry": "carry_m",
    "offline": "offline_m",
    "ball_speed": "ball_speed_ms",
    "launch": "launch_deg",
    "spin": "backspin_rpm",
}
LENGTHS, LABELS = ("carry", "total", "offline"), ("club", "swing", "player")
SHEET = "Balls"
Value = float | str | None
Grid = list[list[str]]


@dataclass
class Column:
    """`values` in `unit`, rounded to `decimals` as they will be written; labels are texts and have no unit."""

    role: str
    heading: str
    values: list[Value]
    unit: str | None = None
    unit_word: str = ""
    decimals: int = 1
    length: bool = False


@dataclass
class Style:
    """How the columns become a file."""

    layout: str = "rows"  # rows, transposed, below, beside, wide
    form: str = "csv"  # csv, tsv, pipe, fixed, markdown, html, jsonl, xlsx
    delimiter: str = ";"
    decimal: str = "."
    thousands: str = ""
    units: str = "heading"  # heading, row, cell, line, foot, none
    side: str = "signed"  # signed, letter
    left_plus: bool = False
    lines: list[str] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    extra: list[str] = field(default_factory=list)  # mean, sum, blank, heading again
    heading: bool = True
    sparse: bool = False
    newline: str = "\n"
    encoding: str = "utf-8"


@dataclass
class Table:
    columns: list[Column]
    style: Style
    use: list[bool]
    meaning: dict[tuple[str, str], str] = field(default_factory=dict)  # (role, label): what a legend says it is

    @property
    def count(self) -> int:
        return len(self.use)

    def column(self, role: str) -> Column | None:
        return next((c for c in self.columns if c.role == role), None)


@dataclass
class File:
    name: str
    content: bytes
    balls: list[dict[str, Any]]
    loose: bool
    unit_told: bool


def number(value: float, decimals: int, style: Style) -> str:
    text = f"{value:,.{decimals}f}" if style.thousands else f"{value:.{decimals}f}"
    return text.replace(",", "\0").replace(".", style.decimal).replace("\0", style.thousands)


def cell(column: Column, i: int, style: Style) -> str:
    value = column.values[i]
    if value is None or isinstance(value, str):
        return value or ""
    if column.role == "offline" and style.side == "letter" and value:
        text = number(abs(value), column.decimals, style) + (" R" if value > 0 else " L")
        return text if style.units != "cell" else text.replace(" ", f" {column.unit_word} ")
    text = number(value, column.decimals, style)
    return f"{text} {column.unit_word}" if style.units == "cell" and column.unit_word else text


def title(column: Column, style: Style) -> str:
    own = column.unit_word and (
        style.units == "heading" or (style.units in ("none", "line", "foot") and not column.length)
    )
    if not own:
        return column.heading
    return f"{column.heading} ({column.unit_word})".strip()


def truths(table: Table) -> list[dict[str, Any]]:
    """The balls of all data rows, without their places."""
    roles = {c.role: c for c in reversed(table.columns)}
    out: list[dict[str, Any]] = []
    for i in range(table.count):
        ball: dict[str, Any] = {role: roles[role].values[i] if role in roles else None for role in LABELS}
        for role, name in FIELDS.items():
            value = roles[role].values[i] if role in roles else None
            unread = not isinstance(value, int | float) or (role == "spin" and value == 0)
            ball[name] = None if unread else round(value * UNITS.get(roles[role].unit or "", 1.0), 5)
        ball["use"] = table.use[i]
        if table.style.left_plus and ball["offline_m"] is not None:
            ball["offline_m"] = -ball["offline_m"] + 0.0
        told = {r: table.meaning[r, str(ball[r])] for r in LABELS if (r, str(ball[r])) in table.meaning}
        if told:
            ball["also"] = told
        if "twin" in roles and isinstance(other := roles["twin"].values[i], int | float):
            ball["also"] = ball.get("also", {}) | {"carry_m": round(other * UNITS[roles["twin"].unit or ""], 5)}
        out.append(ball)
    return out


def _heads(table: Table, columns: list[Column]) -> Grid:
    if not table.style.heading:
        return []
    rows = [[title(c, table.style) for c in columns]]
    if table.style.units == "row":
        rows.append([f"[{c.unit_word}]" if c.unit_word else "" for c in columns])
    return rows


def _means(table: Table, columns: list[Column], rows: list[int], kind: str) -> list[str]:
    out = []
    for n, c in enumerate(columns):
        numbers = [v for i in rows if isinstance(v := c.values[i], int | float)]
        if n == 0 or not numbers or c.role == "number":
            out.append({"mean": "Mean", "sum": "Sum"}[kind] if n == 0 else "")
        else:
            total = sum(numbers)
            out.append(number(total / len(numbers) if kind == "mean" else total, c.decimals, table.style))
    return out


def _runs(table: Table) -> list[list[int]]:
    """Data rows in runs of one club."""
    club = table.column("club")
    runs: list[list[int]] = []
    for i in range(table.count):
        if runs and club and club.values[i] == club.values[runs[-1][-1]]:
            runs[-1].append(i)
        else:
            runs.append([i])
    return runs


def grid(table: Table) -> tuple[Grid, dict[int, tuple[int, int | None]]]:
    """All rows of the file from the heading on, and where each ball stands (row from 1, column from 1 or None)."""
    return {"rows": _rows, "transposed": _transposed, "below": _below, "beside": _beside, "wide": _wide}[
        table.style.layout
    ](table)


def _rows(table: Table) -> tuple[Grid, dict[int, tuple[int, int | None]]]:
    out, places = _heads(table, table.columns), {}
    seen: dict[int, str] = {}
    for run in _runs(table) if table.style.extra else [list(range(table.count))]:
        for i in run:
            texts = [cell(c, i, table.style) for c in table.columns]
            places[i] = (len(out) + 1, None)
            if table.style.sparse:
                _thin(table.columns, texts, seen)
            out.append(texts)
        seen.clear()
        for kind in table.style.extra:
            if kind == "blank":
                out.append([""] * len(table.columns))
            elif kind == "heading":
                out += _heads(table, table.columns)[:1] if run[-1] != table.count - 1 else []
            elif table.columns[0].role in (*LABELS, "number", "remark"):
                out.append(_means(table, table.columns, run, kind))
    return out, places


def _thin(columns: list[Column], texts: list[str], seen: dict[int, str]) -> None:
    for n, c in enumerate(columns):
        if c.role in LABELS:
            new = seen.get(n) != texts[n]
            if new:
                seen.update({n: texts[n]})
                for m in [m for m in seen if m > n]:
                    del seen[m]
            else:
                texts[n] = ""


def _transposed(table: Table) -> tuple[Grid, dict[int, tuple[int, int | None]]]:
    rows, places = _rows(table)
    carry = next(n for n, c in enumerate(table.columns) if c.role == "carry")
    turned = [list(r) for r in zip(*rows, strict=True)]
    return turned, {i: (carry + 1, row) for i, (row, _) in places.items()}


def _below(table: Table) -> tuple[Grid, dict[int, tuple[int, int | None]]]:
    club = table.column("club")
    assert club
    columns = [c for c in table.columns if c.role != "club"]
    out: Grid = []
    places: dict[int, tuple[int, int | None]] = {}
    for run in _runs(table):
        out.append(
            [f"{club.heading}: {club.values[run[0]]}" if club.heading else str(club.values[run[0]])]
            + [""] * (len(columns) - 1)
        )
        out += _heads(table, columns)
        for i in run:
            places[i] = (len(out) + 1, None)
            out.append([cell(c, i, table.style) for c in columns])
        out.append([""] * len(columns))
    return out, places


def _beside(table: Table) -> tuple[Grid, dict[int, tuple[int, int | None]]]:
    club = table.column("club")
    assert club
    columns = [c for c in table.columns if c.role != "club"]
    carry = next(n for n, c in enumerate(columns) if c.role == "carry")
    out: Grid = []
    places: dict[int, tuple[int, int | None]] = {}
    left = 0
    for run in _runs(table):
        block = [[f"{club.heading} {club.values[run[0]]}".strip()] + [""] * (len(columns) - 1), *_heads(table, columns)]
        for i in run:
            places[i] = (len(block) + 1, left + carry + 1)
            block.append([cell(c, i, table.style) for c in columns])
        for n, texts in enumerate(block):
            if n == len(out):
                out.append([])
            out[n] += [""] * (left - len(out[n])) + texts + [""]
        left += len(columns) + 1
    width = max(len(r) for r in out)
    return [r + [""] * (width - len(r)) for r in out], places


def _wide(table: Table) -> tuple[Grid, dict[int, tuple[int, int | None]]]:
    """A row a shot (club and swing), a column a ball."""
    club, swing, carry = table.column("club"), table.column("swing"), table.column("carry")
    assert club
    assert swing
    assert carry
    shots: dict[tuple[Value, Value], list[int]] = {}
    for i in range(table.count):
        shots.setdefault((club.values[i], swing.values[i]), []).append(i)
    most = max(len(v) for v in shots.values())
    unit = f" ({carry.unit_word})" if table.style.units == "heading" and carry.unit_word else ""
    out: Grid = [[club.heading, swing.heading, *(f"{n + 1}{unit}" for n in range(most))]]
    places: dict[int, tuple[int, int | None]] = {}
    for (c, s), rows in shots.items():
        for n, i in enumerate(rows):
            places[i] = (len(out) + 1, n + 3)
        out.append([str(c), str(s), *(cell(carry, i, table.style) for i in rows), *[""] * (most - len(rows))])
    return out, places


def write(rows: Grid, style: Style) -> tuple[str, int]:
    """The text of the rows and how many lines the form puts before the first."""
    if style.form in ("csv", "tsv", "pipe"):
        mark = {"csv": style.delimiter, "tsv": "\t", "pipe": "|"}[style.form]
        out = io.StringIO()
        csv.writer(out, delimiter=mark, lineterminator="\n").writerows(rows)
        return out.getvalue(), 0
    widths = [max(len(r[n]) for r in rows) for n in range(len(rows[0]))]
    if style.form == "fixed":
        return "".join("   ".join(t.ljust(w) for t, w in zip(r, widths, strict=True)).rstrip() + "\n" for r in rows), 0
    if style.form == "markdown":
        lines = ["| " + " | ".join(t.ljust(w) for t, w in zip(r, widths, strict=True)) + " |\n" for r in rows]
        if not style.heading:
            return "".join(lines), 0
        return lines[0] + "|" + "|".join("-" * (w + 2) for w in widths) + "|\n" + "".join(lines[1:]), 1
    if style.form == "html":
        body = "".join("<tr>" + "".join(f"<td>{html.escape(t)}</td>" for t in r) + "</tr>\n" for r in rows)
        return f"<html><body><table>\n{body}</table></body></html>\n", 1
    if style.form == "jsonl":
        heads = rows[0]
        return "".join(json.dumps(dict(zip(heads, r, strict=True)), ensure_ascii=False) + "\n" for r in rows[1:]), -1
    raise ValueError(style.form)


ENDINGS = {
    "csv": "csv",
    "tsv": "tsv",
    "pipe": "txt",
    "fixed": "txt",
    "markdown": "md",
    "html": "xls",
    "jsonl": "jsonl",
    "xlsx": "xlsx",
}


def _told(style: Style) -> bool:
    """Whether heading, units row or cells tell the unit in this layout."""
    if style.layout == "wide":
        return style.units in ("heading", "cell")
    if not style.heading:
        return style.units == "cell"
    return style.units in ("heading", "row", "cell")


def workbook(rows: Grid, style: Style) -> bytes:
    """The rows as a workbook of one sheet; what looks like a plain number is a number."""
    out = io.BytesIO()
    book = xlsxwriter.Workbook(out, {"in_memory": True})
    sheet = book.add_worksheet(SHEET)
    for r, texts in enumerate(rows):
        for c, text in enumerate(texts):
            plain = re.fullmatch(r"-?\d+([.,]\d+)?", text) and not style.thousands
            sheet.write(r, c, float(text.replace(",", ".")) if plain else text)
    book.close()
    return out.getvalue()


def render(table: Table, stem: str) -> File:
    """The file and its truth: balls in the order in which they stand."""
    style, told = table.style, _told(table.style)
    rows, places = grid(table)
    lines, notes = list(style.lines), list(style.notes)
    carry = table.column("carry")
    assert carry
    if not told and style.units != "none":
        word = f"All distances in {carry.unit_word if carry.unit_word != 'm' else 'metres'}"
        (notes if style.units == "foot" else lines).append(word)
        told = True
    before = len(lines) + (1 if lines and style.form not in ("csv", "fixed") else 0)
    above = [[line] for line in lines] + ([[""]] if before > len(lines) else [])
    below = [[""], *([note] for note in notes)] if notes else []
    sheet, shift = None, 0
    if style.form == "xlsx":
        sheet, content = SHEET, workbook(above + rows + below, style)
    else:
        text, shift = write(rows, style)
        text = "".join(line[0] + "\n" for line in above) + text + "".join(line[0] + "\n" for line in below)
        content = text.replace("\n", style.newline).encode(style.encoding, errors="replace")
    known = truths(table)
    balls = [{"row": row + before + shift, "sheet": sheet, "col": col, **known[i]} for i, (row, col) in places.items()]
    if style.layout == "wide":
        nothing = dict.fromkeys(("player", "offline_m", "ball_speed_ms", "launch_deg", "backspin_rpm"))
        for ball in balls:
            ball.update(nothing, use=True)
    loose = style.layout in ("transposed", "beside", "wide") or style.form in ("html", "jsonl", "markdown")
    return File(f"{stem}.{ENDINGS[style.form]}", content, balls, loose, told)


def unit_word(unit: str, pick: int) -> str:
    words = UNIT_WORDS.get(unit, (unit,))
    return words[pick % len(words)]
