"""Which cells of a spreadsheet are crossed out: the look of a cell, which the reader of values does not tell.

Runs in the fenced child. XLSX: ECMA-376 part 1, 18.8.22 (font), 18.8.45 (xf), 18.3.1.4 (c); ODS: OpenDocument 1.3
part 3, 20.379 (style:text-line-through-style).
"""

import io
import posixpath
import zipfile
from collections.abc import Iterator
from typing import IO, Final
from xml.etree import ElementTree

Place = tuple[int, int]
"""Row and column, from 1."""

_SHEET: Final = "{http://schemas.openxmlformats.org/spreadsheetml/2006/main}"
_RELATION: Final = "{http://schemas.openxmlformats.org/officeDocument/2006/relationships}id"
_TABLE: Final = "{urn:oasis:names:tc:opendocument:xmlns:table:1.0}"
_STYLE: Final = "{urn:oasis:names:tc:opendocument:xmlns:style:1.0}"
MOST: Final = 100_000
"""Crossed-out cells looked up in one file; an empty sheet may be styled to its end."""


def struck_cells(content: bytes) -> dict[str, set[Place]]:
    """The crossed-out cells by the sheet's name; none where the file is of another kind, or its styles cannot be read."""
    if content[:4] != b"PK\x03\x04":
        return {}
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as pack:
            names = set(pack.namelist())
            if "xl/styles.xml" in names and "xl/workbook.xml" in names:
                return _of_xlsx(pack, names)
            if "content.xml" in names:
                return _of_ods(pack)
    except (zipfile.BadZipFile, ElementTree.ParseError, NotImplementedError, KeyError, ValueError, OSError, EOFError):
        return {}  # what is damaged is told by the reader of the values
    return {}


def _of_xlsx(pack: zipfile.ZipFile, names: set[str]) -> dict[str, set[Place]]:
    styles = _struck_formats(ElementTree.fromstring(pack.read("xl/styles.xml")))
    if not styles:
        return {}
    relations = ElementTree.fromstring(pack.read("xl/_rels/workbook.xml.rels"))
    parts = {
        relation.get("Id"): posixpath.normpath(posixpath.join("/xl", relation.get("Target", ""))).lstrip("/")
        for relation in relations
    }
    found = {}
    for sheet in ElementTree.fromstring(pack.read("xl/workbook.xml")).iter(f"{_SHEET}sheet"):
        part = parts.get(sheet.get(_RELATION), "")
        if part in names:
            with pack.open(part) as text:
                found[sheet.get("name", "")] = set(_places(text, styles))
    return found


def _struck_formats(styles: ElementTree.Element) -> set[str]:
    """The numbers of the cell formats whose font is crossed out."""
    fonts = styles.find(f"{_SHEET}fonts")
    formats = styles.find(f"{_SHEET}cellXfs")
    struck = set()
    for at, font in enumerate(fonts if fonts is not None else ()):
        mark = font.find(f"{_SHEET}strike")
        if mark is not None and mark.get("val", "1") not in ("0", "false"):
            struck.add(str(at))
    return {str(at) for at, form in enumerate(formats if formats is not None else ()) if form.get("fontId") in struck}


def _places(text: IO[bytes], styles: set[str]) -> Iterator[Place]:
    """Where the crossed-out cells of a sheet stand."""
    count = 0
    for _, element in ElementTree.iterparse(text):
        if element.tag == f"{_SHEET}c" and element.get("s") in styles and len(element):
            yield _place(element.get("r", ""))
            count += 1
        if element.tag == f"{_SHEET}row":
            element.clear()
        if count >= MOST:
            return


def _place(reference: str) -> Place:
    """B4 as row 4, column 2."""
    letters = reference.rstrip("0123456789")
    column = 0
    for letter in letters:
        column = column * 26 + ord(letter) - 64
    return int(reference[len(letters) :]), column


def _of_ods(pack: zipfile.ZipFile) -> dict[str, set[Place]]:
    with pack.open("content.xml") as text:
        tree = ElementTree.parse(text)
    styles = {
        style.get(f"{_STYLE}name")
        for style in tree.iter(f"{_STYLE}style")
        if any(
            look.get(f"{_STYLE}text-line-through-style", "none") != "none"
            for look in style.iter(f"{_STYLE}text-properties")
        )
    }
    if not styles:
        return {}
    return {table.get(f"{_TABLE}name", ""): set(_ods_places(table, styles)) for table in tree.iter(f"{_TABLE}table")}


def _ods_places(table: ElementTree.Element, styles: set[str | None]) -> Iterator[Place]:
    """Where the crossed-out cells of a sheet stand; rows and cells that are alike are written once with a count."""
    row_at = 1
    for row in table.iter(f"{_TABLE}table-row"):
        column_at = 1
        for cell in row:
            wide = int(cell.get(f"{_TABLE}number-columns-repeated", "1"))
            if len(cell) and cell.get(f"{_TABLE}style-name") in styles:
                for column in range(column_at, column_at + min(wide, 2_000)):
                    yield row_at, column
            column_at += wide
        row_at += int(row.get(f"{_TABLE}number-rows-repeated", "1"))
