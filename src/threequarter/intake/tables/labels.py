"""Columns of words: club, swing, player, side, remarks, by what stands in them and by their headings."""

import re
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise
from typing import Final

from threequarter.golf.swing_length import parse_swing
from threequarter.intake.tables import words
from threequarter.intake.tables.column import Column
from threequarter.intake.tables.decode import fold
from threequarter.intake.tables.lines import is_club, is_title, note_says, split_club_own_swing, split_club_swing
from threequarter.intake.tables.numbers import find_number, missing, tidy
from threequarter.intake.tables.shape import kind_of
from threequarter.intake.tables.values import label_text, measure, side_of, strike_of

MANY_SWINGS: Final = 16
"""More different names than this are no swing lengths that a person agreed on."""
_LOFT = re.compile(r"^\d{2}(?:\.0)?$|^\d{2}\s*[./\-]\s*\d{1,2}$")


@dataclass(kw_only=True)
class Labels:
    """What the different texts of a column look like, as shares of them."""

    column: Column

    @cached_property
    def texts(self) -> Counter[str]:
        """The different texts as a person wrote them, and how often."""
        found: Counter[str] = Counter()
        for cell in self.column.cells:
            if not missing(cell) and (text := label_text(cell)):
                found[text] += 1
        return found

    def _share(self, test: Callable[[str], object]) -> float:
        return sum(bool(test(text)) for text in self.texts) / len(self.texts) if self.texts else 0.0

    @cached_property
    def different(self) -> int:
        """How many different texts there are."""
        return len({fold(text) for text in self.texts})

    @cached_property
    def rows(self) -> int:
        """Rows that hold one."""
        return sum(self.texts.values())

    @cached_property
    def coverage(self) -> float:
        """Share of the rows that hold one."""
        return self.rows / max(1, len(self.column.cells))

    @cached_property
    def club(self) -> float:
        """Share that are club labels."""
        return self._share(is_club)

    @cached_property
    def lofts(self) -> float:
        """Share that are bare numbers which could be lofts."""
        return self._share(lambda t: _LOFT.match(tidy(t)) and 38 <= float(tidy(t)[:2]) <= 70)

    @cached_property
    def swing(self) -> float:
        """Share that are swing lengths by level, clock or fraction."""
        plain = re.compile(r"^\d+(?:[.,]\d+)?$") if self.column.words.best != "swing" else re.compile(r"(?!)")
        return self._share(
            lambda t: parse_swing(t).kind != "own" and not plain.match(t) and not (kind_of(t) == "t" and not _hour(t))
        )

    @cached_property
    def pair(self) -> float:
        """Share that name club and swing together."""
        return self._share(lambda t: split_club_swing(t) is not None)

    @cached_property
    def own_pair(self) -> float:
        """Share that name a club and then anything."""
        return self._share(lambda t: split_club_own_swing(t) is not None)

    @cached_property
    def side(self) -> float:
        """Share that say left or right and nothing else."""
        return self._share(lambda t: side_of(t) is not None or fold(t) in ("0", "on line", "straight"))

    @cached_property
    def marks(self) -> float:
        """Share that say yes or no."""
        return self._share(lambda t: fold(t) in words.YES or fold(t) in words.NO or fold(t) in ("x", "*", "!", "✓"))

    @cached_property
    def remarks(self) -> float:
        """Share that tell about a strike, or say to leave a ball out."""
        return self._share(lambda t: strike_of(t) or note_says(t, words.WARM_UP) or note_says(t, words.LEAVE_OUT))

    @cached_property
    def names(self) -> float:
        """Share that look like the name of a person: two words or three, each with a capital."""
        return self._share(is_person)

    @cached_property
    def grouped(self) -> bool:
        """Whether a few different texts stand for many rows."""
        return 2 <= self.different <= 10 and self.rows >= 2 * self.different

    @cached_property
    def counts_on(self) -> bool:
        """Whether it numbers the rows, with or without a word beside: 1, 2, 3; ball 1, ball 2."""
        if self.column.running:
            return True
        numbers = [find_number(cell) for cell in self.column.cells if not missing(cell)]
        values = [int(n.digits) for n in numbers if n and n.digits.isdecimal() and len(n.digits) < 19]
        if len(values) < 3 or len(values) < 0.8 * len(numbers) or self.club > 0.6:
            return False
        on = sum(b - a == 1 or (b == 1 and a > 1) for a, b in pairwise(values))
        return on > 0.8 * (len(values) - 1)


def _hour(text: str) -> bool:
    match = re.match(r"^(\d{1,2})", text.strip())
    return match is not None and 6 <= int(match[1]) <= 12


def is_person(text: str) -> bool:
    """Whether a text looks like a person: two to four names with capitals, no number."""
    tokens = text.split()
    if any(ord(letter) > 0x2E80 for letter in text):
        return len(tokens) == 2 and len(text) <= 12
    return (
        2 <= len(tokens) <= 4
        and not is_title(text)
        and len(text) <= 40
        and find_number(text) is None
        and min(len(t) for t in tokens) > 1
        and all(t[:1].isupper() for t in tokens if len(t) > 3)
        and tokens[0][:1].isupper()
        and tokens[-1][:1].isupper()
    )


NEAR: Final = 15.0
"""Most, at the middle of them, that numbers with one of two words are to be for distances off the line."""


def two_sided(labels: Labels) -> bool:
    """Whether small numbers stand with one of two words each: "1,2 sağ", "0,4 sol", whatever these words are."""
    cells = [cell for cell in labels.column.cells if cell]
    numbers = [abs(found.value) for cell in cells if (found := measure(cell, "."))]
    words = {re.sub(r"[\d.,+\-−\s]", "", fold(cell)) for cell in cells} - {""}
    return len(words) == 2 and len(numbers) > 0.8 * len(cells) and sorted(numbers)[len(numbers) // 2] < NEAR
