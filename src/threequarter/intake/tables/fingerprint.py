"""The shape of a table: its headings, so that the next file that looks alike is read the same way."""

import hashlib
import json
from collections import Counter
from typing import Final

from threequarter.golf.errors import UserError
from threequarter.intake.tables.decode import fold
from threequarter.intake.tables.shape import blocks_of
from threequarter.intake.tables.sheets import is_workbook, sheets_of

HEAD_BYTES: Final = 65_536
"""So much of a text is looked at: the headings stand at its top."""


def shape_key(content: bytes, name: str) -> str:
    """A key that is equal for tables with equal headings; files without headings share the key of their kind."""
    try:
        headings = [[fold(heading) for heading in sheet] for sheet in _headings(content, name)]
    except UserError:
        return "unreadable"
    return hashlib.sha256(json.dumps(headings).encode()).hexdigest()


def headings_of(content: bytes, name: str) -> list[str]:
    """The headings of a file's tables, each that stands over one column of its table only."""
    try:
        tables = _headings(content, name)
    except UserError:
        return []
    told = [(heading, Counter(fold(one) for one in table)[fold(heading)]) for table in tables for heading in table]
    return [heading for heading, count in told if heading.strip() and count == 1]


def _headings(content: bytes, name: str) -> list[tuple[str, ...]]:
    sheets = sheets_of(content if is_workbook(content, name) else content[:HEAD_BYTES], name)
    return [tuple(heading for block in blocks_of(sheet)[:1] for heading in block.headings) for sheet in sheets]
