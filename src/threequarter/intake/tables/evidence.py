"""What the numbers of a column say about it: the second witness, apart from its heading.

Log likelihoods against "something else", alone and beside a column that is taken for the carry. What a wedge shot can be
comes from the flight model and from arithmetic: speed grows with about the square root of carry, a total lies above it,
an apex is about a quarter of it, a deviation is it less a constant, a copy is it in another unit.
"""

from collections.abc import Sequence
from typing import Final

import numpy as np
from numpy.typing import NDArray

from threequarter.golf.units import FOOT_M, KMH_MPS, MPH_MPS, YARD_M
from threequarter.intake.tables.column import Column

Numbers = NDArray[np.float64]
NUMERIC_ROLES: Final = (
    "total",
    "target",
    "deviation",
    "offline",
    "ball_speed",
    "club_speed",
    "launch",
    "spin",
    "spin_axis",
    "height",
    "descent",
    "time",
    "ratio",
    "roll",
    "last",
    "rank",
    "average",
    "number",
    "count",
    "loft",
    "attack",
    "wind",
    "club",
    "swing",
)
SPEED_AT_50_M: Final = 26.3
SPEED_POWER: Final = 0.48
"""Ball speed of a wedge shot that carries 50 m, and how speed grows with carry: `intake.tables.units`, from the flight model."""
_RATIOS: Final = (YARD_M, 1 / YARD_M, FOOT_M, 1 / FOOT_M, 3.0, 1 / 3)
IMPOSSIBLE: Final = -8.0


def share(condition: NDArray[np.bool_]) -> float:
    """The share of rows for which it holds; 0 where there is none."""
    return float(np.mean(condition)) if condition.size else 0.0


def both(one: Column, two: Column) -> tuple[Numbers, Numbers]:
    """The rows in which both columns hold a number."""
    held = np.isfinite(one.values) & np.isfinite(two.values)
    return one.values[held], two.values[held]


def correlation(x: Numbers, y: Numbers) -> float:
    """Pearson's r; 0 where one of them does not vary."""
    if x.size < 3 or np.std(x) < 1e-9 or np.std(y) < 1e-9:
        return 0.0
    return float(np.corrcoef(x, y)[0, 1])


def as_carry(column: Column) -> float:
    """How well the numbers could be carries of wedge shots, in whatever unit."""
    x = column.numbers
    if not x.size or not column.numeric:
        return IMPOSSIBLE
    unit = column.length_m
    if column.no_length or (column.unit and column.unit[0] != "length"):
        return IMPOSSIBLE
    metres = x * unit if unit else x
    named = column.words.best in ("carry", "pile")  # then a longer club's is one too
    low, high = 4.0, 480.0 if not unit else 350.0 if named else 160.0
    outside = share((metres < low) | (metres > high))
    score = 0.5
    if outside > 0.34 or (x.size >= 4 and share(x < 0) > 0.1):
        return -3.0 if x.size < 8 and outside < 0.7 and column.words.best in ("carry", "pile") else IMPOSSIBLE
    score -= 6 * outside
    if column.running:
        return -6.0 if x.size <= 5 or column.words.best in ("carry", "pile") else IMPOSSIBLE
    if x.size >= 4 and np.ptp(x) == 0:
        score -= 6
    different = len(set(np.round(x, 4).tolist()))
    if x.size >= 8 and different <= max(2, 0.12 * x.size):
        score -= 3.5
    if x.size >= 6 and column.whole and share(x % 5 == 0) > 0.95 and not column.changes:
        score -= 2.5
    if unit is None and column.step == 1e-3 and np.median(x) < 14 and share(x < 14) > 0.9:
        score -= 3  # thousands of turns
    return score


