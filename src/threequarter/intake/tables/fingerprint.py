"""The shape of a table: its headings, so that the next file that looks alike is read the same way."""

import hashlib
import json
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
        sheets = sheets_of(content if is_workbook(content, name) else content[:HEAD_BYTES], name)
    except UserError:
        return "unreadable"
    headings = []
    for sheet in sheets:
        headings.append([fold(heading) for block in blocks_of(sheet)[:1] for heading in block.headings])
    return hashlib.sha256(json.dumps(headings).encode()).hexdigest()
