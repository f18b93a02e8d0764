"""Columns that no rule explains: none that could tell the shots apart, or the side, is dropped for want of a name."""

import re
from collections.abc import Mapping, Sequence
from typing import Final

from threequarter.intake.tables.column import Column
from threequarter.intake.tables.decide import SAID, Decision
from threequarter.intake.tables.labels import Labels

PROVED: Final = frozenset(("copy", "number", "deviation", "last", "constant", "date", "time", "said"))
"""Reasons that the numbers themselves prove."""
LOFT_WITH_WORD: Final = re.compile(
    r"^(4\d|5\d|6[0-4])\s*(°|er\b|deg\b)\s*\D|\D\s+(4\d|5\d|6[0-4])\s*(°|er|deg)$", re.IGNORECASE
)


def ask_for_the_rest(
    labels: Decision, numbers: Decision, columns: Sequence[Column], known: Mapping[str, bool], gone: set[int]
) -> None:
    """Asks whether a column without a proved reason is the swing or the club, where these are not known yet.

    An answer that was given settles its own column only: what is still missing is looked for in the others.
    """
    roles = set(labels.roles.values()) | set(numbers.roles.values())
    if "shot_label" in roles or not roles & {"carry", "pile"}:
        return
    missing = [role for role in ("swing", "club") if role not in roles and not known[role]]
    if "loft" in roles:
        missing = [role for role in missing if role != "club"]
    for column in columns:
        if column.at not in gone and _unexplained(column, labels, numbers) and _tells_shots_apart(column):
            for role in missing:
                labels.ask(role, column.at)
        elif "club" in missing and labels.roles.get(column.at) == "swing" and _names_lofts(column):
            del labels.roles[column.at]
            for role in ("swing", "club"):
                labels.ask(role, column.at)


def _unexplained(column: Column, labels: Decision, numbers: Decision) -> bool:
    at = column.at
    if at in labels.roles or at in numbers.roles:
        return labels.roles.get(at) == "note" and column.words.best != "note"
    why = labels.ignored.get(at) or numbers.ignored.get(at)
    if why is None or why in PROVED:
        return False
    return why == "no_role" or column.words.roles.get(why, 0.0) < SAID


def _names_lofts(column: Column) -> bool:
    """Whether a swing's cells begin or end with a loft ("56° pouch"): a club ran into it, where a heading was lost."""
    cells = [cell for cell in column.cells if cell]
    return bool(cells) and sum(LOFT_WITH_WORD.search(cell) is not None for cell in cells) > 0.8 * len(cells)


def _tells_shots_apart(column: Column) -> bool:
    """Whether a few whole numbers or words stand for many rows."""
    found = Labels(column=column)
    return found.grouped and (column.whole or not column.numeric) and found.coverage > 0.5
