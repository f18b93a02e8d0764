"""Texts as both databases keep them."""

from typing import Any


def clean_texts(
    _connection: Any, _cursor: Any, statement: str, told: Any, _context: Any, _many: bool
) -> tuple[str, Any]:
    """Takes out of texts what cannot be kept: PostgreSQL takes no NUL, and neither database half a character.

    Listens to an engine's `before_cursor_execute`, with `retval=True`.
    """
    if isinstance(told, list):
        return statement, [_clean_row(row) for row in told]
    return statement, _clean_row(told)


def _clean_row(row: Any) -> Any:
    if isinstance(row, dict):
        return {name: clean(value) for name, value in row.items()}
    return tuple(clean(value) for value in row) if isinstance(row, tuple) else row


def clean(value: Any) -> Any:
    """A value as it is kept."""
    if not isinstance(value, str):
        return value
    whole = value.replace("\0", "\ufffd")
    return whole if whole.isascii() else whole.encode("utf-8", "replace").decode()
