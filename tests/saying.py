"""Errors in tests, matched by what a reader is told: a message is said first, in English or the language in use."""

import re
from collections.abc import Iterator
from contextlib import contextmanager

import pytest

from threequarter.language import say_error


@contextmanager
def raises_saying(
    kind: type[Exception] | tuple[type[Exception], ...], match: str = ""
) -> Iterator[pytest.ExceptionInfo[Exception]]:
    """As `pytest.raises`, its `match` held against the sentence that a page or command would show."""
    with pytest.raises(kind) as caught:
        yield caught
    said = say_error(caught.value)
    assert re.search(match, said), f"{match!r} is not in {said!r}"
