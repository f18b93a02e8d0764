"""Which balls of a file are already known from an earlier state of it, by their place and order, never by values alone.

A file grows at its end, gets rows at the top, is corrected, is exported again. Two equal rows of a file stay two balls,
because rows are matched one to one in their order.
"""

import difflib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

LEAST_SHARE: Final = 0.6
"""A file of the same name is the same file grown or corrected if so many of its earlier rows still stand in it."""
SAME_PLACE_SHARE: Final = 0.9
"""If so many rows stand unchanged at their place, nothing has moved, and the others were corrected."""
MOST_COMPARED: Final = 4_000_000
"""Rows times rows up to which moved rows are looked for; beyond it only the same place counts."""


@dataclass(frozen=True, slots=True)
class Known:
    """A ball that is known: its slot, its place in the newest state of the file, what its row said, its order."""

    slot: str
    place: str
    content: str
    rank: float


@dataclass(frozen=True, slots=True)
class Match:
    """For each row of the new file the known ball that it is, or None; and the share of known balls found unchanged."""

    known: tuple[Known | None, ...]
    share: float
    missing: int


def match(known: Sequence[Known], rows: Sequence[tuple[str, str]], layout: Mapping[str, str] | None = None) -> Match:
    """Matches rows (place, content) of a file with what is known of it, `known` in its order.

    `layout` (place to slot) is given for bytes that were read before, maybe in another way: then the place decides alone.
    """
    if layout is not None:
        by_slot = {ball.slot: ball for ball in known}
        return _judged(known, rows, [by_slot.get(layout.get(place, "")) for place, _ in rows])
    by_place = {ball.place: ball for ball in known}
    in_place = _judged(known, rows, [by_place.get(place) for place, _ in rows])
    if in_place.share >= SAME_PLACE_SHARE:
        return in_place
    in_order = _judged(known, rows, _in_order(known, rows))
    return in_order if in_order.share > in_place.share else in_place


def _judged(known: Sequence[Known], rows: Sequence[tuple[str, str]], pairs: Sequence[Known | None]) -> Match:
    unchanged = sum(ball is not None and ball.content == row[1] for ball, row in zip(pairs, rows, strict=True))
    found = sum(ball is not None for ball in pairs)
    return Match(tuple(pairs), unchanged / len(known) if known else 0.0, len(known) - found)


def _in_order(known: Sequence[Known], rows: Sequence[tuple[str, str]]) -> list[Known | None]:
    before = [ball.content for ball in known]
    now = [content for _, content in rows]
    start = 0
    while start < min(len(before), len(now)) and before[start] == now[start]:
        start += 1
    end = 0
    while end < min(len(before), len(now)) - start and before[-1 - end] == now[-1 - end]:
        end += 1
    pairs: list[Known | None] = [None] * len(rows)
    for i in range(start):
        pairs[i] = known[i]
    for i in range(1, end + 1):
        pairs[-i] = known[-i]
    middle_before, middle_now = before[start : len(before) - end], now[start : len(now) - end]
    if len(middle_before) * len(middle_now) > MOST_COMPARED:
        by_place = {ball.place: ball for ball in known[start : len(before) - end]}
        for j in range(start, len(now) - end):
            pairs[j] = by_place.get(rows[j][0])
        return pairs
    matcher = difflib.SequenceMatcher(None, middle_before, middle_now, autojunk=False)
    for what, i1, i2, j1, j2 in matcher.get_opcodes():
        if what in ("equal", "replace"):  # a replaced run is the same balls corrected, as far as both go
            for i, j in zip(range(i1, i2), range(j1, j2), strict=False):
                pairs[start + j] = known[start + i]
    return pairs


def ranks(pairs: Sequence[Known | None]) -> list[float]:
    """The order of each row: a known ball keeps its rank, new ones go between their neighbours."""
    out = [ball.rank if ball else 0.0 for ball in pairs]
    place = 0
    while place < len(pairs):
        if pairs[place] is not None:
            place += 1
            continue
        stop = place
        while stop < len(pairs) and pairs[stop] is None:
            stop += 1
        low = out[place - 1] if place else None
        high = out[stop] if stop < len(pairs) else None
        count = stop - place
        if low is None:
            low = high - count - 1 if high is not None else 0.0
        step = (high - low) / (count + 1) if high is not None and high > low else 1.0
        for i in range(count):
            out[place + i] = low + (i + 1) * step
        place = stop
    return out
