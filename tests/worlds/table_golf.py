"""A golf world of its own for test tables: who swings what, how far it flies, how it spreads.

Independent of the product: its own flight (drag and lift of a spinning ball after Smits & Smith 1994, point mass,
no wind), its own launch law and its own mishits. The launch law and the spreads are common practice, no source.

Balls fly a few percent farther here than in the product's model, as real balls may: published ball models differ by
more (Lyu, Kensrud, Smith & Tosaya 2018), nearly as much as a yard differs from a metre. So ball speed, launch and
spin may rank the columns, but must not settle the unit alone.
"""

import math
from dataclasses import dataclass
from functools import lru_cache
from random import Random

import numpy as np

MASS_KG, RADIUS_M, AIR_KG_M3, GRAVITY = 0.0459, 0.02135, 1.2, 9.81
SPEEDS = tuple(float(v) for v in range(4, 50, 3))
LAUNCHES = tuple(float(a) for a in range(6, 54, 4))
SPINS = tuple(float(s) for s in range(500, 14000, 1500))


@dataclass
class Shot:
    """One ball: lengths in m, speeds in m/s, angles in degrees, spin in rpm; `strike` is None, "fat" or "thin"."""

    player: str
    club: int
    swing: int
    loft_deg: float
    carry_m: float
    total_m: float
    offline_m: float
    ball_ms: float
    club_ms: float
    launch_deg: float
    spin_rpm: float
    strike: str | None = None

    @property
    def apex_m(self) -> float:
        return flight(self.ball_ms, self.launch_deg, self.spin_rpm, apex=True)


@lru_cache(maxsize=1)
def _grid() -> tuple[np.ndarray, np.ndarray]:
    """Carry and apex in m over (speed, launch, spin), all flights stepped at once."""
    v0, angle, spin = np.meshgrid(SPEEDS, np.radians(LAUNCHES), np.array(SPINS) * 2 * math.pi / 60, indexing="ij")
    vx, vy = v0 * np.cos(angle), v0 * np.sin(angle)
    x, y, apex, carry = np.zeros_like(vx), np.zeros_like(vx), np.zeros_like(vx), np.zeros_like(vx)
    area, step = math.pi * RADIUS_M**2, 0.01
    for _ in range(900):
        speed = np.hypot(vx, vy)
        ratio = RADIUS_M * spin / speed
        reynolds = np.minimum(speed * 2 * RADIUS_M / 1.5e-5, 190_000)
        drag = 0.24 + 0.18 * ratio + 0.06 * np.sin(np.pi * (reynolds - 90_000) / 200_000)
        lift = 0.54 * np.minimum(ratio, 0.9) ** 0.4
        push = 0.5 * AIR_KG_M3 * area / MASS_KG * speed
        ax, ay = -push * (drag * vx + lift * vy), -push * (drag * vy - lift * vx) - GRAVITY
        x, y = x + vx * step + ax * step**2 / 2, y + vy * step + ay * step**2 / 2
        vx, vy = vx + ax * step, vy + ay * step
        apex = np.maximum(apex, y)
        carry = np.where((y <= 0) & (carry == 0), x, carry)
        if (carry > 0).all():
            break
    return carry, apex


@lru_cache(maxsize=2)
def _flat(apex: bool) -> list[float]:
    return [float(x) for x in _grid()[apex].ravel()]


def _between(value: float, knots: tuple[float, ...]) -> tuple[int, float]:
    """The knot below and the share of the way to the next; held at the ends."""
    span = min(max((value - knots[0]) / (knots[1] - knots[0]), 0.0), len(knots) - 1.001)
    return int(span), span % 1


def flight(ball_ms: float, launch_deg: float, spin_rpm: float, apex: bool = False) -> float:
    """Carry in m, or the apex in m, interpolated between computed flights."""
    (i, a), (j, b), (k, c) = _between(ball_ms, SPEEDS), _between(launch_deg, LAUNCHES), _between(spin_rpm, SPINS)
    flat, row, layer = _flat(apex), len(SPINS), len(SPINS) * len(LAUNCHES)
    n = i * layer + j * row + k
    m, d = n + layer, 1 - c
    low = (1 - b) * (d * flat[n] + c * flat[n + 1]) + b * (d * flat[n + row] + c * flat[n + row + 1])
    high = (1 - b) * (d * flat[m] + c * flat[m + 1]) + b * (d * flat[m + row] + c * flat[m + row + 1])
    return (1 - a) * low + a * high


@dataclass
class Golfer:
    """How hard a full swing is (m/s of the club at 46 degrees) and how the speed spreads (share of it)."""

    name: str
    full_ms: float = 32.0
    spread: float = 0.025
    mishits: float = 0.08
    bias_deg: float = 0.0


def shot(golfer: Golfer, club: int, loft_deg: float, swing: int, share: float, rng: Random) -> Shot:
    """One ball: `share` is the part of full club speed that this swing length gives."""
    strike = None
    club_ms = golfer.full_ms * (1 - 0.004 * (loft_deg - 46)) * share * rng.gauss(1, golfer.spread)
    smash = 1.24 - 0.011 * (loft_deg - 46) + rng.gauss(0, 0.012)
    launch = 4.5 + 0.49 * loft_deg + rng.gauss(0, 1.1)
    spin = 5.3 * loft_deg * club_ms * smash * rng.gauss(1, 0.06)
    if rng.random() < golfer.mishits:
        strike = rng.choice(("fat", "thin"))
        smash *= rng.uniform(0.55, 0.82) if strike == "fat" else rng.uniform(0.95, 1.1)
        launch += rng.uniform(1, 4) if strike == "fat" else -rng.uniform(9, 16)
        spin *= rng.uniform(0.5, 0.8)
    launch, spin = min(max(launch, 8), 46), min(max(spin, 900), 12_500)
    ball_ms = club_ms * smash
    carry = flight(ball_ms, launch, spin)
    offline = carry * math.sin(math.radians(golfer.bias_deg + rng.gauss(0, 2.6)))
    run = carry * max(0.02, 0.14 - 0.002 * launch - 0.000006 * spin + rng.gauss(0, 0.01)) + 0.8
    total = carry + run
    return Shot(golfer.name, club, swing, loft_deg, carry, total, offline, ball_ms, club_ms, launch, spin, strike)


def shares(count: int) -> list[float]:
    """Parts of full speed for so many swing lengths, smallest first."""
    return [0.9] if count == 1 else [0.55 + 0.43 * i / (count - 1) for i in range(count)]


def session(
    golfer: Golfer, lofts: list[float], swings: int, balls: int, rng: Random, blocked: bool = True
) -> list[Shot]:
    """So many balls with every club and swing length, in blocks or shuffled."""
    parts = shares(swings)
    out = [
        shot(golfer, c, loft, s, parts[s], rng)
        for c, loft in enumerate(lofts)
        for s in range(swings)
        for _ in range(balls)
    ]
    if not blocked:
        rng.shuffle(out)
    return out
