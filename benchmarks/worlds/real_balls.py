"""Draws of a few real balls, the rest of the same group as their truth: what a chart of one shot says, against what its player then did.

The balls: tests/data/real (its README names source and licence). They are full swings; `scale_to_m` moves a group to a wedge's length and keeps its
shape, so that a chart made for wedges may be asked. A path, or the environment variable THREEQUARTER_REAL_BALLS, names another file of that form.
"""

import csv
import os
from collections import defaultdict
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

import numpy as np
from numpy.typing import NDArray
from scipy.stats import t as student

HERE = Path(__file__).resolve().parents[2] / "tests" / "data" / "real" / "full_swings.csv"
AT_LEAST = 36
"""Balls a group must have, so that enough are left over to be its truth."""
CLEAR_OF_CUT = (("1", "W1"), ("2", "W1"), ("3", "W1"))
SIZES = (5, 8, 10, 15)
Which = Literal["tuned", "tested", "all"]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Group:
    """All balls of one player with one club, shape (balls,); metres and m/s."""

    player: str
    club: str
    carry_m: NDArray[np.float64]
    offline_m: NDArray[np.float64]
    ball_speed_mps: NDArray[np.float64]

    @property
    def kept_for_testing(self) -> bool:
        """Whether nothing may be tuned on this player: every third, by his number."""
        return int(self.player) % 3 == 2


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Draw:
    """Some balls of a group, and the rest as their truth. `factor`: what carries were multiplied by."""

    group: Group
    carry_m: NDArray[np.float64]
    offline_m: NDArray[np.float64]
    rest_m: NDArray[np.float64]
    factor: float

    @property
    def trimmed_m(self) -> float:
        """Mean of the rest without its lowest and highest tenth: what a good ball of this group goes, whatever a mishit is."""
        rest = np.sort(self.rest_m)
        cut = len(rest) // 10
        return float(rest[cut : len(rest) - cut].mean())


@dataclass(frozen=True, slots=True, kw_only=True)
class Said:
    """What a chart says of such a draw; metres, 90 % intervals."""

    stock_m: float
    stock90_m: tuple[float, float]
    next90_m: tuple[float, float]


def read_groups(path: Path | None = None, which: Which = "all", at_least: int = AT_LEAST) -> list[Group]:
    """The groups of one part, in the order of players and clubs. Raises FileNotFoundError where there is no file."""
    path = path or Path(os.environ.get("THREEQUARTER_REAL_BALLS", HERE))
    found: dict[tuple[str, str], list[tuple[float, float, float]]] = defaultdict(list)
    with path.open(encoding="utf-8") as file:
        for row in csv.DictReader(file):
            carry = float(row["carry_m"])
            side = carry * np.sin(np.radians(float(row["direction_deg"])))
            found[row["player"], row["club"]].append((carry, side, float(row["ball_speed_ms"])))
    groups = []
    for (player, club), balls in sorted(found.items()):
        carry_m, offline_m, speed = np.array(balls).T
        group = Group(player=player, club=club, carry_m=carry_m, offline_m=offline_m, ball_speed_mps=speed)
        if len(balls) >= at_least and which in ("all", "tested" if group.kept_for_testing else "tuned"):
            groups.append(group)
    return groups


def draw(group: Group, count: int, number: int, seed: int = 0, scale_to_m: float | None = None) -> Draw:
    """Draw `number` of `count` balls; the same arguments always give the same balls."""
    rng = np.random.default_rng([seed, int(group.player), sum(map(ord, group.club)), count, number])
    order = rng.permutation(len(group.carry_m))
    factor = 1.0 if scale_to_m is None else scale_to_m / float(np.median(group.carry_m))
    carry, side = factor * group.carry_m[order], factor * group.offline_m[order]
    return Draw(group=group, carry_m=carry[:count], offline_m=side[:count], rest_m=carry[count:], factor=factor)


