"""A ball as JSON and back, nothing lost: the form in which balls are kept."""

import dataclasses
import json
from collections.abc import Sequence
from functools import lru_cache
from typing import Final

from threequarter.golf.ball import Ball, Place
from threequarter.golf.ball_codec import ball_from, ball_to

BALLS_REMEMBERED: Final = 8192
"""Some 12 MB: forty sessions of two hundred balls."""


def to_json(ball: Ball) -> str:
    """All fields that are not at their default."""
    return json.dumps(ball_to(ball), ensure_ascii=False)


@lru_cache(maxsize=BALLS_REMEMBERED)
def from_json(text: str, *, number: int | None = None, file: str | None = None) -> Ball:
    """The ball that `to_json` gave; with its number in the session and the name of the file it stands in, where they are told.
    Kept balls are read again with every page of a lesson, so the last ones are remembered."""
    told = json.loads(text)
    if file is not None and told.get("place"):
        told["place"]["file"] = file
    return ball_from(told if number is None else told | {"number": number})


def content(ball: Ball) -> str:
    """What a ball's row says: its place and number apart, and what the reader concluded from the rows around it."""
    return to_json(dataclasses.replace(ball, number=0, place=None, error_sd_m=None, shared_sd_m=None, rounding_m=None))


def places(balls: Sequence[Ball]) -> list[str]:
    """Where each ball stands within its file: sheet, row, column; balls at one place are numbered in their order."""
    seen: dict[str, int] = {}
    keys = []
    for ball in balls:
        place = ball.place or Place()
        key = json.dumps([place.sheet, place.row, place.col], ensure_ascii=False)
        seen[key] = seen.get(key, 0) + 1
        keys.append(key if seen[key] == 1 else f"{key}#{seen[key]}")
    return keys
