"""Cells -> values in SI, with the column's unit, the file's decimal mark and the side's sign."""

import re
from dataclasses import dataclass
from functools import lru_cache
from typing import Final, Literal

from threequarter.golf.ball import Strike
from threequarter.golf.units import FOOT_M, INCH_M
from threequarter.intake.tables import words
from threequarter.intake.tables.decode import fold
from threequarter.intake.tables.numbers import STRUCK, Mark, find_number, missing, tidy, to_float
from threequarter.intake.tables.units import unit_of

LEAST_CARRY_M: Final = 2.0
MOST_CARRY_M: Final = 350.0
NOTE_READ: Final = 200
"""So much of a note is looked at for words."""
_FEET: Final = re.compile(r"^(\d{1,4})\s*['′’]\s*(?:(\d{1,2}(?:[.,]\d+)?)\s*(?:[\"”″]|['′’]{2}|in)?)?$")
"""Feet with or without inches: 68' 4", 68'. The mark of feet is no thousands mark: 1'250 has three digits after it."""


_TWINS: Final = re.compile(
    r"^(?P<one>\d+(?:[.,]\d+)?)\s*(?:-|/|to|bis|à|til|till|tot|~)\s*(?P<two>\d+(?:[.,]\d+)?)\s*(?P<unit>[^\W\d]*)$",
    re.IGNORECASE,
)
MOST_APART: Final = 1.6
"""Two numbers of a cell that are further apart are no two readings of one carry."""
Twins = Literal["first", "last", "middle"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Measure:
    """A number in a cell: its value as written, the SI factor of a unit in the cell (None: none there), the side
    a word in the cell names (+1 right, -1 left, None), and what else stood there."""

    value: float
    factor: float | None
    side: int | None
    rest: str


def measure(cell: str, decimal: Mark, *, spin: bool = False) -> Measure | None:
    """The number of a cell with its unit and side; None where it holds no number."""
    if missing(cell):
        return None
    if match := _FEET.match(tidy(cell)):
        inches = float((match[2] or "0").replace(",", "."))
        return Measure(value=int(match[1]) + inches * INCH_M / FOOT_M, factor=FOOT_M, side=None, rest="")
    written = find_number(cell)
    if written is None:
        return None
    value = to_float(written.digits, decimal, thousands_likely=spin)
    if value is None:
        return None
    factor, side, rest = None, None, []
    for token in _tokens(f"{written.before} {written.after}"):
        unit = unit_of(token)
        if unit and factor is None:
            factor = unit[1]
        elif (found := side_of(token)) and side is None:
            side = found
        else:
            rest.append(token)
    if written.negative and side is None:
        value = -value
    return Measure(value=value, factor=factor, side=side, rest=" ".join(rest))


def twin_numbers(cell: str, decimal: Mark) -> tuple[float, float] | None:
    """The two numbers of a cell that holds two of about the same size: "55-58", "58/61", "55 to 58"; else None."""
    match = _TWINS.match(tidy(cell))
    if match is None:
        return None
    one, two = (to_float(match[name], decimal) for name in ("one", "two"))
    if one is None or two is None or not 0 < max(one, two) <= MOST_APART * min(one, two):
        return None
    return one, two


def measure_twins(cell: str, decimal: Mark, twins: Twins) -> Measure | None:
    """What counts of two numbers in a cell; None where it does not hold two."""
    found = twin_numbers(cell, decimal)
    if found is None:
        return None
    value = {"first": found[0], "last": found[1], "middle": sum(found) / 2}[twins]
    match = _TWINS.match(tidy(cell))
    unit = unit_of(match["unit"]) if match and match["unit"] else None
    return Measure(value=value, factor=unit[1] if unit else None, side=None, rest="")


def _tokens(text: str) -> list[str]:
    tokens: list[str] = []
    for token in re.split(r"[\s()\[\],;:]+", text):
        if not token:
            continue
        match = re.match(r"^(m|yd|ft|cm|yds)(l|r|links|rechts|left|right)$", fold(token))
        glued = re.match(r"^(.+?)(左|右|좌|우)$", token) or re.match(r"^(左|右|좌|우)(.+)$", token)
        if match:
            tokens += [match[1], match[2]]
        elif glued and not side_of(token):
            tokens += [glued[1], glued[2]]
        else:
            tokens.append(token)
    return tokens


def struck_out(cell: str) -> bool:
    """Whether a cell is crossed out: ~~62~~, or letters with a bar through them."""
    text = cell.strip()
    return (len(text) > 4 and text.startswith("~~") and text.endswith("~~")) or any(bar in text for bar in STRUCK)


def side_of(text: str) -> int | None:
    """+1 for a word or letter that means right, -1 for left, None for anything else."""
    plain = fold(text).strip(".()")
    if plain in words.RIGHT or plain.rstrip(".") in words.RIGHT:
        return 1
    return -1 if plain in words.LEFT or plain.rstrip(".") in words.LEFT else None


def says_yes(cell: str, *, dropping: bool) -> bool:
    """Whether a mark in a use or drop column says yes. A cross means yes where rows are struck out, no where kept."""
    plain = fold(tidy(cell)).strip(".")
    if plain in ("×", "✗", "✘", "x̶"):
        return dropping
    return plain in words.YES or (
        plain != "" and plain not in words.NO and not missing(plain) and plain not in words.MISSING
    )


@lru_cache(maxsize=4096)
def strike_of(note: str) -> Strike | None:
    """What a note says about the contact; the longest word that fits decides."""
    plain = fold(note[:NOTE_READ])
    if not plain:
        return None
    best: tuple[int, str] | None = None
    for kind, names in words.STRIKES.items():
        for name in names:
            inside = name in plain if ord(name[0]) > 0x2E80 else re.search(rf"(?<!\w){re.escape(name)}(?!\w)", plain)
            if inside and (best is None or len(name) > best[0]):
                best = (len(name), kind)
    return Strike(best[1]) if best else None


def possible_carry(carry_m: float) -> bool:
    """Whether a wedge can have carried this far."""
    return LEAST_CARRY_M <= carry_m <= MOST_CARRY_M


def label_text(cell: str, *, swing: bool = False) -> str | None:
    """A label as a person wrote it: a date that was a fraction is 3/4 again, 54.0 is 54, a share of one is a percentage, and the bar
    through a row that is crossed out is no part of it."""
    text = cell.strip()
    if struck_out(text) and text.startswith("~~"):
        text = text.strip("~ ")
    if not text or (missing(text) and not re.fullmatch(r"[a-z]", text)):
        return None
    if match := re.match(r"^date:(\d+)-(\d+)-(\d+)", text):
        first, second = sorted((int(match[2]), int(match[3])))
        return f"{first}/{second}"
    if swing and re.fullmatch(r"[01]?\.\d+", text):
        share = float(text)
        return f"{share * 100:.0f} %" if share != round(share) else text
    return re.sub(r"^(\d+)\.0$", r"\1", text)
