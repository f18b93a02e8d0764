"""A page as somebody filled it in, its truth beside it, and the many forms in which people save such a page."""

import csv
import html
import io
import json
import zipfile
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import UTC, datetime
from random import Random
from typing import Any
from xml.sax.saxutils import escape

import xlsxwriter

from worlds.table_golf import Golfer, Shot, session
from worlds.table_words import UNITS

PEOPLE: dict[str, Callable[[Random], "Page"]] = {}


def person(key: str) -> Callable[[Callable[[Random], "Page"]], Callable[[Random], "Page"]]:
    """Registers a builder under the table's name."""

    def keep(builder: Callable[[Random], Page]) -> Callable[[Random], Page]:
        PEOPLE[key] = builder
        return builder

    return keep


@dataclass(frozen=True)
class Measured:
    """A number as it is written, and what it is in SI."""

    value: float
    si: float
    decimals: int
    unit: str = ""


def q(si: float, unit: str = "m", decimals: int = 1) -> Measured:
    value = round(si / UNITS.get(unit, 1.0), decimals) + 0.0  # no minus before a zero
    return Measured(value, round(value * UNITS.get(unit, 1.0), 5), decimals, unit)


ROLES = {
    "carry": "carry",
    "club": "club",
    "swing": "swing",
    "player": "player",
    "off": "offline",
    "speed": "ball_speed",
    "launch": "launch",
    "spin": "spin",
}
Cell = str | int | Measured | None


@dataclass
class Page:
    """Rows from 1 as in the file; a `str` among the rows is a raw line."""

    form: str = "csv"
    ending: str = "csv"
    delimiter: str = ";"
    mark: str = "."
    encoding: str = "utf-8"
    newline: str = "\n"
    features: tuple[str, ...] = ()
    ambiguous: str | None = None
    doubtful: tuple[str, ...] = ()
    may_ask: tuple[str, ...] = ()
    refuse: bool = False
    loose: bool = False
    answers: dict[str, str] = field(default_factory=dict)
    sheet: str | None = None
    sheets: dict[str, list[Any]] = field(default_factory=dict)
    rows: list[list[Cell] | str] = field(default_factory=list)
    balls: list[dict[str, Any]] = field(default_factory=list)
    asides: list[dict[str, Any]] = field(default_factory=list)
    shift: int = 0
    raw: bytes | None = None
    columns: dict[str, Counter[int]] = field(default_factory=dict)
    units: set[str] = field(default_factory=set)

    def new_sheet(self, name: str) -> None:
        self.sheet, self.rows = name, []
        self.sheets[name] = self.rows

    def say(self, *lines: str) -> None:
        self.rows += [line if self.form not in ("xlsx", "ods") else [line] for line in lines]

    def row(self, *cells: Cell) -> int:
        self.rows.append(list(cells))
        return len(self.rows) + self.shift

    def ball(self, *cells: Cell, **truth: Any) -> None:
        """A row that is a ball; remembers in which column each role stands."""
        for name, role in ROLES.items():
            here = [n for n, c in enumerate(cells) if name in truth and (c is truth[name] or c == truth[name])]
            if len(here) == 1:
                self.columns.setdefault(role, Counter())[here[0] + 1] += 1
        self.mark_ball(self.row(*cells), **truth)

    def aside(self, why: str, *cells: Cell) -> None:
        self.asides.append({"row": self.row(*cells), "sheet": self.sheet, "why": why})

    def mark_ball(self, row: int, col: int | None = None, use: bool = True, **t: Any) -> None:
        """A ball that stands in a row (and column) of this page."""
        self.units.add(t["carry"].unit if isinstance(t["carry"], Measured) else "")
        si = lambda name: t[name].si if isinstance(t.get(name), Measured) else t.get(name)  # noqa: E731
        ball = {
            "row": row,
            "sheet": self.sheet,
            "col": col,
            "player": t.get("player"),
            "club": t.get("club"),
            "loft_deg": t.get("loft"),
            "swing": t.get("swing"),
            "carry_m": si("carry"),
            "offline_m": si("off"),
            "ball_speed_ms": si("speed"),
            "launch_deg": si("launch"),
            "backspin_rpm": si("spin"),
            "use": use,
        }
        ball |= {name: t[name] for name in ("count", "also", "free") if name in t}
        self.balls.append(ball)

    def text(self, cell: Cell) -> str:
        if isinstance(cell, Measured):
            return f"{cell.value:.{cell.decimals}f}".replace(".", self.mark)
        return "" if cell is None else str(cell)

    def all_answers(self) -> dict[str, str]:
        """What a coach would answer: by hand where a builder says so, else what the page itself tells."""
        known = {role: str(places.most_common(1)[0][0]) for role, places in self.columns.items()}
        if len(self.units) == 1 and self.units <= {"m", "yd", "ft"}:
            known["unit"] = next(iter(self.units))
        return {"decimal": self.mark, "right": "+", **known, **self.answers} if self.balls else {}

    def truth(self) -> dict[str, Any]:
        return {
            "balls": self.balls,
            "set_aside_rows": self.asides,
            "ambiguous": self.ambiguous,
            "doubtful": list(self.doubtful),
            "may_ask": sorted(self.may_ask),
            "refuse": self.refuse,
            "features": list(self.features),
            "loose": self.loose,
            "answers": self.all_answers(),
        }

    def content(self) -> bytes:
        if self.raw is not None:
            return self.raw
        writer = {"xlsx": _xlsx, "ods": _ods}.get(self.form)
        if writer:
            return writer(self)
        return _lines(self).replace("\n", self.newline).encode(self.encoding)