def alone(column: Column, role: str) -> float:
    """How well the numbers fit a role without looking at the carry."""
    x = column.numbers
    if not x.size:
        return 0.0
    kind = column.unit[0] if column.unit else None
    middle, least, most = float(np.median(x)), float(np.min(x)), float(np.max(x))
    if role in ("ball_speed", "club_speed"):
        if kind not in (None, "speed"):
            return IMPOSSIBLE
        return (1.5 if kind == "speed" else 0.0) + (0.0 if 8 <= middle <= 200 and least >= 0 else IMPOSSIBLE)
    if role == "spin":
        if kind not in (None, "spin") or not np.any(x > 0):
            return IMPOSSIBLE
        middle = float(np.median(x[x > 0]))
        if middle < 20 and column.whole:
            return -4.0  # thousands of turns have a decimal; 1, 2, 3 count something else
        turns = middle * 1000 if middle < 20 else middle
        return (4.0 if kind == "spin" or middle > 1500 else 1.0) if 1500 <= turns <= 14000 and least >= 0 else -4.0
    if role in ("launch", "descent"):
        if kind not in (None, "angle"):
            return IMPOSSIBLE
        low, high = (12, 55) if role == "launch" else (25, 70)
        fits = low <= middle <= high and least >= 0 and most <= 75
        return (1.0 if kind == "angle" else 0.5) if fits else -5.0
    if role == "ratio":
        return 1.5 if 0.6 <= middle <= 1.7 and most < 2.2 else IMPOSSIBLE
    if role == "number":
        return 4.0 if column.running else -3.0
    if role == "rank":
        return 0.5 if column.whole and least >= 1 and most <= max(12, 1.2 * x.size) else -2.0
    if role == "time":
        return 0.5 if 0.5 <= middle <= 9 and least >= 0 else -1.0
    if role == "count":
        return 0.5 if column.whole and least >= 1 and most <= 100 else -5.0
    if role == "loft":
        return 0.5 if least >= 38 and most <= 66 else -5.0
    return _alone_more(column, role, kind, x)


def _alone_more(column: Column, role: str, kind: str | None, x: Numbers) -> float:
    if role in ("total", "target", "deviation", "height", "roll", "last", "average", "offline") and kind not in (
        None,
        "length",
    ):
        return IMPOSSIBLE
    if role in ("spin_axis", "attack"):
        return -0.5 if kind in (None, "angle") and float(np.max(np.abs(x))) <= 90 else -3.0
    if role == "target":
        return 1.5 if column.whole and share(x % 5 == 0) > 0.9 and not column.changes else -1.5
    if role == "wind":
        return 0.0
    if role in ("date", "condition"):
        return IMPOSSIBLE
    if role in ("club", "swing"):
        few = len(set(x.tolist())) <= max(2, min(12, 0.4 * x.size))
        return (
            (1.0 if few else -4.0)
            if role == "swing"
            else (1.0 if few and np.min(x) >= 38 and np.max(x) <= 70 else -4.0)
        )
    return 0.0


def beside(column: Column, role: str, carry: Column) -> float:
    """How well the numbers fit a role where another column is the carry."""
    x, c = both(column, carry)
    if x.size < 3:
        return 0.0
    ratio, tie = _in_carry_unit(column, carry) * x / np.maximum(c, 1e-9), correlation(x, c)
    if role == "total":
        over = ratio - 1
        loose = 0.012 + carry.step / max(float(np.median(c)), 1)
        fits = share((over > -loose) & (over < 0.6)) > 0.9 and 0.004 < float(np.median(over)) < 0.4
        return 3.0 * max(tie, 0) if fits and tie > 0.6 else -5.0
    if role == "target":
        return 1.0 if 0.6 < float(np.median(ratio)) < 1.6 else -2.0
    if role == "deviation":
        return (
            6.0 if less_a_constant(column, carry) else (0.5 if abs(tie) > 0.5 and np.min(x) < 0 < np.max(x) else -0.5)
        )
    if role == "offline":
        return _as_side(column, ratio, tie, carry)
    if role in ("ball_speed", "club_speed"):
        return _as_speed(x, c, column, carry, role)
    if role == "height":
        return 1.5 if 0.08 < float(np.median(ratio)) < 0.5 and tie > 0.4 else -4.0
    if role == "roll":
        return 0.5 if 0 <= float(np.median(ratio)) < 0.4 and np.min(x) > -3 else -4.0
    if role == "last":
        return 6.0 if follows(column, carry) else (-0.5 if 0.5 < float(np.median(ratio)) < 2 else -4.0)
    if role == "average":
        return 0.0 if 0.5 < float(np.median(ratio)) < 2 else -2.0
    return 0.0


def _in_carry_unit(column: Column, carry: Column) -> float:
    one, two = column.length_m, carry.length_m
    return one / two if one and two else 1.0


def _as_side(column: Column, ratio: Numbers, tie: float, carry: Column) -> float:
    if float(np.median(np.abs(ratio))) > 0.4 or share(np.abs(ratio) > 0.7) > 0.15 or less_a_constant(column, carry):
        return IMPOSSIBLE
    if column.sides > 0.3:
        return 3.5
    x = column.numbers
    signed = share(x < 0) > 0.05
    if signed:
        return 1.5 if abs(tie) < 0.6 else -1.0
    return -0.5 if tie < 0.6 else -2.0


