"""One heading that its own cells belie takes the trust from all of its row: headings were swapped, moved along, or copied.

What then has no witness but a heading is asked about; what the cells themselves bear out is read as before.
"""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Final

from threequarter.intake.tables.column import MEASURES, Column
from threequarter.intake.tables.decide import SURE, Decision
from threequarter.intake.tables.decide_labels import look_of
from threequarter.intake.tables.decode import fold
from threequarter.intake.tables.evidence import IMPOSSIBLE, as_carry
from threequarter.intake.tables.joint import hypotheses
from threequarter.intake.tables.labels import Labels
from threequarter.intake.tables.vocabulary import Words

PROPER: Final = {
    "club": ("club", "lofts", "pair"),
    "swing": ("swing", "pair"),
    "player": ("names",),
    "shot_label": ("pair", "club", "swing"),
}
"""What the cells of a role look like where they say so themselves."""
MOST_SHOWN: Final = 4
_SUBJECTS: Final = {"shot_label": ("club", "swing")}
_FAR: Final = frozenset(("carry", "pile", "distance", "total"))
_LABELS: Final = frozenset(("club", "shot_label"))
_AGAIN: Final = 3
"""A heading that stands over so many columns is no heading: labels of balls that lie on their side, or a dragged cell."""


def distrust(labels: Decision, numbers: Decision, columns: Sequence[Column], fixed: Mapping[int, str]) -> None:
    """Asks about all that only the headings say, where one of them is plainly wrong."""
    by_place = {column.at: column for column in columns}
    answered = any(_another(by_place[at], role) for at, role in fixed.items() if at in by_place)
    if not answered and not (labels.belied | numbers.belied) - set(fixed):
        return
    for at, role in labels.roles.items():
        if at in fixed or role not in PROPER or at not in by_place:
            continue
        if look_of(Labels(column=by_place[at])) not in PROPER[role]:
            for subject in _SUBJECTS.get(role, (role,)):
                labels.ask(subject, at)
    side = numbers.at("offline")
    if (
        side is not None
        and side not in fixed
        and by_place[side].sides < 0.3
        and "side_word" not in labels.roles.values()
    ):
        numbers.ask("offline", side)
    carry = numbers.at("carry")
    if carry is not None and carry not in fixed:
        likely = by_numbers(columns, fixed)
        if not likely or likely[0][0] != carry or likely[0][1] < SURE:
            numbers.ask("carry", carry, *(at for at, _chance in likely[:MOST_SHOWN]))


def _another(column: Column, role: str) -> bool:
    """Whether a person named a role that is not the one the heading names."""
    said = column.words.best
    if said is None or column.words.roles[said] < 2.5 or said == role or {said, role} <= _FAR:
        return False
    return said in (*PROPER, *MEASURES) and role in (*PROPER, *MEASURES) and not {said, role} <= _LABELS


def by_numbers(columns: Sequence[Column], fixed: Mapping[int, str]) -> list[tuple[int, float]]:
    """The columns that could be the carry by their numbers alone, and how likely each is then."""
    silent = [replace(c, words=Words(unit=c.words.unit)) for c in columns if c.numeric and c.at not in fixed]
    if not silent:
        return []
    found = [one for one in hypotheses(silent, {}) if one.carry is not None]
    return [(one.carry, one.probability) for one in found if one.carry is not None]


def carry_of_any(columns: Sequence[Column], fixed: Mapping[int, str]) -> tuple[int, ...]:
    """The columns to show where headings tell nothing: those whose numbers could be carries, likeliest first."""
    likely = [at for at, _chance in by_numbers(columns, fixed)][:MOST_SHOWN]
    others = [c.at for c in columns if c.numeric and as_carry(c) > IMPOSSIBLE and c.at not in likely]
    return tuple((likely + others)[:MOST_SHOWN])


def heads_nothing(headings: Sequence[str]) -> bool:
    """Whether most headings stand over several columns each, so that they are labels and no headings."""
    told = Counter(fold(heading) for heading in headings if heading.strip())
    again = sum(count for count in told.values() if count >= _AGAIN)
    return again > 0.5 * max(1, sum(told.values()))
