"""Whole numbers that come as text in addresses and forms."""

from typing import Final

MOST_DIGITS: Final = 18
"""What every database holds."""


def whole_number(text: str) -> int | None:
    """The number, None for what is none or too large for any database; "³" is a digit to Python and no number."""
    plain = text.strip()
    return int(plain) if plain.isascii() and plain.isdigit() and len(plain) <= MOST_DIGITS else None
