"""What each column of a table is, and what must be asked: both witnesses have to agree, or one must be silent and the
other beyond doubt."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Final

import numpy as np
from numpy.typing import NDArray

from threequarter.intake.tables.column import Column
from threequarter.intake.tables.evidence import (
    IMPOSSIBLE,
    alone,
    as_carry,
    beside,
    between_two,
    both,
    copy_of,
    correlation,
    follows,
    less_a_constant,
    share,
    shots_spread,
    speed_tells,
)
from threequarter.intake.tables.joint import Hypothesis, hypotheses, said_carry

SURE: Final = 0.98
"""One silent error costs as much as fifty questions, so that 1 in 50 is the most that goes unasked."""
SAID: Final = 1.5
"""Log odds from which on a heading counts as saying something."""
LEAST_WITHIN: Final = 0.005
"""Share of a column's spread that lies within shots, from which on it changes from ball to ball."""
_BY_BALL: Final = ("ball_speed", "launch", "spin")
_ELSE: Final = (
    "total",
    "target",
    "deviation",
    "average",
    "height",
    "descent",
    "time",
    "club_speed",
    "ratio",
    "roll",
    "last",
    "rank",
    "spin_axis",
    "attack",
    "wind",
    "date",
    "condition",
    "number",
)


@dataclass(slots=True, kw_only=True)
class Decision:
    """The roles of a table's columns by place, why the others are not used, and what is asked: subject -> places.
    `belied` are columns whose cells are plainly not what the heading says."""

    roles: dict[int, str] = field(default_factory=dict)
    ignored: dict[int, str] = field(default_factory=dict)
    asked: dict[str, tuple[int, ...]] = field(default_factory=dict)
    likely: dict[int, tuple[str, ...]] = field(default_factory=dict)
    belied: set[int] = field(default_factory=set)

    def ask(self, about: str, *places: int) -> None:
        """Asks about a subject; the places are the columns that could answer."""
        before = self.asked.get(about, ())
        new = tuple(at for at in dict.fromkeys(places) if at not in before)
        self.asked[about] = before + new
        for at in new:
            self.likely[at] = (*self.likely.get(at, ()), about)

    def at(self, role: str) -> int | None:
        """The column of a role."""
        return next((at for at, found in self.roles.items() if found == role), None)


def decide_numbers(
    columns: Sequence[Column], fixed: Mapping[int, str], groups: NDArray[np.int64], taken: set[int]
) -> Decision:
    """The columns of numbers. `groups` tells the shot of each row as far as known; `taken` are columns with labels."""
    by_place = {c.at: c for c in columns}
    told = Decision(roles=dict(fixed))
    numeric = [c for c in columns if (c.numeric and c.at not in taken) or c.at in fixed]
    for column in numeric:
        column.changes = LEAST_WITHIN < shots_spread(column, groups) < 1.0
    found = hypotheses(numeric, fixed) if numeric else []
    best = next(
        (
            one
            for one in found
            if one.carry is not None and (one.carry in fixed or not _named_else(by_place[one.carry]))
        ),
        None,
    )
    if best is None:
        _without_carry(told, numeric, fixed)
        return told
    assert best.carry is not None
    carry = by_place[best.carry]
    if carry.words.best == "average" and best.carry not in fixed:
        told.ignored = {c.at: c.words.best or "no_role" for c in numeric}
        return told
    if best.carry not in fixed:
        _the_carry(told, numeric, found, best, carry, groups)
    told.roles.setdefault(carry.at, "pile" if carry.words.best == "pile" else "carry")
    _the_side(told, numeric, best, carry)
    _the_ball(told, numeric, best, carry)
    _the_count(told, numeric, carry)
    _the_rest(told, numeric, best, carry)
    return told


def _named_else(column: Column) -> bool:
    """Whether the heading clearly names another role, and the numbers do not belie it."""
    name = column.words.best
    if name is None or said_carry(column) >= SAID or name == "average":
        return False
    return column.words.roles[name] >= 2.5 and alone(column, name) > -3


def _without_carry(told: Decision, numeric: Sequence[Column], fixed: Mapping[int, str]) -> None:
    totals = [c.at for c in numeric if c.words.best in ("total", "average")]
    if totals and not fixed:
        told.ask("carry", *totals[:1])
    for column in numeric:
        if column.at not in told.roles:
            told.ignored[column.at] = column.words.best if column.words.best in _ELSE else "no_role"


