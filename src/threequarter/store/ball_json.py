"""A ball as JSON and back, nothing lost: the form in which balls are kept."""

import dataclasses
import json
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


def from_json(text: str) -> Ball:
    """The ball that `to_json` gave."""
    kept = json.loads(text)
    for name, kind in (("measured_as", MeasuredAs), ("measured_by", MeasuredBy), ("strike", Strike)):
        if kept.get(name) is not None:
            kept[name] = kind(kept[name])
    if kept.get("place"):
        kept["place"] = Place(**kept["place"])
    return Ball(**kept)


def place_key(ball: Ball) -> str:
    """Where a ball stands within its file: sheet, row, column. Rows are told apart by this, never by their values."""
    place = ball.place or Place()
    return json.dumps([place.sheet, place.row, place.col, None if place.row else ball.number])
