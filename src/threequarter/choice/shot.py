"""Which shot for this number: every shot of the chart played out many thousand times to one green.

Balls are laid out as (worlds, balls): a world is one draw of what is not known (the chart's own doubt, the day, the
run-out), its balls are the spread a player lives with. All options share the same random numbers, so their order does
not depend on the seed (common random numbers; Law & Kelton, Simulation Modeling and Analysis, ch. 11).
"""

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Final

import numpy as np
from numpy.typing import NDArray

from threequarter.chart import priors
from threequarter.chart.result import Interval
from threequarter.choice.green import Ends, Green, ends
from threequarter.choice.strokes import Level
from threequarter.golf.errors import UserError
from threequarter.golf.message import Message

Floats = NDArray[np.float64]

WORLDS: Final = 100
BALLS: Final = 100
THIN: Final = np.array([name == "thin" for name in priors.KINDS])
TOE: Final = np.array([name == "toe" for name in priors.KINDS])
AIMS_M: Final = np.arange(-8.0, 8.5, 1.0)
TIED_CHANCE: Final = 0.2
"""Two options are not told apart while the lesser one is the better one in so many of the worlds that are possible."""
TIED_AT_MOST: Final = 0.10
"""And while they are no further apart on average."""
TIED_STROKES: Final = 0.03
TROUBLE_STEP: Final = 0.05
"""Options that close are one choice to a player; trouble then counts in steps of five balls in a hundred."""
SHOWN: Final = 60
"""Balls of an option that are drawn as dots."""