def _lines(page: Page) -> str:
    table = [[page.text(c) for c in r] for r in page.rows if not isinstance(r, str)]
    width = max((len(r) for r in table), default=0)
    sizes = [max((len(r[n]) for r in table if n < len(r)), default=0) for n in range(width)]
    return "".join(_line(page, r if isinstance(r, str) else [page.text(c) for c in r], sizes) + "\n" for r in page.rows)


def _line(page: Page, row: str | list[str], sizes: list[int]) -> str:
    if isinstance(row, str):
        return row
    if page.form == "fixed":
        return "  ".join(t.ljust(s) for t, s in zip(row, sizes, strict=False)).rstrip()
    if page.form == "markdown":
        return "| " + " | ".join(t.ljust(s) for t, s in zip(row, sizes, strict=False)) + " |"
    if page.form == "html":
        return "<tr>" + "".join(f"<td>{html.escape(t)}</td>" for t in row) + "</tr>"
    out = io.StringIO()
    csv.writer(out, delimiter=page.delimiter, lineterminator="").writerow(row)
    return out.getvalue()


def _xlsx(page: Page) -> bytes:
    out = io.BytesIO()
    book = xlsxwriter.Workbook(out, {"in_memory": True})
    book.set_properties({"created": datetime(2026, 5, 1, tzinfo=UTC).replace(tzinfo=None)})
    for name, rows in (page.sheets or {"Sheet1": page.rows}).items():
        sheet = book.add_worksheet(name)
        for r, cells in enumerate(rows):
            for c, cell in enumerate(cells):
                sheet.write(r, c, cell.value if isinstance(cell, Measured) else cell)
    book.close()
    return out.getvalue()


def _ods(page: Page) -> bytes:
    def one(cell: Cell) -> str:
        if isinstance(cell, Measured | int):
            value = cell.value if isinstance(cell, Measured) else cell
            return f'<table:table-cell office:value-type="float" office:value="{value}"><text:p>{page.text(cell)}</text:p></table:table-cell>'
        if not cell:
            return "<table:table-cell/>"
        return f'<table:table-cell office:value-type="string"><text:p>{escape(cell)}</text:p></table:table-cell>'

    tables = ""
    for name, rows in page.sheets.items():
        body = "".join("<table:table-row>" + "".join(one(c) for c in r) + "</table:table-row>" for r in rows)
        tables += f'<table:table table:name="{escape(name)}">{body}</table:table>'
    names = "".join(
        f' xmlns:{n}="urn:oasis:names:tc:opendocument:xmlns:{n}:1.0"' for n in ("office", "table", "text", "manifest")
    )
    kind = "application/vnd.oasis.opendocument.spreadsheet"
    files = {
        "mimetype": kind,
        "META-INF/manifest.xml": f'<manifest:manifest{names} manifest:version="1.2"><manifest:file-entry manifest:full-path="/" manifest:media-type="{kind}"/><manifest:file-entry manifest:full-path="content.xml" manifest:media-type="text/xml"/></manifest:manifest>',
        "content.xml": f'<?xml version="1.0" encoding="UTF-8"?><office:document-content{names} office:version="1.2"><office:body><office:spreadsheet>{tables}</office:spreadsheet></office:body></office:document-content>',
    }
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as archive:
        for name, text in files.items():
            archive.writestr(zipfile.ZipInfo(name, (2026, 5, 1, 0, 0, 0)), text)
    return out.getvalue()


def hits(
    rng: Random,
    lofts: list[int],
    swings: int,
    balls: int,
    full: float = 30,
    name: str = "",
    mishits: float = 0.06,
    blocked: bool = True,
) -> list[Shot]:
    """Balls of one player, 8 m and more."""
    golfer = Golfer(name, full, rng.uniform(0.018, 0.035), mishits, rng.gauss(0, 0.8))
    shots = session(golfer, [float(x) for x in lofts], swings, balls, rng, blocked)
    return [s for s in shots if s.carry_m > 8]


def json_line(values: dict[str, Any]) -> str:
    return json.dumps({k: v.value if isinstance(v, Measured) else v for k, v in values.items()}, ensure_ascii=False)