def _the_carry(
    told: Decision,
    numeric: Sequence[Column],
    found: Sequence[Hypothesis],
    best: Hypothesis,
    carry: Column,
    groups: NDArray[np.int64],
) -> None:
    """Whether the likeliest carry may be taken unasked."""
    rivals = [
        c
        for c in numeric
        if c.at != carry.at
        and not copy_of(c, carry)
        and as_carry(c) > IMPOSSIBLE
        and said_carry(c) >= SAID
        and c.words.best in ("carry", "distance", "pile")
        and not (c.words.best == "distance" and carry.words.best == "carry" and beside(c, "total", carry) > 1)
    ]
    weak = said_carry(carry) < SAID or carry.words.best not in ("carry", "distance", "pile")
    total = next((one for one in found if one.carry is None), None)
    if (
        total
        and total.probability > best.probability
        and weak
        and any(c.words.best in ("total", "average") for c in numeric)
    ):
        told.ask("carry", *(c.at for c in numeric if c.words.best in ("total", "average")))
        return
    doubtful = best.probability + _copies(found, carry, numeric) < SURE or as_carry(carry) <= -2.0
    if carry.words.best is not None and said_carry(carry) == 0:
        told.belied.add(carry.at)
    if weak or rivals or doubtful or _contradicted(numeric, carry, groups):
        others = [one.carry for one in found if one.carry not in (None, carry.at) and one.probability > 0.001]
        places = dict.fromkeys((carry.at, *(c.at for c in rivals), *(at for at in others if at is not None)))
        told.ask("carry", *list(places)[:4])


def _copies(found: Sequence[Hypothesis], carry: Column, numeric: Sequence[Column]) -> float:
    """Probability that falls on the same carry in another unit: whichever is taken, the ball is the same."""
    same = {
        c.at for c in numeric if c.at != carry.at and copy_of(c, carry) and c.words.best in ("carry", "distance", None)
    }
    return sum(one.probability for one in found if one.carry in same)


def _contradicted(numeric: Sequence[Column], carry: Column, groups: NDArray[np.int64]) -> bool:
    """Whether the numbers speak against the carry that the headings name."""
    whole_fives = carry.whole and share(carry.numbers % 5 == 0) > 0.95
    for column in numeric:
        if column.at == carry.at:
            continue
        name, said = column.words.best, max(column.words.roles.values(), default=0.0)
        if name == "total" and said > 2 and beside(column, "total", carry) < 0:
            return True
        if name in ("ball_speed", "club_speed") and said > 2 and beside(column, name, carry) < -3:
            return True
        if name == "height" and said > 2 and beside(column, "height", carry) < -3:
            return True
        if name == "target" and said > 2 and whole_fives and not share(column.numbers % 5 == 0) > 0.9:
            return True
        if follows(column, carry) and shots_spread(carry, groups) > shots_spread(column, groups) - 0.05:
            return True
        if said < SAID and _above_it(column, carry):
            return True
    return False


def _above_it(column: Column, carry: Column) -> bool:
    """Whether a column without a name lies a little below the carry, as a carry lies below a total."""
    x, c = both(column, carry)
    if x.size < 5 or copy_of(column, carry) or less_a_constant(column, carry):
        return False
    unit = column.length_m / carry.length_m if column.length_m and carry.length_m else 1.0
    ratio = unit * x / np.maximum(c, 1e-9)
    return share((ratio < 1.0) & (ratio > 0.6)) > 0.9 and correlation(x, c) > 0.97


def _the_side(told: Decision, numeric: Sequence[Column], best: Hypothesis, carry: Column) -> None:
    """The distance off the line: named and not impossible, or with left and right in its cells."""
    if "offline" in told.roles.values():
        return
    free = [c for c in numeric if c.at not in told.roles and not _off_a_target(c, carry, numeric)]
    named = [c for c in free if c.words.roles.get("offline", 0) >= SAID and c.words.best in ("offline", "side_word")]
    fits = [c for c in named if beside(c, "offline", carry) > -3 and (c.unit is None or c.unit[0] == "length")]
    if named and not fits and all(c.unit is None or c.unit[0] == "length" for c in named):
        told.ask("offline", *(c.at for c in named))
        return
    if len(fits) > 1 and not all(copy_of(c, fits[0]) for c in fits[1:]):
        told.ask("offline", *(c.at for c in fits))
    if fits:
        told.roles[fits[0].at] = "offline"
        return
    sided = [c for c in free if c.sides > 0.5 and beside(c, "offline", carry) > 1 and c.words.best is None]
    if len(sided) == 1:
        told.roles[sided[0].at] = "offline"
        return
    maybe = [c for c in free if c not in sided and why_not(c, best, carry) is None and _side_like(c, carry)]
    if maybe or sided:
        told.ask("offline", *(c.at for c in [*sided, *maybe]))


def _off_a_target(column: Column, carry: Column, numeric: Sequence[Column]) -> bool:
    """Whether a column is the carry less a target, and not the run: a total less the carry is one too."""
    targets = [c for c in numeric if c.words.best not in ("total", "roll", "offline")]
    return between_two(column, carry, targets)