def _as_speed(x: Numbers, c: Numbers, column: Column, carry: Column, role: str) -> float:
    held = (x > 0) & (c > 0)
    if held.sum() < 4:
        return 0.0
    speed, far = np.log(x[held]), np.log(c[held])
    level = 0.0
    unit = column.unit[1] if column.unit and column.unit[0] == "speed" else None
    metres = carry.length_m
    if unit and metres:
        usual = SPEED_AT_50_M * (c[held] * metres / 50) ** SPEED_POWER * (1.0 if role == "ball_speed" else 0.9)
        off = abs(float(np.median(np.log(x[held] * unit / usual))))
        level = 1.0 if off < 0.15 else -1.0 if off < 0.35 else -5.0
    if np.std(far) < 0.06 or np.std(speed) < 0.01:
        return level
    r = correlation(speed, far)
    slope = r * float(np.std(speed) / np.std(far))
    if r < 0.5:
        return level - 2.0
    return level + (3.0 * r if 0.3 < slope < 0.75 else -4.0)


def speed_tells(column: Column, carry: Column) -> bool:
    """Whether a column is the ball speed of the carry beyond doubt: by its slope and its level."""
    return _as_speed(*both(column, carry), column, carry, "ball_speed") > 2.5


def less_a_constant(column: Column, carry: Column) -> bool:
    """Whether a column is the carry less a constant, in the same or another unit, within rounding."""
    x, c = both(column, carry)
    if x.size < 4 or np.std(c) < 1e-9 or np.std(x) < 1e-9:
        return False
    middle = float(np.median(c))
    for scale in (1.0, *_RATIOS):
        loose = 1.02 * (column.step + carry.step * scale)
        for sign in (1, -1):
            rest = c * scale - sign * x
            if np.ptp(rest) <= loose and np.ptp(x) > 2 * loose and 0.3 < float(np.median(rest)) / (middle * scale) < 2:
                return True
    return False


def between_two(column: Column, carry: Column, columns: Sequence[Column]) -> bool:
    """Whether a column is the carry less another column, row by row: how far off a target that changes from shot to shot."""
    for other in columns:
        if other.at in (column.at, carry.at) or not other.numeric:
            continue
        held = np.isfinite(column.values) & np.isfinite(carry.values) & np.isfinite(other.values)
        x, rest = column.values[held], carry.values[held] - other.values[held]
        loose = 0.51 * (column.step + carry.step + other.step)
        if x.size >= 4 and np.ptp(x) > 2 * loose and any(share(np.abs(s * x - rest) <= loose) > 0.95 for s in (1, -1)):
            return True
    return False


def copy_of(column: Column, carry: Column) -> bool:
    """Whether a column is the carry once more, in the same or another unit, within rounding."""
    x, c = both(column, carry)
    if x.size < 3 or (column.length_m is None and carry.length_m is None and np.ptp(c) == 0):
        return False
    known = carry.length_m / column.length_m if column.length_m and carry.length_m else None
    for scale in (known,) if known else (1.0, *_RATIOS):
        loose = 0.51 * (column.step + carry.step * scale) + 0.002 * float(np.median(np.abs(x)))
        if share(np.abs(x - c * scale) <= loose) > 0.95:
            return True
    return False


def follows(column: Column, carry: Column) -> bool:
    """Whether a column tells the carry of the row before (or after) in each row."""
    x, c = column.values, carry.values
    for a, b in ((x[1:], c[:-1]), (x[:-1], c[1:])):
        held = np.isfinite(a) & np.isfinite(b)
        if held.sum() >= 4 and share(np.abs(a[held] - b[held]) < 1e-6) > 0.8 and np.ptp(b[held]) > 0:
            return True
    return False


def shots_spread(column: Column, groups: NDArray[np.int64]) -> float:
    """The spread within shots as a share of the whole spread; 1 where shots tell nothing."""
    held = np.isfinite(column.values) & (groups >= 0)
    x, g = column.values[held], groups[held]
    if x.size < 6 or np.var(x) == 0:
        return 1.0
    within = sum(float(np.sum((x[g == k] - np.mean(x[g == k])) ** 2)) for k in np.unique(g))
    return within / float(np.sum((x - np.mean(x)) ** 2))


MPH, KMH = MPH_MPS, KMH_MPS
