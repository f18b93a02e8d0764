"""A pod: the next ten good balls of a shot as ten dots in two files, never too small to be counted."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

SMALLEST: Final = 6.0
"""Across a dot, in pixels."""
LARGEST: Final = 8.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Pod:
    """Where the dots lie along the scale (in pixels, in the order given) with the file of each (0 or 1), and both ends."""

    dots: tuple[tuple[float, int], ...]
    size: float
    low: float
    high: float


def pod(places: Sequence[float], size: float = SMALLEST) -> Pod:
    """Dots of `size` pixels at `places` (pixels), every second one in the other file; dots of one file are pushed apart by no more
    than they must be."""
    order = np.argsort(places)
    found = [0.0] * len(places)
    for file in (0, 1):
        mine = order[file::2]
        for at, value in zip(mine, _apart([float(places[i]) for i in mine], size + 0.6), strict=True):
            found[at] = value
    files = {int(at): rank % 2 for rank, at in enumerate(order)}
    dots = tuple((found[i], files[i]) for i in range(len(places)))
    return Pod(dots=dots, size=size, low=min(found) - size / 2 - 3, high=max(found) + size / 2 + 3)


def _apart(values: list[float], least: float) -> list[float]:
    """Sorted values moved as little as can be (least squares) so that neighbours stand `least` apart: pool adjacent violators."""
    shifted = [value - i * least for i, value in enumerate(values)]
    blocks: list[list[float]] = []
    for value in shifted:
        blocks.append([value])
        while len(blocks) > 1 and np.mean(blocks[-2]) > np.mean(blocks[-1]):
            last = blocks.pop()
            blocks[-1] += last
    flat = [float(np.mean(block)) for block in blocks for _value in block]
    return [value + i * least for i, value in enumerate(flat)]