@dataclass(slots=True)
class RealFigures:
    """Means over groups for one size of draw, each with its standard error between groups; t: the plain t interval of the same balls."""

    balls: int
    groups: int
    held: tuple[float, float]
    held_t: tuple[float, float]
    next_any: tuple[float, float]
    next_t: tuple[float, float]
    error_pct: tuple[float, float, float]
    bias_pct: tuple[float, float]
    worst_next: tuple[str, float]


def judge_real(
    chart: Callable[[Draw], Said | None],
    groups: Sequence[Group],
    *,
    draws: int = 60,
    sizes: Sequence[int] = SIZES,
    seed: int = 0,
    scale_to_m: float | None = 80.0,
) -> list[RealFigures]:
    """For each size of draw: stock carry holds the trimmed mean of the rest, next ball holds the rest, error of chart, mean and median in %.

    `chart` returns None where it refuses; such draws are left out.
    """
    out = []
    for size in sizes:
        rows = []
        for group in groups:
            each = [_one(chart, draw(group, size, i, seed, scale_to_m)) for i in range(draws)]
            each = [row for row in each if row is not None]
            if each:
                rows.append((f"{group.player} {group.club}", np.array(each)))
        if rows:
            out.append(_figures(size, rows))
    return out


def _one(chart: Callable[[Draw], Said | None], drawn: Draw) -> tuple[float, ...] | None:
    said = chart(drawn)
    if said is None:
        return None
    true, balls = drawn.trimmed_m, drawn.carry_m
    mean, spread, times = balls.mean(), balls.std(ddof=1), student.ppf(0.95, len(balls) - 1)
    wide = times * spread * np.sqrt(1 + 1 / len(balls))
    return (
        float(said.stock90_m[0] <= true <= said.stock90_m[1]),
        float(abs(mean - true) <= times * spread / np.sqrt(len(balls))),
        float(np.mean((drawn.rest_m >= said.next90_m[0]) & (drawn.rest_m <= said.next90_m[1]))),
        float(np.mean(np.abs(drawn.rest_m - mean) <= wide)),
        100 * (said.stock_m / true - 1),
        100 * (mean / true - 1),
        100 * (float(np.median(balls)) / true - 1),
    )


def _figures(size: int, rows: list[tuple[str, NDArray[np.float64]]]) -> RealFigures:
    means = np.array([each.mean(axis=0) for _, each in rows])
    error = means.std(axis=0, ddof=1) / np.sqrt(len(rows)) if len(rows) > 1 else np.full(means.shape[1], np.nan)
    rms = [float(np.mean([np.sqrt((each[:, k] ** 2).mean()) for _, each in rows])) for k in (4, 5, 6)]

    def both(k: int) -> tuple[float, float]:
        return float(means[:, k].mean()), float(error[k])

    worst = int(np.argmin(means[:, 2]))
    return RealFigures(
        size,
        len(rows),
        both(0),
        both(1),
        both(2),
        both(3),
        (rms[0], rms[1], rms[2]),
        both(4),
        (rows[worst][0], float(means[worst, 2])),
    )


def real_table(figures: Sequence[RealFigures]) -> str:
    """The figures as lines."""
    lines = [
        f"{'balls':>5s} {'groups':>6s} | {'stock held':>13s} {'t':>13s} | {'next ball':>13s} {'t':>13s} {'worst':>12s} | error % chart/mean/median  bias %"
    ]
    for f in figures:
        pairs = [f"{a:.3f} ± {b:.3f}" for a, b in (f.held, f.held_t, f.next_any, f.next_t)]
        errors = " / ".join(f"{e:.2f}" for e in f.error_pct)
        lines.append(
            f"{f.balls:5d} {f.groups:6d} | {pairs[0]} {pairs[1]} | {pairs[2]} {pairs[3]} {f.worst_next[0]:>6s} {f.worst_next[1]:.2f} | {errors}  "
            f"{f.bias_pct[0]:+.2f} ± {f.bias_pct[1]:.2f}"
        )
    return "\n".join(lines)
