"""The little SVG that the pictures need: escaped text, an axis, shapes in the ink of the page around them."""

from collections.abc import Sequence
from dataclasses import dataclass
from html import escape
from typing import Final

import numpy as np

WIDE: Final = 0.53
"""Mean width of a letter against its size, in the fonts of the pages."""
SMALLEST: Final = 9.5


@dataclass(frozen=True, slots=True)
class Scale:
    """Maps values from `low` to `high` onto pixels from `left` to `right`."""

    low: float
    high: float
    left: float
    right: float

    def __call__(self, value: float) -> float:
        return self.left + (value - self.low) / (self.high - self.low) * (self.right - self.left)


def ticks(low: float, high: float, most: int) -> list[float]:
    """Round numbers from low to high, about `most` of them."""
    raw = (high - low) / max(1, most)
    size = 10 ** np.floor(np.log10(raw))
    step = next(size * m for m in (1, 2, 5, 10) if size * m >= raw)
    return [float(v) for v in np.arange(np.ceil(low / step), np.floor(high / step) + 1) * step]


def text(
    x: float, y: float, words: object, *, size: float = 13, anchor: str = "start", weight: int = 400, fade: float = 1
) -> str:
    """A line of text."""
    return (
        f'<text x="{x:.1f}" y="{y:.1f}" font-size="{size:g}" text-anchor="{anchor}" font-weight="{weight}"'
        f' fill="currentColor" fill-opacity="{fade:g}">{escape(str(words))}</text>'
    )


def dot(x: float, y: float, r: float, *, filled: bool = True, fade: float = 1) -> str:
    """A dot, or a ring."""
    ink = (
        f'fill="currentColor" fill-opacity="{fade:g}"'
        if filled
        else 'fill="none" stroke="currentColor" stroke-width="1.2"'
    )
    return f'<circle cx="{x:.1f}" cy="{y:.1f}" r="{r:g}" {ink}/>'


def cross(x: float, y: float, r: float) -> str:
    """A slanted cross: a ball that was not good."""
    return (
        f'<path d="M{x - r:.1f} {y - r:.1f}L{x + r:.1f} {y + r:.1f}M{x - r:.1f} {y + r:.1f}L{x + r:.1f} {y - r:.1f}"'
        ' stroke="currentColor" stroke-width="1.5" fill="none"/>'
    )


def fitting(words: str, width: float, size: float) -> tuple[str, float]:
    """A text and the size at which it fits into a width; one that would grow too small ends with an ellipsis."""
    fits = min(size, width / (WIDE * max(1, len(words))))
    if fits >= SMALLEST:
        return words, fits
    return words[: int(width / (WIDE * SMALLEST)) - 1].rstrip() + "…", SMALLEST


def line(x1: float, y1: float, x2: float, y2: float, *, width: float = 1, fade: float = 1, dash: str = "") -> str:
    """A straight line."""
    dashes = f' stroke-dasharray="{dash}"' if dash else ""
    return (
        f'<line x1="{x1:.1f}" y1="{y1:.1f}" x2="{x2:.1f}" y2="{y2:.1f}" stroke="currentColor" stroke-width="{width:g}"'
        f' stroke-opacity="{fade:g}"{dashes}/>'
    )


def band(x1: float, x2: float, y: float, height: float, *, fade: float = 0.14, round_: float | None = None) -> str:
    """A pale band, its ends round (by `round_` pixels)."""
    return f'<rect x="{x1:.1f}" y="{y:.1f}" width="{max(0.5, x2 - x1):.1f}" height="{height:g}" rx="{height / 2 if round_ is None else round_:g}" fill="currentColor" fill-opacity="{fade:g}"/>'


def picture(width: float, height: float, title: str, says: str, shapes: Sequence[str], *, parts: bool = False) -> str:
    """A whole SVG; `title` names it and `says` tells a screen reader what it shows. With `parts` its links can be reached one by one."""
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width:g} {height:g}" role="{"group" if parts else "img"}" aria-label="{escape(title)}. {escape(says)}"'
        ' font-family="Bitter, Noto Sans, system-ui, sans-serif">'
        f"<title>{escape(title)}</title><desc>{escape(says)}</desc>{''.join(shapes)}</svg>"
    )


def stacked(values: Sequence[float], size: float) -> list[tuple[float, int]]:
    """Dots of `size` pixels in columns: (centre, place in its column from 0), for values in pixels (Wilkinson 1999)."""
    places: list[tuple[float, int]] = []
    column: list[float] = []
    for value in sorted(values):
        if column and value - column[0] > size * 0.999:
            places += [(float(np.mean(column)), k) for k in range(len(column))]
            column = []
        column.append(value)
    return places + [(float(np.mean(column)), k) for k in range(len(column))] if column else places
