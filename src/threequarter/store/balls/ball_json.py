"""A ball as JSON and back, nothing lost: the form in which balls are kept."""

import dataclasses
import json
from collections.abc import Sequence
from typing import Any

from threequarter.golf.ball import Ball, MeasuredAs, MeasuredBy, Place, Strike


def to_json(ball: Ball) -> str:
    """All fields that are not at their default."""
    kept: dict[str, Any] = {}
    for field in dataclasses.fields(ball):
        value = getattr(ball, field.name)
        if field.default is dataclasses.MISSING or value != field.default:
            kept[field.name] = dataclasses.asdict(value) if isinstance(value, Place) else value
    return json.dumps(kept, ensure_ascii=False)


def from_json(text: str, *, number: int | None = None, file: str | None = None) -> Ball:
    """The ball that `to_json` gave; with its number in the session and the name of the file it stands in, where they are told."""
    kept = json.loads(text)
    for name, kind in (("measured_as", MeasuredAs), ("measured_by", MeasuredBy), ("strike", Strike)):
        if kept.get(name) is not None:
            kept[name] = kind(kept[name])
    if kept.get("place"):
        kept["place"] = Place(**(kept["place"] | ({} if file is None else {"file": file})))
    return Ball(**(kept if number is None else kept | {"number": number}))


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
