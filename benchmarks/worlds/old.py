"""Simulated sessions with known truth, for tuning and for checking coverage.

The players are drawn from common practice (no source), not measured: good figures on them show that the arithmetic is
right, not that golfers are like this. A player has a loft line, swing lengths, small rests of clubs and cells, a spread
that differs a little by cell, heavy tails, day shifts, a warm-up, and mishits of four kinds.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, Literal

import numpy as np
from numpy.typing import NDArray

from threequarter.golf.ball import Ball
from threequarter.golf.units import YARD_M

Kind = Literal[
    "plain",
    "left_out",
    "two_day",
    "one_ball",
    "one_club",
    "paced",
    "identical",
    "no_mishit",
    "many_mishit",
    "two_swings",
]
KINDS: Final[tuple[Kind, ...]] = (
    "plain",
    "left_out",
    "two_day",
    "one_ball",
    "one_club",
    "paced",
    "identical",
    "no_mishit",
    "many_mishit",
    "two_swings",
)
SHARES: Final = {
    "knee": (0.36, 0.08),
    "waist": (0.5, 0.07),
    "chest": (0.615, 0.05),
    "shoulder": (0.775, 0.05),
    "full": (1.0, 0.0),
}
CLOCKS: Final = {"8:00": (0.44, 0.04), "9:00": (0.58, 0.04), "10:00": (0.79, 0.04)}
LOFTS: Final = (46, 48, 50, 52, 54, 56, 58, 60)


@dataclass(frozen=True, slots=True, kw_only=True)
class TrueCell:
    """What holds for one cell: centres in metres, spread (SD in metres), and the second swing where there is one."""

    club: str
    swing: str
    stock_m: float
    next_m: float
    sd_m: float
    rate: float
    balls: int
    second_m: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Simulated:
    """A session and its truth. `mishits` are ball numbers."""

    kind: Kind
    balls: tuple[Ball, ...]
    cells: tuple[TrueCell, ...]
    mishits: frozenset[int]
    tail_df: float


def simulate(
    rng: np.random.Generator, kind: Kind = "plain", per_cell: int = 5, *, gap_spreads: float = 3.5, launch: bool = False
) -> Simulated:
    """One session of a kind. `gap_spreads`: how many spreads apart the centres of two swings under one name are.

    With `launch` every ball also has a launch angle and a backspin.
    """
    lofts = sorted(rng.choice(LOFTS, 1 if kind == "one_club" else int(rng.integers(2, 5)), replace=False).tolist())
    shares = CLOCKS if rng.random() < 0.2 else dict(list(SHARES.items())[int(rng.random() < 0.7) :])
    swings = list(shares)
    full = np.log(rng.normal(86, 15) * YARD_M) if rng.random() > 0.1 else np.log(rng.normal(50, 8) * YARD_M)
    slope = rng.normal(-0.031, 0.004)
    reach = {s: np.log(m) + rng.normal(0, sd) for s, (m, sd) in shares.items()}
    club_rest = {c: rng.normal(0, 0.012) for c in lofts}
    level = float(np.exp(rng.normal(np.log(0.066), 0.35)).clip(0.035, 0.13))
    rate = _rate(rng, kind, level)
    df = float(rng.uniform(5, 15))
    days = 2 if kind == "two_day" else 1
    day = rng.normal(0, 0.012, (days, 1)) + rng.normal(0, 0.008, (days, len(swings)))
    names = [(c, s) for c in lofts for s in swings]
    left_out = set(rng.choice(len(names), max(1, len(names) // 4), replace=False)) if kind == "left_out" else set()
    two = set(rng.choice(len(names), max(1, len(names) // 6), replace=False)) if kind == "two_swings" else set()
    centre = {(c, s): full + slope * (c - 54) + club_rest[c] + reach[s] + rng.normal(0, 0.016) for c, s in names}
    spread = {name: level * np.exp(rng.normal(0, 0.12)) for name in names}
    count = 1 if kind == "one_ball" else per_cell
    order = [(d, i) for d in range(days) for i in range(len(names)) if i not in left_out for _ in range(count)]
    if rng.random() < 0.5:
        order = [order[i] for i in rng.permutation(len(order))]
        order.sort(key=lambda pair: pair[0])
    rounding = {"paced": 5.0}.get(kind, float(rng.choice([0.1, 1.0]))) * YARD_M
    with_side = rng.random() < 0.7
    side_bias = rng.normal(0, 0.01)
    toe_side = rng.choice([-1, 1])
    warm = rng.uniform(0.0, 0.05)
    balls, mishits, seen = [], set(), {0: 0, 1: 0}
    for number, (d, i) in enumerate(order, start=1):
        club, swing = names[i]
        mu = centre[names[i]] + day[d, swings.index(swing)] - warm * np.exp(-seen[d] / 6)
        seen[d] += 1
        if i in two and rng.random() < 0.5:
            mu += gap_spreads * spread[names[i]]
        log_carry = mu + spread[names[i]] * rng.standard_t(df) * np.sqrt((df - 2) / df)
        side = side_bias + 0.043 * rng.normal()
        strike = "good"
        if rng.random() < rate:
            strike, log_carry, side = _mishit(rng, log_carry, side, toe_side)
            mishits.add(number)
        launch_deg, backspin_rpm = _launch(rng, strike, club, centre[names[i]] - full) if launch else (None, None)
        carry = float(np.clip(np.round(np.exp(log_carry) / rounding) * rounding, 1.0, 200.0))
        balls.append(
            Ball(
                number=number,
                day=d + 1,
                club=str(club),
                loft_deg=float(club),
                swing=swing,
                distance_m=float(carry),
                offline_m=float(side * carry) if with_side else None,
                launch_deg=launch_deg,
                backspin_rpm=backspin_rpm,
            )
        )
    if kind == "identical":
        balls = _piles(balls)
    cells = []
    for i, (club, swing) in enumerate(names):
        shift = day[:, swings.index(swing)]
        base = centre[names[i]]
        stock = float(np.exp(base + shift.mean()))
        cells.append(
            TrueCell(
                club=str(club),
                swing=swing,
                stock_m=stock,
                next_m=float(np.exp(base + shift[-1])),
                sd_m=float(spread[names[i]] * stock),
                rate=rate,
                balls=sum(b.club == str(club) and b.swing == swing for b in balls),
                second_m=float(stock * np.exp(gap_spreads * spread[names[i]])) if i in two else None,
            )
        )
    return Simulated(kind=kind, balls=tuple(balls), cells=tuple(cells), mishits=frozenset(mishits), tail_df=df)


def _rate(rng: np.random.Generator, kind: Kind, level: float) -> float:
    if kind == "no_mishit":
        return 0.0
    if kind == "many_mishit":
        return float(rng.uniform(0.36, 0.44))
    return float(np.clip(rng.normal(1.7 * level, 0.05), 0.01, 0.33))


def _mishit(rng: np.random.Generator, log_carry: float, side: float, toe_side: int) -> tuple[str, float, float]:
    kind = str(rng.choice(["fat", "thin_long", "thin_short", "toe"], p=[0.5, 0.23, 0.08, 0.19]))
    shift = {
        "fat": -0.06 - rng.gamma(2.4, 0.11),
        "thin_long": rng.normal(0.17, 0.10),
        "thin_short": rng.normal(-0.23, 0.11),
        "toe": rng.normal(-0.07, 0.05),
    }[kind]
    widen = {"fat": 1.5, "thin_long": 2.0, "thin_short": 1.3, "toe": 1.4}[kind]
    return kind, log_carry + shift, side * widen + (0.065 * toe_side if kind == "toe" else 0.0)


def _launch(rng: np.random.Generator, strike: str, loft_deg: float, log_reach: float) -> tuple[float, float]:
    """Launch angle in degrees and backspin in rpm: thin ones leave low, turf and the toe take spin (common practice)."""
    low, lost = {
        "good": (0.0, 0.0),
        "fat": (rng.normal(0, 2), rng.normal(0.45, 0.2)),
        "toe": (0.0, rng.normal(0.10, 0.05)),
    }.get(strike, (rng.normal(7, 3), rng.normal(0.2, 0.1)))
    launch_deg = 0.5 * loft_deg + 1 - 3 * log_reach - low + rng.normal(0, 1.5)
    log_spin = np.log(8500) + 0.02 * (loft_deg - 54) + 0.7 * log_reach - lost + rng.normal(0, 0.07)
    return float(launch_deg), float(np.exp(log_spin))


def _piles(balls: Sequence[Ball]) -> list[Ball]:
    """Every ball of a cell bears the middle of its pile."""
    from dataclasses import replace

    groups: dict[tuple[str, str], list[float]] = {}
    for ball in balls:
        groups.setdefault((ball.club, ball.swing), []).append(ball.distance_m)
    middle: dict[tuple[str, str], float] = {
        key: float(np.round(np.median(values) / YARD_M) * YARD_M) for key, values in groups.items()
    }
    return [replace(ball, distance_m=middle[ball.club, ball.swing], offline_m=None) for ball in balls]


def many(seed: int, count: int, kinds: Sequence[Kind] = KINDS, *, launch: bool = False) -> list[Simulated]:
    """A mixed lot of sessions, the odd kinds as often as in the open data: plain ones are three in ten."""
    rng = np.random.default_rng(seed)
    lot: list[Simulated] = []
    for i in range(count):
        kind: Kind = "plain" if rng.random() < 0.3 and "plain" in kinds else kinds[int(rng.integers(len(kinds)))]
        lot.append(simulate(rng, kind, (3, 5, 10)[i % 3], launch=launch))
    return lot


def coverage(values: NDArray[np.float64]) -> tuple[float, float, float]:
    """A share in percent with its 90 % interval (Wilson 1927, J. Am. Stat. Assoc. 22, 209-212)."""
    n, p, z = len(values), float(np.mean(values)), 1.645
    centre = (p + z * z / (2 * n)) / (1 + z * z / n)
    half = z * np.sqrt(p * (1 - p) / n + z * z / (4 * n * n)) / (1 + z * z / n)
    return 100 * p, 100 * (centre - half), 100 * (centre + half)
