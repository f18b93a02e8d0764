"""A file that a phone saved of itself (docs/phone-file.md), kept here: each bucket and each ball once, however often it comes."""

import datetime
import json
import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, Final

from threequarter.app.plans import begin_plan
from threequarter.golf.errors import UserError
from threequarter.golf.message import Message
from threequarter.store.balls.phone_balls import PhoneBalls
from threequarter.store.store import Store

FORMAT: Final = "threequarter phone 1"
KEY: Final = re.compile(r"[0-9a-f]{32}")
BATCH: Final = 200
MOST_NAMES: Final = 40
MOST_BUCKETS: Final = 2000
MOST_MS: Final = 2**53
"""Beyond it a clock that counts milliseconds as a phone does counts no more."""
OLDEST: Final = datetime.timedelta(days=730)
"""A bucket that a phone says is older, or of tomorrow, gets the day it came: the phone's clock was wrong."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CopiedBucket:
    """A bucket of a phone, its balls as the phone tells them."""

    key: str
    player: str
    unit: str
    clubs: tuple[str, ...]
    swings: tuple[str, ...]
    at_ms: float
    balls: tuple[Mapping[str, Any], ...]


@dataclass(slots=True, kw_only=True)
class Brought:
    """What became of a copy: sessions by their ids, balls that are new, changed, known already, and why others were not taken."""

    sessions: list[int] = field(default_factory=list)
    fresh: int = 0
    changed: int = 0
    known: int = 0
    refused: list[Message] = field(default_factory=list)


def is_copy(content: bytes) -> bool:
    """Whether a file says of itself that a phone saved it."""
    return b'"format"' in content[:200] and FORMAT.encode() in content[:200]


def read_copy(content: bytes) -> tuple[CopiedBucket, ...]:
    """The buckets of a copy. Raises UserError for what is none, or was cut short."""
    try:
        told = json.loads(content)
        rows = told["buckets"]
        if told["format"] != FORMAT or not isinstance(rows, list) or len(rows) > MOST_BUCKETS:
            raise ValueError
        return tuple(_bucket(row) for row in rows)
    except (ValueError, KeyError, TypeError, RecursionError):
        raise UserError(Message("phone.copy_is_none")) from None


def _bucket(row: Mapping[str, Any]) -> CopiedBucket:
    key, player, unit, at = (row[name] for name in ("key", "player", "unit", "at"))
    names = [row["clubs"], row["swings"]]
    balls = row["balls"]
    sound = isinstance(key, str) and KEY.fullmatch(key) and isinstance(player, str) and unit in ("yd", "m")
    listed = all(isinstance(one, list) and all(isinstance(name, str) for name in one) for one in (*names,))
    if not (sound and listed and _is_number(at) and isinstance(balls, list)):
        raise ValueError(key)
    if not all(isinstance(ball, dict) and isinstance(ball.get("key"), str) for ball in balls):
        raise ValueError(key)
    clubs, swings = (tuple(one[:MOST_NAMES]) for one in names)
    return CopiedBucket(
        key=key, player=player[:300], unit=unit, clubs=clubs, swings=swings, at_ms=float(at), balls=tuple(balls)
    )


def _is_number(value: Any) -> bool:
    if not isinstance(value, int | float) or isinstance(value, bool):
        return False
    return math.isfinite(value) if isinstance(value, float) else abs(value) < MOST_MS


def bring_in(store: Store, buckets: Sequence[CopiedBucket], now: datetime.datetime) -> Brought:
    """Keeps a copy (`now` in UTC). A ball that is known is changed only by a later change of it; what a coach corrected stands.

    Each bucket is kept by itself, and the same file again goes on where it was cut off. Raises UserError for a bucket without a name.
    """
    found, phone = Brought(), PhoneBalls(store)
    for bucket in buckets:
        session_id = phone.begin(bucket.player, bucket.unit, key=bucket.key, at=_time(bucket.at_ms, now))
        begin_plan(store, session_id, bucket.clubs, bucket.swings, chosen=True)
        found.sessions.append(session_id)
        for start in range(0, len(bucket.balls), BATCH):
            _take(phone, session_id, bucket.balls[start : start + BATCH], now, found)
    return found


def _take(
    phone: PhoneBalls, session_id: int, balls: Sequence[Mapping[str, Any]], now: datetime.datetime, found: Brought
) -> None:
    known = phone.known(session_id, [ball["key"] for ball in balls])
    fresh = [ball for ball in balls if ball["key"] not in known and not ball.get("back")]
    there = known | {ball["key"] for ball in fresh}
    changes = [{**ball, "rev": ball["edits"]} for ball in balls if ball["key"] in there and _edits(ball)]
    aged = [{**ball, "age_s": _age_s(ball.get("at"), now)} for ball in fresh]
    outcomes = phone.take(session_id, aged, changes=changes)
    taken, changed = outcomes[: len(aged)], outcomes[len(aged) :]
    found.fresh += sum(one.state == "saved" for one in taken)
    found.refused += [one.why for one in taken if one.state == "refused" and isinstance(one.why, Message)]
    new = {ball["key"] for ball in fresh}
    later = sum(one.state == "changed" and one.key not in new and one.fresh for one in changed)
    found.changed += later
    found.known += len(known & {ball["key"] for ball in balls}) - later


def _edits(ball: Mapping[str, Any]) -> bool:
    return isinstance(ball.get("edits"), int) and not isinstance(ball["edits"], bool) and ball["edits"] > 0


def _age_s(at: Any, now: datetime.datetime) -> float:
    return (now.replace(tzinfo=datetime.UTC).timestamp() - at / 1000) if _is_number(at) else -1.0


def _time(at_ms: float, now: datetime.datetime) -> datetime.datetime | None:
    age_s = _age_s(at_ms, now)
    return now - datetime.timedelta(seconds=age_s) if 0 <= age_s <= OLDEST.total_seconds() else None
