"""Texts that hold a table in another form than cells between marks: JSON, a JSON object a line, HTML tables."""

import json
import re
from collections.abc import Sequence
from html.parser import HTMLParser
from typing import Any, Final

from threequarter.intake.tables.sheets import Row, Sheet

MOST_CELLS: Final = 3_000_000
DEEPEST: Final = 8
_HEAD: Final = 2_000
_LIST: Final = "list "
_NUMBER: Final = "value"
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


def _objects(told: Any, above: dict[str, Any] | None = None, deep: int = 0) -> list[dict[str, Any]]:
    """The objects that hold balls, each with what the objects around it tell. Lists beside each other whose objects are
    alike are one table, with the names of the lists in a column; of others the longest is taken."""
    if isinstance(told, list):
        return [row for one in told if isinstance(one, dict | list) for row in _objects(one, above or {}, deep)]
    if not isinstance(told, dict) or deep > DEEPEST:
        return []
    mine = (above or {}) | _flat(told)
    lists = {} if _is_ball(told) else {key: v for key, v in told.items() if isinstance(v, list | dict) and v}
    found = {key: _within(value, mine, deep) for key, value in lists.items()}
    found = {key: rows for key, rows in found.items() if rows}
    if not found:
        return [mine] if mine and above is not None else []
    most = max(found.values(), key=len)
    alike = {key: rows for key, rows in found.items() if len(rows[0].keys() ^ most[0].keys()) <= 1}
    if len(alike) == 1 and (deep == 0 or _flat(told)):
        return most
    return [{f"{_LIST}{deep}": key, **row} for key, rows in alike.items() for row in rows]


def _within(value: Any, above: dict[str, Any], deep: int) -> list[dict[str, Any]]:
    """The rows of a list or an object within an object; a list of bare numbers is one number a row."""
    if isinstance(value, list) and all(isinstance(one, int | float) for one in value):
        return [{**above, _NUMBER: one} for one in value]
    if isinstance(value, dict) and not any(isinstance(one, list | dict) for one in value.values()):
        return []  # a part of its object, written with a dot there
    return _objects(value, above, deep + 1)


def _is_ball(one: dict[str, Any]) -> bool:
    """Whether an object tells how far a ball went: a list in it (the points of its flight) is then no list of balls."""
    from threequarter.intake.tables.vocabulary import words_of

    told = (
        words_of(key).best for key, value in _flat(one).items() if not isinstance(value, str) or value[:1].isdigit()
    )
    return any(best in ("carry", "distance", "pile", "total", "ball_speed") for best in told)


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
    """Takes the cells out of HTML tables; a cell over several columns stands in the first of them, one over several rows in each."""

    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.tables: list[list[list[str]]] = []
        self.open = False
        self.skip = 0
        self.hanging: dict[int, tuple[int, list[str]]] = {}
        """Place of a cell that reaches down -> how many rows more, and the row that it stands in."""

    def handle_starttag(self, tag: str, attrs: Sequence[tuple[str, str | None]]) -> None:
        if tag in ("script", "style"):
            self.skip += 1
        elif tag == "table":
            self.tables.append([])
            self.hanging = {}
        elif tag == "tr" and self.tables:
            self._hang()
            self.tables[-1].append([])
            self.open = False
        elif tag in ("td", "th") and self.tables and self.tables[-1]:
            self._hang()
            row = self.tables[-1][-1]
            cells, down = _span(attrs, "colspan"), _span(attrs, "rowspan")
            self.at = len(row)
            row.extend([""] * cells)
            if down > 1:
                self.hanging[self.at] = (down, row)
            self.open = True
        elif tag in ("br", "p") and self.open:
            self.handle_data(" ")
        elif tag in _STRUCK and self.open:
            self.handle_data("~~")

    def _hang(self) -> None:
        """Fills the places of the row that cells of rows above reach down to."""
        if not self.tables[-1]:
            return
        row = self.tables[-1][-1]
        while (told := self.hanging.get(len(row))) and told[1] is not row:
            left, above = told[0] - 1, told[1]
            at = len(row)
            row.append(above[at])
            self.hanging[at] = (left, row)
            if left <= 1:
                del self.hanging[at]

    def handle_endtag(self, tag: str) -> None:
        if tag == "tr" and self.tables:
            self._hang()
        if tag in _STRUCK and self.open:
            self.handle_data("~~")
        if tag in ("script", "style"):
            self.skip = max(0, self.skip - 1)
        elif tag in ("td", "th", "tr", "table"):
            self.open = False

    def handle_data(self, data: str) -> None:
        if self.open and not self.skip:
            self.tables[-1][-1][self.at] += data


def _span(attrs: Sequence[tuple[str, str | None]], of: str) -> int:
    """Over how many columns or rows a cell reaches."""
    told = next((value for name, value in attrs if name == of), None)
    return max(1, min(int(told), 200)) if told and told.isdecimal() and len(told) < 9 else 1


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
