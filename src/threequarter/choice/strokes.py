"""Expected strokes to hole out, computed from a stated model of putts and short shots; no table is looked up.

Putts: a ball is holed if its direction is within the hole and it would run less than 0.9 m (3 ft) past (direction:
Gelman & Nolan 2002, A probability model for golf putting, Teaching Statistics 24, 93-95; distance: Gelman 2019, Model
building and expansion for golf putting, a Stan case study; aimed 0.3 m past). What is left of a miss is putted again:
a Markov chain in the distance, as in Fearing, Acimovic & Graves 2011, J. Quant. Anal. Sports 7(1), 5.

Short shots from off the green end as a Gaussian cloud about the hole whose size grows with the distance and the lie;
some are mishit and stay half-way. The sizes by level are our own choice: a model to compare two shots with, not a
forecast of a score.
"""

from dataclasses import dataclass
from functools import cache
from typing import Final, Literal

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr

from threequarter.golf.errors import UserError
from threequarter.golf.message import Message

Floats = NDArray[np.float64]
Level = Literal["expert", "club", "newer"]
Lie = Literal["green", "fairway", "rough", "sand"]

HOLE_RADIUS_M: Final = 0.054
"""Rules of Golf, Definitions: the hole is 4 1/4 in (108 mm) in diameter."""
BALL_RADIUS_M: Final = 0.02134
PAST_M: Final = 0.3048
TOO_FAR_M: Final = 3 * 0.3048
FARTHEST_M: Final = 150.0
GREEN_RADIUS_M: Final = 12.0
"""Beyond this distance a ball that is not in trouble is taken to lie off the green, when the green's size is unknown."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Skill:
    """A level of play. Putting: SD of direction in radians, relative SD of distance. Short shots: relative SD and the
    share of mishits from the fairway."""

    direction_rad: float
    distance: float
    short_spread: float
    short_mishit: float


SKILLS: Final[dict[Level, Skill]] = {
    "expert": Skill(direction_rad=0.0178, distance=0.080, short_spread=0.07, short_mishit=0.02),
    "club": Skill(direction_rad=0.026, distance=0.11, short_spread=0.12, short_mishit=0.12),
    "newer": Skill(direction_rad=0.036, distance=0.16, short_spread=0.18, short_mishit=0.25),
}
"""`expert` putting: the fit to tour putts printed by Gelman 2019 (from memory). `club` direction: the 1.5 degrees of
Gelman & Nolan 2002 (from memory). The rest: our own choice."""

LIE_SPREAD: Final[dict[Level, dict[Lie, float]]] = {
    "expert": {"green": 0.0, "fairway": 1.0, "rough": 1.45, "sand": 1.7},
    "club": {"green": 0.0, "fairway": 1.0, "rough": 1.5, "sand": 2.3},
    "newer": {"green": 0.0, "fairway": 1.0, "rough": 1.6, "sand": 2.4},
}
LIE_MISHIT: Final[dict[Level, dict[Lie, float]]] = {
    "expert": {"green": 0.0, "fairway": 1.0, "rough": 1.5, "sand": 2.0},
    "club": {"green": 0.0, "fairway": 1.0, "rough": 1.6, "sand": 3.0},
    "newer": {"green": 0.0, "fairway": 1.0, "rough": 1.7, "sand": 2.2},
}
"""How much wider a short shot spreads, and how much more often it is mishit, than from the fairway. Common practice, no source: from
sand an expert loses one to two tenths of a stroke on the fairway, a club player about half, a beginner six or seven tenths."""
MOST_MISHITS: Final = 0.6

_PUTT_GRID = np.concatenate([np.linspace(0.05, 3, 60), np.linspace(3.2, 30, 135)])
_SHOT_GRID = np.concatenate([np.linspace(1, 30, 59), np.linspace(32, FARTHEST_M, 60)])
_NODES, _WEIGHTS = np.polynomial.hermite_e.hermegauss(15)
_WEIGHTS = _WEIGHTS / _WEIGHTS.sum()
_Z = np.linspace(-3.5, 3.5, 71)
_PZ = np.exp(-0.5 * _Z**2) / np.exp(-0.5 * _Z**2).sum()


def holed(distance_m: Floats | float, skill: Skill) -> Floats:
    """Chance to hole a putt from `distance_m` (any shape)."""
    x = np.maximum(np.asarray(distance_m, dtype=float), 0.03)
    reach = np.arcsin(np.minimum((HOLE_RADIUS_M - BALL_RADIUS_M) / x, 1.0))
    direction = 2 * ndtr(reach / skill.direction_rad) - 1
    rolled_sd = (x + PAST_M) * skill.distance
    length = ndtr((TOO_FAR_M - PAST_M) / rolled_sd) - ndtr(-PAST_M / rolled_sd)
    return np.asarray(direction * length)


@cache
def _putts(level: Level) -> Floats:
    """Expected putts on the grid of distances, by iterating the Markov chain until it stands still."""
    skill = SKILLS[level]
    x = _PUTT_GRID[:, None, None]
    angle = (_Z * skill.direction_rad)[None, :, None]
    rolled = (x + PAST_M) * (1 + skill.distance * _Z[None, None, :])
    reach = np.arcsin(np.minimum((HOLE_RADIUS_M - BALL_RADIUS_M) / x, 1.0))
    inside = (np.abs(angle) < reach) & (rolled > x) & (rolled < x + TOO_FAR_M)
    left = np.sqrt(np.maximum(x**2 + rolled**2 - 2 * x * rolled * np.cos(angle), 0.0))
    weight = _PZ[None, :, None] * _PZ[None, None, :] * ~inside
    missed = 1 - holed(_PUTT_GRID, skill)
    weight = weight * (missed / np.maximum(weight.sum(axis=(1, 2)), 1e-12))[:, None, None]
    expected = np.full(len(_PUTT_GRID), 2.0)
    for _step in range(60):
        after = 1 + (weight * np.interp(left, _PUTT_GRID, expected)).sum(axis=(1, 2))
        if np.abs(after - expected).max() < 1e-6:
            break
        expected = after
    return expected


@cache
def _short_shots(level: Level, lie: Lie) -> Floats:
    """Expected strokes from off the green on the grid of distances; what misses the green is played again from rough."""
    skill = SKILLS[level]
    spread = skill.short_spread * LIE_SPREAD[level][lie]
    again = _short_shots(level, "rough") if lie != "rough" else None
    d = _SHOT_GRID[:, None, None]
    along = (0.3 + spread * d) * _NODES[None, :, None]
    across = 0.6 * (0.3 + spread * d) * _NODES[None, None, :]
    left = np.hypot(along, across)
    weight = _WEIGHTS[None, :, None] * _WEIGHTS[None, None, :]
    mishit = min(MOST_MISHITS, skill.short_mishit * LIE_MISHIT[level][lie])
    putts = np.interp(left, _PUTT_GRID, _putts(level))
    value = np.full(len(_SHOT_GRID), 3.0)
    for _step in range(80):
        next_value = value if again is None else again
        good = np.where(left <= GREEN_RADIUS_M, putts, np.interp(left, _SHOT_GRID, next_value))
        bad = np.interp(np.maximum(_SHOT_GRID / 2, 2.0), _SHOT_GRID, next_value)
        after = 1 + (1 - mishit) * (weight * good).sum(axis=(1, 2)) + mishit * bad
        if np.abs(after - value).max() < 1e-6:
            break
        value = after
    return value


def expected_strokes(distance_m: Floats | float, lie: Lie, level: Level = "club") -> Floats:
    """Strokes to hole out from `distance_m` (any shape, metres from the hole) on a lie, 1.0 at the hole's edge.

    Raises UserError beyond 150 m, where the model says nothing.
    """
    distance = np.asarray(distance_m, dtype=float)
    if distance.size and (not np.isfinite(distance).all() or distance.max() > FARTHEST_M or distance.min() < 0):
        worst = distance.flat[int(np.argmax(np.abs(np.nan_to_num(distance, nan=np.inf))))]
        raise UserError(Message("strokes.too_far", most_m=FARTHEST_M, worst_m=float(worst)))
    values, rises = _even(level, lie)
    at = distance / EVERY_M
    below = np.minimum(at.astype(int), len(rises) - 1)
    return np.asarray(values[below] + (at - below) * rises[below])


EVERY_M: Final = 0.05
"""Every grid point of putts and shots is a multiple of it, so that finding one is a division, not a search, and nothing is lost."""


@cache
def _even(level: Level, lie: Lie) -> tuple[Floats, Floats]:
    """Expected strokes of a lie at every multiple of EVERY_M, and what each adds to the one before it."""
    every = EVERY_M * np.arange(round(FARTHEST_M / EVERY_M) + 1)
    grid, known = (_PUTT_GRID, _putts(level)) if lie == "green" else (_SHOT_GRID, _short_shots(level, lie))
    values = np.interp(every, grid, known)
    return values[:-1], np.diff(values)
