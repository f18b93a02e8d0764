"""A line that can be said again in another language: the text of the catalogue and what was filled in."""

from typing import Any

from threequarter.golf.language import _


class Said(str):
    """A line in the language in use, with its text (a key of the catalogue) and values (plain JSON) kept beside it."""

    text: str
    values: dict[str, Any]

    def __new__(cls, text: str, **values: Any) -> "Said":
        line = super().__new__(cls, _(text).format(**values))
        line.text, line.values = text, values
        return line
