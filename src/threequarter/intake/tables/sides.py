"""Which side of the line: words and letters for left and right beside a number, or in a column of their own."""

import re
from collections.abc import Mapping, Sequence
from typing import Final

from threequarter.intake.tables.column import Column
from threequarter.intake.tables.decide import Decision
from threequarter.intake.tables.decode import fold
from threequarter.intake.tables.numbers import Mark
from threequarter.intake.tables.values import measure, side_of

_TURNED: Final = frozenset(("kl", "lx"))
"""Letters of left and right in languages where L is right: Latvian (kreisi, labi), Maltese (xellug, lemin)."""


def a_pair(cells: Sequence[str]) -> bool:
    """Whether the single letters that tell sides, where there are two, can be left and right as they are known."""
    letters = {re.sub(r"[\W\d_]", "", fold(cell)) for cell in cells} - {""}
    single = sorted(word for word in letters if len(word) == 1 and word.isascii())
    if len(single) != 2:
        return True
    known = [side for word in single if (side := side_of(word)) is not None]
    return "".join(single) not in _TURNED and len(set(known)) == len(known)


def other_side(cells: Sequence[str], decimal: Mark) -> tuple[dict[str, float], bool]:
    """The sign of the one word that is not known beside one that is, and whether the words leave the sides in doubt."""
    told = [one for cell in cells if (one := measure(cell, decimal))]
    unknown = {fold(one.rest) for one in told if one.side is None and any(letter.isalpha() for letter in one.rest)}
    known = {one.side for one in told if one.side}
    if len(unknown) == len(known) == 1 and a_pair(cells):
        return {unknown.pop(): -float(known.pop())}, False
    return {}, bool(unknown) or not a_pair(cells)


def side_of_a_word(labels: Decision, numbers: Decision, columns: Sequence[Column], fixed: Mapping[int, str]) -> None:
    """Left and right in a column of their own say the side of a number: the one headed so, else it is asked which."""
    if labels.at("side_word") is None or "offline" in numbers.roles.values() or "offline" in numbers.asked:
        return
    free = [
        c for c in columns if c.numeric and c.at not in numbers.roles and c.at not in fixed and c.at not in labels.roles
    ]
    free = [c for c in free if numbers.ignored.get(c.at) not in ("number", "constant", "copy", "time", "date")]
    headed = [c for c in free if c.words.best in ("offline", "deviation")]
    if len(headed) == 1:
        numbers.roles[headed[0].at] = "offline"
        numbers.ignored.pop(headed[0].at, None)
    elif free:
        numbers.ask("offline", *(c.at for c in headed or free))
