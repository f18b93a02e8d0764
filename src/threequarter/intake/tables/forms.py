"""Texts that hold a table in another form than cells between marks: JSON, a JSON object a line, HTML tables."""

import json
import re
from collections.abc import Sequence
from html.parser import HTMLParser
from typing import Any, Final

from threequarter.intake.tables.sheets import Row, Sheet

MOST_CELLS: Final = 3_000_000
_HEAD: Final = 2_000
_STRUCK: Final = frozenset(("s", "del", "strike"))


def sheets_of_form(text: str) -> list[Sheet] | None:
    """The sheets of a text in such a form; None for any other text."""
    head = text[:_HEAD].lstrip("\ufeff \t\r\n")
    if head.startswith(("{", "[")):
        return _json(text)
    if head.startswith("<") and re.search(r"<(?:table|html|!doctype html)", head, re.IGNORECASE):
        return _html(text)
    return None


def _json(text: str) -> list[Sheet] | None:
    try:
        objects = _objects(json.loads(text))
        numbers = list(range(1, len(objects) + 1))
    except (ValueError, RecursionError):
        objects, numbers = [], []
        for number, line in enumerate(text.splitlines(), start=1):
            try:
                told = json.loads(line) if line.strip() else None
            except (ValueError, RecursionError):
                return None
            if isinstance(told, dict):
                objects.append(told)
                numbers.append(number)
    if not objects:
        return None
    keys = list(dict.fromkeys(key for one in objects for key in one))[:2_000]
    if len(keys) * len(objects) > MOST_CELLS:
        return None
    rows = [Row(0, tuple(str(key) for key in keys))]
    rows += [Row(n, tuple(_written(one.get(key)) for key in keys)) for n, one in zip(numbers, objects, strict=True)]
    return [Sheet(name=None, rows=tuple(rows))]


def _objects(told: Any) -> list[dict[str, Any]]:
    """The longest list of objects in it; what an object holds within is written with a dot: ball.speed."""
    found: list[dict[str, Any]] = []
    if isinstance(told, list):
        found = [_flat(one) for one in told if isinstance(one, dict)]
    elif isinstance(told, dict):
        lists = [_objects(value) for value in told.values() if isinstance(value, list | dict)]
        found = max(lists, key=len, default=[])
    return found


def _flat(one: dict[str, Any], before: str = "", deep: int = 0) -> dict[str, Any]:
    flat: dict[str, Any] = {}
    for key, value in one.items():
        if isinstance(value, dict) and deep < 4:
            flat |= _flat(value, f"{before}{key} ", deep + 1)
        elif not isinstance(value, list):
            flat[f"{before}{key}"] = value
    return flat


def _written(value: Any) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return "1" if value else "0"
    return f"{value:.10g}" if isinstance(value, float) else str(value)[:10_000]


class _Tables(HTMLParser):
    """Takes the cells out of HTML tables; a cell over several columns or rows stands in the first of them."""

    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.tables: list[list[list[str]]] = []
        self.open = False
        self.skip = 0

    def handle_starttag(self, tag: str, attrs: Sequence[tuple[str, str | None]]) -> None:
        if tag in ("script", "style"):
            self.skip += 1
        elif tag == "table":
            self.tables.append([])
        elif tag == "tr" and self.tables:
            self.tables[-1].append([])
            self.open = False
        elif tag in ("td", "th") and self.tables and self.tables[-1]:
            self.tables[-1][-1].append("")
            wide = next((value for name, value in attrs if name == "colspan"), None)
            cells = max(1, min(int(wide), 200)) if wide and wide.isdecimal() and len(wide) < 9 else 1
            self.tables[-1][-1].extend([""] * (cells - 1))
            self.at = len(self.tables[-1][-1]) - cells
            self.open = True
        elif tag in ("br", "p") and self.open:
            self.handle_data(" ")
        elif tag in _STRUCK and self.open:
            self.handle_data("~~")

    def handle_endtag(self, tag: str) -> None:
        if tag in _STRUCK and self.open:
            self.handle_data("~~")
        if tag in ("script", "style"):
            self.skip = max(0, self.skip - 1)
        elif tag in ("td", "th", "tr", "table"):
            self.open = False

    def handle_data(self, data: str) -> None:
        if self.open and not self.skip:
            self.tables[-1][-1][self.at] += data


def _html(text: str) -> list[Sheet] | None:
    parser = _Tables()
    parser.feed(text)
    sheets = []
    for table in parser.tables:
        rows = [
            Row(i, tuple(" ".join(cell.split())[:10_000] for cell in cells[:2_000]))
            for i, cells in enumerate(table, start=1)
        ]
        if rows:
            sheets.append(Sheet(name=None, rows=tuple(rows)))
    return sheets or None
