"""Which column is what, decided together: every column that could be the carry is tried as the carry, and the others
take the roles that then fit best, one column a role, with "something else" always open to them.

Given the carry the other columns tell nothing more of each other than that no two can be the same thing, so that the
score of a hypothesis is exact but for the beam (the first BEAM assignments are followed).
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from threequarter.intake.tables.column import Column
from threequarter.intake.tables.evidence import IMPOSSIBLE, NUMERIC_ROLES, alone, as_carry, beside, copy_of
from threequarter.intake.tables.vocabulary import CAP

BEAM: Final = 24
ROLE_COSTS: Final = 1.0
"""Log odds that a role must earn against "something else"."""
PRIOR: Final = 1.5
"""Log odds that a table of numbers which was brought in has a carry at all."""
_BY_WORDS_ONLY: Final = frozenset(
    ("average", "wind", "attack", "time", "rank", "count", "spin_axis", "roll", "loft", "ratio", "club", "swing")
)
"""Roles whose numbers have no mark of their own: only a heading gives them."""
_ONCE: Final = frozenset(("offline", "ball_speed", "club_speed", "launch", "spin", "descent", "number"))
_MEASURED: Final = ("carry", "pile", "distance")


@dataclass(frozen=True, slots=True, kw_only=True)
class Hypothesis:
    """One column as the carry (None: no column is), what the others are then, and the posterior probability."""

    carry: int | None
    roles: Mapping[int, str]
    score: float
    probability: float = 0.0


def said_carry(column: Column) -> float:
    """What the heading says for the carry; "distance" says less, as it may be the total."""
    told = column.words.roles
    return max(told.get("carry", 0.0), told.get("pile", 0.0), 0.75 * told.get("distance", 0.0))


def hypotheses(columns: Sequence[Column], fixed: Mapping[int, str]) -> list[Hypothesis]:
    """All hypotheses, likeliest first. `fixed` holds the roles that a person has named."""
    numeric = [column for column in columns if column.numeric or column.at in fixed]
    named = [at for at, role in fixed.items() if role in ("carry", "pile")]
    free = [c for c in numeric if c.at not in fixed]
    tried: list[Column | None] = [c for c in numeric if c.at in named] or [
        None,
        *(c for c in free if as_carry(c) > IMPOSSIBLE),
    ]
    found = []
    for carry in tried:
        roles, score = _others([c for c in free if carry is None or c.at != carry.at], carry)
        if carry is not None:
            score += PRIOR + said_carry(carry) + as_carry(carry)
        found.append(Hypothesis(carry=carry.at if carry else None, roles=roles, score=score))
    most = max(one.score for one in found)
    whole = sum(math.exp(one.score - most) for one in found)
    shared = [
        Hypothesis(carry=one.carry, roles=one.roles, score=one.score, probability=math.exp(one.score - most) / whole)
        for one in found
    ]
    return sorted(shared, key=lambda one: -one.score)


def fit(column: Column, role: str, carry: Column | None) -> float:
    """Both witnesses together for a role, against "something else"."""
    score = min(CAP, column.words.roles.get(role, 0.0)) + alone(column, role)
    return score + (beside(column, role, carry) if carry is not None else 0.0)


def _others(columns: Sequence[Column], carry: Column | None) -> tuple[dict[int, str], float]:
    beam: list[tuple[float, frozenset[str], tuple[tuple[int, str], ...]]] = [(0.0, frozenset(), ())]
    for column in columns:
        options = [
            (fit(column, role, carry) - ROLE_COSTS, role)
            for role in NUMERIC_ROLES
            if role not in _BY_WORDS_ONLY or role in column.words.roles
        ]
        options = [(score, role) for score, role in options if score > 0]
        if carry is not None and copy_of(column, carry):
            options.append((2.0 + said_carry(column) / 2, "copy"))
        grown = []
        for score, used, taken in beam:
            grown.append((score - _unsaid(column), used, taken))
            for gain, role in options:
                if role not in used:
                    grown.append((score + gain, used | {role} if role in _ONCE else used, (*taken, (column.at, role))))
        beam = sorted(grown, key=lambda one: -one[0])[:BEAM]
    score, _used, taken = beam[0]
    return dict(taken), score


def _unsaid(column: Column) -> float:
    """What it costs that a heading which names a role should mean something else."""
    told = [score for role, score in column.words.roles.items() if role not in _MEASURED]
    carry = 0.5 * said_carry(column)
    return 0.25 * max([carry, *told], default=0.0)
