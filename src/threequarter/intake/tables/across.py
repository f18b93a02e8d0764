"""Columns of carries that bear names: "Anna carry (m)" beside "Bert carry (m)". Are they players, or swings of a player's own?"""

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import pairwise
from statistics import median
from typing import Final, Literal

from threequarter.golf.message import Message
from threequarter.intake.tables.context import Context
from threequarter.intake.tables.days import names_a_month
from threequarter.intake.tables.decode import fold
from threequarter.intake.tables.layout import letter_of
from threequarter.intake.tables.lines import Labels, is_shot, name_like
from threequarter.intake.tables.numbers import find_number, to_float
from threequarter.intake.tables.shape import Block
from threequarter.intake.tables.units import split_heading
from threequarter.intake.tables.vocabulary import words_of
from threequarter.intake.tables.wide_layout import Wide

Answer = Literal["players", "swings", "measures"]
_FAR: Final = ("carry", "distance")
_LABELS: Final = ("club", "swing", "shot_label")
LEAST_FAR: Final = 8.0
"""A column whose middle is less holds no carries."""
TOGETHER: Final = 0.8
"""Correlation of the steps from ball to ball from which on two columns measure the same balls."""
JUMP: Final = 0.25
AS_FAR: Final = 2.0
"""Carries of two players with the same shots differ by less than this factor."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Across:
    """A table whose columns of carries bear names: their places with the names, the labels of the rows, the unit of all."""

    head: int
    headings: tuple[str, ...]
    names: dict[int, str]
    label_columns: dict[str, int]
    unit_m: float | None

    def as_wide(self, answer: Answer) -> Wide:
        """The layout where each column is a player, or a swing."""
        labels = {at: Labels(player=n) if answer == "players" else Labels(swing=n) for at, n in self.names.items()}
        return Wide(
            head=self.head,
            kind="labels",
            columns=tuple(self.names),
            labels=labels,
            label_columns=dict(self.label_columns),
            unit_m=self.unit_m,
        )


def names_across(block: Block | None, learned: Mapping[str, str]) -> Across | None:
    """The names over the columns of carries, two at least; None where the table is no such one. `learned` are headings that
    were explained before: no names."""
    if block is None or block.last != block.first:
        return None
    said = {at: block.words(at).best for at in range(len(block.headings))}
    if "player" in said.values():
        return None
    labels = {role: at for at, role in reversed(said.items()) if role in _LABELS}
    named = {at: name for at in said if at not in labels.values() and (name := _name_of(block.headings[at], learned))}
    with_word = {at for at in named if said[at] in _FAR}
    if with_word:
        named = {at: name for at, name in named.items() if at in with_word}
    others = {at for at, role in said.items() if role in _FAR and at not in named}
    middles = {at: middle for at in named if (middle := _middle(block, at)) is not None}
    if len(named) < 2 or others or middles.keys() != named.keys() or len(set(named.values())) < len(named):
        return None
    units = {unit for at in named if (unit := split_heading(block.headings[at])[1])}
    alike = min(middles.values()) >= LEAST_FAR and max(middles.values()) < AS_FAR * min(middles.values())
    if not with_word and any(_run_along(block, one, two) for one, two in pairwise(sorted(named))):
        return None  # a carry and its total, under words that are not known
    if not labels or not alike or len(units) > 1 or any(unit[0] != "length" for unit in units):
        return None
    return Across(
        head=block.sheet.rows.index(block.sheet.rows[block.last]),
        headings=tuple(block.headings),
        names=named,
        label_columns=labels,
        unit_m=next(iter(units))[1] if units else None,
    )


def _name_of(heading: str, learned: Mapping[str, str]) -> str:
    """What may be a name in a heading: its words but those that speak of the carry; empty where there is none."""
    if not heading.strip() or fold(heading) in learned:
        return ""
    unit = split_heading(heading)[1]
    kept = [word for word in heading.replace("(", " (").split() if not word.startswith(("(", "["))]
    kept = [word.strip(",:;-–/") for word in kept]
    kept = [word for word in kept if word and words_of(word).best not in _FAR]
    if unit and len(kept) > 1 and split_heading(f"x {kept[-1]}")[1] == unit:
        kept = kept[:-1]
    name = " ".join(kept)
    known = is_shot(name) or names_a_month(name) or any(words_of(part).roles for part in (name, *kept))
    return name if name and name_like(name) and not known else ""


def _middle(block: Block, at: int) -> float | None:
    """The middle of a column's numbers; None where fewer than two of its cells, or only some of them, are numbers."""
    cells = [
        row.cells[at]
        for row in block.body[:60]
        if at < len(row.cells) and row.cells[at].strip() and len(row.filled) > 1
    ]
    told = [to_float(number.digits, ".") for cell in cells if (number := find_number(cell))]
    values = [value for value in told if value is not None]
    return median(values) if len(values) >= max(2, 0.8 * len(cells)) else None


def _run_along(block: Block, one: int, two: int) -> bool:
    """Whether two columns rise and fall together from ball to ball of a shot, as a carry and its total do."""
    steps = []
    for above, below in pairwise(row.cells for row in block.body[:200] if len(row.filled) > 1):
        told = [find_number(cells[at]) if at < len(cells) else None for cells in (above, below) for at in (one, two)]
        values = [to_float(number.digits, ".") for number in told if number]
        if len(values) == 4 and None not in values:
            a, b, c, d = (value or 0.0 for value in values)
            if abs(c - a) < JUMP * abs(a):  # not on to the next shot
                steps.append((c - a, d - b))
    size = (sum(x * x for x, _y in steps) * sum(y * y for _x, y in steps)) ** 0.5
    return len(steps) > 2 and size > 0 and sum(x * y for x, y in steps) / size > TOGETHER


def ask_across(context: Context, across: Across) -> None:
    """Asks what the names over the columns are, in the place of which column is the carry."""
    for about in ("carry", "player", "swing"):
        if about in context.questions and (about != "swing" or "swing" not in across.label_columns):
            del context.questions[about]
    columns = tuple(f"{letter_of(at)} “{across.headings[at]}”" for at in across.names)
    swings = not {"swing", "shot_label"} & across.label_columns.keys()
    code = "intake.ask.across" if swings else "intake.ask.players_across"
    choices = ("players", "swings", "measures") if swings else ("players", "measures")
    context.ask("player", Message(code, columns=columns), "--across", choices)
    context.hold_back = True
