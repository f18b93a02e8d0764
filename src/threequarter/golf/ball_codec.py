"""The one form of a ball as plain JSON, both ways, nothing lost: in the database, between processes, in an export.

Fields at their default are left out. Pydantic checks the types and does the work; it is loaded when the first ball is written.
"""

from collections.abc import Mapping
from functools import cache
from typing import TYPE_CHECKING, Any

from threequarter.golf.ball import Ball

if TYPE_CHECKING:
    from pydantic import TypeAdapter


@cache
def _adapter() -> "TypeAdapter[Ball]":
    from pydantic import TypeAdapter

    return TypeAdapter(Ball)


def ball_to(ball: Ball) -> dict[str, Any]:
    """A ball as plain JSON."""
    told: dict[str, Any] = _adapter().dump_python(ball, mode="json", exclude_defaults=True)
    return told


def ball_from(told: Mapping[str, Any]) -> Ball:
    """The ball that `ball_to` told. Raises ValueError for a field of another type, or one that is missing."""
    return _adapter().validate_python(dict(told))
