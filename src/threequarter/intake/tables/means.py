"""Rows that sum up the rows above them, proved by arithmetic whatever word stands before them."""

from collections.abc import Sequence
from typing import Final

LEAST: Final = 3


def sums_up(value: float, above: Sequence[float], step: float, *, ends: bool) -> bool:
    """Whether a number is the mean or the sum of those above it (at least three), with `ends` also the largest or smallest."""
    if len(above) < LEAST:
        return False
    loose = 0.51 * step + 1e-9
    told = (sum(above) / len(above), sum(above), *((max(above), min(above)) if ends else ()))
    return any(abs(value - one) <= loose for one in told)