def _side_like(column: Column, carry: Column) -> bool:
    x = column.numbers
    if x.size < 3 or column.running or less_a_constant(column, carry) or follows(column, carry):
        return False
    if column.unit and column.unit[0] != "length":
        return False
    fits = beside(column, "offline", carry)
    if column.words.best is None and bool(np.any(x < 0)) and fits > IMPOSSIBLE:
        return True  # below zero is no distance: few numbers else are small beside the carry and have a sign
    if column.words.best is None and column.unit and fits > IMPOSSIBLE:
        return True  # a short length that nothing explains: how far off the line, whichever side
    return fits >= 1.0 and share(x < 0) > 0.05


def _the_ball(told: Decision, numeric: Sequence[Column], best: Hypothesis, carry: Column) -> None:
    """Ball speed, launch and spin: named and possible; a spin also by numbers that nothing else has."""
    for role in _BY_BALL:
        if role in told.roles.values():
            continue
        free = [c for c in numeric if c.at not in told.roles]
        named = [
            c for c in free if c.words.roles.get(role, 0) >= 1.0 and alone(c, role) > -3 and beside(c, role, carry) > -4
        ]
        named = [c for c in named if c.words.best == role or best.roles.get(c.at) == role]
        if role == "ball_speed":
            named = _faster(named, free, carry)
        if len(named) > 1:
            named = [c for c in named if best.roles.get(c.at) == role] or named
            strongest = max(c.words.roles.get(role, 0) for c in named)
            named = [c for c in named if c.words.roles.get(role, 0) == strongest]
        if not named and role == "spin":
            named = [c for c in free if c.words.best is None and alone(c, "spin") >= 4]
        if len(named) == 1:
            told.roles[named[0].at] = role


def _faster(named: list[Column], free: Sequence[Column], carry: Column) -> list[Column]:
    """Of two columns that only say "speed" the faster is the ball's."""
    unsure = [c for c in free if c.words.best in ("ball_speed", "club_speed") and max(c.words.roles.values()) <= 2.0]
    if len(unsure) == 2 and not any(c.words.roles.get("ball_speed", 0) > 2 for c in named):
        x, y = both(unsure[0], unsure[1])
        factor = [c.unit[1] if c.unit else 1.0 for c in unsure]
        if x.size and share(x * factor[0] > y * factor[1]) > 0.9:
            return [unsure[0]]
        if x.size and share(x * factor[0] < y * factor[1]) > 0.9:
            return [unsure[1]]
        return []
    if len(unsure) == 1 and named == unsure:
        return named if speed_tells(unsure[0], carry) or not any(c.words.best == "club_speed" for c in free) else []
    return [c for c in named if c not in unsure] or named


def _the_count(told: Decision, numeric: Sequence[Column], carry: Column) -> None:
    """How many balls a row stands for: beside the middle of a pile."""
    if "count" in told.roles.values():
        return
    piles = carry.words.best == "pile"
    for column in numeric:
        if column.at not in told.roles and not column.running and alone(column, "count") > 0:
            said = column.words.roles
            if said.get("count", 0) >= (1 if piles else 3.5) or (piles and said.get("number", 0) >= SAID):
                told.roles[column.at] = "count"
                return


def _the_rest(told: Decision, numeric: Sequence[Column], best: Hypothesis, carry: Column) -> None:
    """Why each other column of numbers is not used."""
    for column in numeric:
        if column.at in told.roles:
            continue
        why = "deviation" if _off_a_target(column, carry, numeric) else why_not(column, best, carry)
        told.ignored[column.at] = why or "no_role"
        if why is None and said_carry(column) >= SAID and column.words.best in ("carry", "distance", "pile"):
            x, c = both(column, carry)
            small = x.size > 0 and float(np.median(np.abs(x) / np.maximum(c, 1e-9))) < 0.4
            told.ask("offline" if small else "carry", *((column.at,) if small else (carry.at, column.at)))


def why_not(column: Column, best: Hypothesis, carry: Column) -> str | None:
    """Why a column of numbers is not used, with its proof: by arithmetic, or by a heading that the numbers do not belie."""
    x, name = column.numbers, column.words.best
    if copy_of(column, carry):
        return "copy"
    if column.running:
        return "number"
    if less_a_constant(column, carry):
        return "deviation"
    if follows(column, carry):
        return "last"
    if x.size > 1 and np.ptp(x) == 0:
        return "constant"
    if (
        name == "deviation"
        and _side_like(column, carry)
        and (column.words.roles["deviation"] < 3 or abs(correlation(*both(column, carry))) < 0.5)
    ):
        return None
    if name in _ELSE and alone(column, name) + beside(column, name, carry) > -2.5:
        return name
    return best.roles[column.at] if best.roles.get(column.at) in _ELSE else None