THIN_RUN: Final = 0.25
"""A thin ball comes in low: it runs this share of its carry further. Common practice, no source."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ShotModel:
    """One shot as it would fly today. Arrays have one value a world.

    `log_carry`: log of the stock carry in metres, today's air and wind included. `log_sd`: log of the relative spread
    of good strikes. `side_m`: where the wind puts the ball to the right. `run_m`: run-out of a good strike after
    landing. `side_sd`: relative SD of offline; `mishit_rate`: share of balls that are not good. `between`: the two swings it lies between.
    `never_hit`: nobody has hit it yet.
    """

    club: str
    swing: str
    log_carry: Floats
    log_sd: Floats
    tail_df: float
    mishit_rate: Floats | float
    side_sd: float
    side_m: Floats
    run_m: Floats
    run_spread: float = 0.35
    between: tuple[str, str] | None = None
    never_hit: bool = False


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Option:
    """One shot and what it leads to. Chances add up over balls and over what is not known.

    `aim_m`: aim this far to the right of the flag. `expected_strokes` counts this shot and what follows.
    `strokes90` is its doubt from what is not known. `behind` is the expected loss against the best option and
    `behind90` its doubt; `tied` says that the two cannot be told apart. `dots_m`: (n, 2) ends of single balls.
    """

    club: str
    swing: str
    between: tuple[str, str] | None
    never_hit: bool
    mishit_rate: float
    aim_m: float
    expected_strokes: float
    strokes90: Interval
    behind: float
    behind90: Interval
    tied: bool
    on_green: float
    within_3m: float
    in_trouble: float
    short: float
    carry_m: float
    run_m: float
    dots_m: Floats


@dataclass(frozen=True, slots=True, eq=False)
class Chances:
    """The random numbers all options share."""

    good: Floats
    side: Floats
    kind: Floats
    mishit: Floats
    run: Floats
    tail: Floats
    _heavy: dict[float, Floats] = field(default_factory=dict)

    def heavy(self, df: float) -> Floats:
        """What makes a normal draw a Student t of SD 1, worked out once for all options."""
        from scipy.special import chdtri

        if df not in self._heavy:  # the quantile is dear and smooth, so it is worked out on a grid (2e-5 at worst)
            grid = np.linspace(-14.0, 14.0, 561)
            at_grid = 0.5 * np.log((df - 2) / chdtri(df, 1 / (1 + np.exp(-grid))))
            self._heavy[df] = np.exp(np.interp(np.log(self.tail / (1 - self.tail)), grid, at_grid))
        return self._heavy[df]

    @classmethod
    def draw(cls, rng: np.random.Generator, worlds: int, balls: int) -> "Chances":
        shape = (worlds, balls)
        normal = [rng.standard_normal(shape) for _axis in range(4)]
        return cls(normal[0], normal[1], rng.random(shape), normal[2], normal[3], rng.random(shape))


def shared_chances(rng: np.random.Generator, worlds: int, balls: int) -> Chances:
    """Random numbers for all options at once."""
    return Chances.draw(rng, worlds, balls)


def fly(model: ShotModel, chances: Chances) -> tuple[Floats, Floats, Floats]:
    """Carry, run-out and side of all balls, each of shape (worlds, balls), aimed straight at the flag."""
    good = model.log_carry[:, None] + np.exp(model.log_sd)[:, None] * chances.good * chances.heavy(model.tail_df)
    rate = np.broadcast_to(np.asarray(model.mishit_rate, dtype=float), model.log_carry.shape)[:, None]
    bad = chances.kind < rate
    share = chances.kind / np.maximum(rate, 1e-9)
    kind = np.minimum(np.searchsorted(np.cumsum(priors.KIND_SHARE), share), len(priors.KINDS) - 1)
    log_carry = good + bad * (priors.KIND_SHIFT[kind] + priors.KIND_SD[kind] * chances.mishit)
    is_thin, is_toe = bad & THIN[kind], bad & TOE[kind]
    carry = np.exp(np.minimum(log_carry, np.log(250.0)))
    run = model.run_m[:, None] * np.exp(model.run_spread * chances.run - model.run_spread**2 / 2)
    run = run + is_thin * THIN_RUN * carry
    side = model.side_m[:, None] + carry * (
        model.side_sd * chances.side + is_toe * priors.TOE_SIDE * np.sign(chances.side)
    )
    return carry, run, side


def choose(
    models: Sequence[ShotModel],
    green: Green,
    *,
    level: Level = "club",
    rng: np.random.Generator,
    worlds: int = WORLDS,
    balls: int = BALLS,
) -> tuple[Option, ...]:
    """All options that may reach the green, best first; of those that cannot be told apart the one with least trouble. Empty when nothing
    reaches.

    Raises UserError if a model does not hold one value a world.
    """
    chances = shared_chances(rng, worlds, balls)
    played = []
    for model in models:
        if len(model.log_carry) != worlds:
            raise UserError(
                Message("shot.worlds", club=model.club, swing=model.swing, count=len(model.log_carry), worlds=worlds)
            )
        carry, run, y = fly(model, chances)
        x = stopped(green, carry, run, y)
        if _reaches(x, green):
            played.append((model, x, *_best_aim(green, x, y, level)))
    if not played:
        return ()
    played.sort(key=lambda row: float(row[4].strokes.mean()))
    best = played[0][4].strokes.mean(axis=1)
    return _least_trouble_first([_option(model, x, y, aim, end, best) for model, x, y, aim, end in played])


def _least_trouble_first(options: Sequence[Option]) -> tuple[Option, ...]:
    """Where strokes cannot tell options apart, the one with less trouble comes first, then one that was hit before."""
    near = [one for one in options if one.tied and one.behind <= TIED_STROKES]
    rest = [one for one in options if one not in near]
    near.sort(key=lambda one: (round(one.in_trouble / TROUBLE_STEP), one.never_hit, one.expected_strokes))
    return (*near, *rest)


def stopped(green: Green, carry: Floats, run: Floats, y: Floats) -> Floats:
    """Where balls stop along the line: in the trouble they land in, else after their run-out."""
    sand, water = green.in_trouble(carry, y)
    return np.where(sand | water, carry, carry + run)


def _reaches(x: Floats, green: Green) -> bool:
    """Whether a fair share of good balls ends within 15 m, or a fifth of the distance, of the flag."""
    window = max(15.0, 0.2 * green.to_pin_m)
    return bool(abs(float(np.median(x)) - green.to_pin_m) <= window)


LOOK_EVERY: Final = 10
"""The aim is looked for on every so many of the balls; the two that count, it and straight, are worked out on all of them."""


def _best_aim(green: Green, x: Floats, y: Floats, level: Level) -> tuple[Floats, float, Ends]:
    """The aim to the side with the fewest expected strokes; straight at the flag unless another saves 0.005 or more."""
    few_x, few_y = x[:, ::LOOK_EVERY], y[:, ::LOOK_EVERY]

    def best(aims: Floats) -> float:
        tried = few_y + aims[:, None, None]
        strokes = ends(green, np.broadcast_to(few_x, tried.shape), tried, level).strokes
        return float(aims[strokes.mean(axis=(1, 2)).argmin()])

    aim = best(AIMS_M[::2])
    aim = best(np.array([aim, aim - 1.0, aim + 1.0]))
    straight = ends(green, x, y, level)
    end = straight if aim == 0.0 else ends(green, x, y + aim, level)
    if straight.strokes.mean() - end.strokes.mean() < 0.005:
        aim, end = 0.0, straight
    return y + aim, aim, end


def _option(model: ShotModel, x: Floats, y: Floats, aim: float, end: Ends, best: Floats) -> Option:
    by_world = end.strokes.mean(axis=1)
    behind = by_world - best
    low, high = np.quantile(behind, [0.05, 0.95])
    chance = float((behind <= 0).mean())
    step = max(1, x.size // SHOWN)
    dots = np.column_stack([x.ravel()[::step], y.ravel()[::step]])[:SHOWN]
    return Option(
        club=model.club,
        swing=model.swing,
        between=model.between,
        never_hit=model.never_hit,
        mishit_rate=float(np.mean(model.mishit_rate)),
        aim_m=aim,
        expected_strokes=1 + float(by_world.mean()),
        strokes90=Interval(*(1 + np.quantile(by_world, [0.05, 0.95])).tolist()),
        behind=float(behind.mean()),
        behind90=Interval(float(low), float(high)),
        tied=chance >= TIED_CHANCE and float(behind.mean()) <= TIED_AT_MOST,
        on_green=float(end.on_green.mean()),
        within_3m=float(end.near.mean()),
        in_trouble=float(end.trouble.mean()),
        short=float(end.short.mean()),
        carry_m=float(np.exp(np.median(model.log_carry))),
        run_m=float(np.median(model.run_m)),
        dots_m=dots,
    )
