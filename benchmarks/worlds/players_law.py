"""The laws a made-up player obeys: what a kind may set (`World`), and one player drawn from it (`Law`)."""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray
from scipy.special import expit, logit, ndtri

from .players_truth import YARD_M

LEVELS = {"knee": 0.33, "waist": 0.47, "chest": 0.60, "shoulder": 0.80, "full": 1.0}
"""Share of a full carry. Common practice, no source; each player differs by `World.swing_sd`."""
FOUR = {name: LEVELS[name] for name in ("waist", "chest", "shoulder", "full")}
CLOCK = ("7:20", "8:00", "8:30", "9:00", "9:30", "10:00", "10:40", "11:00", "11:30", "12:00")
BAGS = ((46.0, 50.0, 54.0, 58.0), (48.0, 54.0, 60.0), (50.0, 56.0, 60.0), (52.0, 58.0), (46.0, 52.0, 56.0))
REAL_SHAPE = (-0.338, 0.829)
"""Skew -0.83 and excess kurtosis 1.2, as the real full swings that lie clear of their cut have (tests/worlds says which)."""


def clock_angle(name: str) -> float:
    """Angle of the lead arm from straight down in degrees, 30 an hour from 6 o'clock."""
    hour, minute = name.split(":")
    return 30.0 * (int(hour) - 6) + int(minute) / 2


def usual_clock() -> dict[str, float]:
    """Shares by how high the hand gets: 9:00 .57, 10:00 .79."""
    return {name: float(((1 - np.cos(np.radians(clock_angle(name)))) / 2) ** 0.8) for name in CLOCK}


def other_clock() -> dict[str, float]:
    """Shares by the 1.25th power of the angle: 9:00 .42, 11:00 .80, still rising at 12:00."""
    return {name: (clock_angle(name) / 180) ** 1.25 for name in CLOCK}


@dataclass(frozen=True, slots=True, kw_only=True)
class World:
    """What a kind of player sets; the defaults are the nominal player. Shares are of carry, spreads relative SDs."""

    lofts: tuple[float, ...] | None = None
    label: str = "loft"
    tell_loft: bool = True
    swings: tuple[tuple[str, float], ...] = tuple(FOUR.items())
    full_yd: float = 76.0
    full_sd: float = 0.13
    per_degree: float = 0.026
    bend: float = 0.0006
    swing_sd: float = 0.05
    club_sd: float = 0.018
    cell_sd: float = 0.010
    club_off: float = 0.0
    odd: float = 0.0
    swap: bool = False
    second_gap: float = 0.0
    balls: int = 10
    layout: str = "even"
    order: str = "rounds5"
    days: int = 1
    day_sd: float = 0.018
    day_swing_sd: float = 0.008
    warm_up: float = 0.01
    warm_balls: float = 5.0
    drift: float = 0.0
    spread: float = 0.06
    spread_sd: float = 0.25
    club_spread_sd: float = 0.20
    cell_spread_sd: float = 0.10
    by_club: tuple[float, ...] = ()
    by_swing: tuple[float, ...] = ()
    mishits: float = 0.14
    mishits_sd: float = 0.5
    club_mishits: tuple[float, ...] = ()
    swing_mishits: tuple[float, ...] = ()
    runs: float = 0.0
    shape: tuple[float, float] = (-0.25, 0.95)
    mix: tuple[float, float, float, float] = (0.5, 0.25, 0.17, 0.08)
    long_thin: float = 0.4
    heavy: float = 0.0
    heavy_loss: tuple[float, float] = (0.05, 0.12)
    tell_offline: bool = True
    side_sd: float = 0.045
    side_bias: float = 0.0
    side_follows: float = 0.0
    tell_flight: bool = False
    gust: float = 0.0
    step_yd: float = 0.1
    cut_yd: float = 0.0
    scale: float = 1.0
    metres: str = ""
    read_by: str = "device"


@dataclass(frozen=True, slots=True, kw_only=True)
class CellLaw:
    """One cell of one player: long-run carry of good strikes without heavy ones, spread and mishit rate."""

    club: str
    swing: str
    loft_deg: float
    club_rank: int
    swing_rank: int
    centre_m: float
    spread: float
    mishits: float
    off: float = 0.0
    planted: bool = False
    second_m: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Law:
    """One player: cells, and the world he lives in."""

    world: World
    cells: tuple[CellLaw, ...]

    def day_shift(self, rng: np.random.Generator) -> NDArray[np.float64]:
        """Shift of log carry of each cell on one day: one for all, one for each swing length."""
        swings = rng.normal(0, self.world.day_swing_sd, len(self.world.swings))
        return rng.normal(0, self.world.day_sd) + swings[[c.swing_rank for c in self.cells]]

    @property
    def heavy_mean(self) -> float:
        """Mean of good strikes over the mean of those that are not heavy."""
        return 1 - self.world.heavy * sum(self.world.heavy_loss) / 2


@lru_cache(maxsize=64)
def _moments(skew: float, tail: float) -> tuple[float, float]:
    values = _bent(ndtri((np.arange(20000) + 0.5) / 20000), skew, tail)
    return float(values.mean()), float(values.std())


def _bent(z: NDArray[np.float64], skew: float, tail: float) -> NDArray[np.float64]:
    return np.sinh((np.arcsinh(z) + skew) / tail)


def strikes(z: NDArray[np.float64], shape: tuple[float, float]) -> NDArray[np.float64]:
    """Normal draws bent by the sinh-arcsinh transform (Jones & Pewsey 2009, Biometrika 96:761, section 2) to mean 0 and SD 1.

    `shape`: skew (negative: a tail to the short side) and tail (under 1: heavier than normal).
    """
    mean, sd = _moments(*shape)
    return (_bent(z, *shape) - mean) / sd


def club_label(loft: float, how: str) -> str:
    """A club as written: by loft, by letters and loft, or by letters alone."""
    letters = "PW" if loft < 49 else "GW" if loft < 53.5 else "SW" if loft < 57.5 else "LW"
    if loft < 44:
        letters = f"{round((loft + 3) / 4)} iron"
    return {"loft": f"{loft:g}", "both": f"{letters} {loft:g}", "letters": letters}[how]


def draw_law(world: World, rng: np.random.Generator) -> Law:
    """One player of this world: his line over lofts and swings, what lies off it, and how he strikes each cell."""
    lofts = sorted(world.lofts or BAGS[rng.integers(len(BAGS))])
    per_degree = world.per_degree * np.exp(rng.normal(0, 0.15))
    full = world.full_yd * YARD_M * np.exp(rng.normal(0, world.full_sd))
    off = rng.normal(0, world.club_sd, len(lofts))
    if world.club_off:
        off[rng.integers(len(lofts))] += np.log1p(world.club_off * rng.choice([-1, 1]))
    away = np.array(lofts) - 54
    by_loft = np.log(full) - per_degree * away - world.bend * away * np.abs(away) / 2 + off
    shares = np.log([share for _, share in world.swings])
    shares = shares * np.exp(rng.normal(0, world.swing_sd * 2)) + rng.normal(0, world.swing_sd / 2, len(shares)) * (
        shares < 0
    )
    line = by_loft[:, None] + shares
    planted = np.zeros(line.shape)
    if world.odd:
        planted[rng.integers(len(lofts)), rng.integers(len(shares))] = np.log1p(world.odd)
    if world.swap:  # with one club the second swing goes as far as the third should, and the other way round
        club = rng.integers(len(lofts))
        planted[club, 1:3] = line[club, 2] - line[club, 1], line[club, 1] - line[club, 2]
    return Law(world=world, cells=_cells(world, lofts, line, planted, rng))


def _cells(
    world: World, lofts: list[float], line: NDArray[np.float64], planted: NDArray[np.float64], rng: np.random.Generator
) -> tuple[CellLaw, ...]:
    off = rng.normal(0, world.cell_sd, line.shape) + planted
    centres = line + off
    own = world.spread * np.exp(rng.normal(0, world.spread_sd))
    rate = logit(world.mishits) + rng.normal(0, world.mishits_sd) if world.mishits > 0 else -np.inf
    second = rng.integers(centres.size) if world.second_gap else -1
    clubs = rng.permutation(len(lofts))  # which club is the wild one, or the one struck better, is not tied to its loft
    cells: list[CellLaw] = []
    for i, loft in enumerate(lofts):
        club_spread = (
            world.by_club[clubs[i] % len(world.by_club)]
            if world.by_club
            else own * np.exp(rng.normal(0, world.club_spread_sd))
        )
        for j, (swing, _) in enumerate(world.swings):
            spread = world.by_swing[j] if world.by_swing else club_spread
            wanted = world.club_mishits[clubs[i] % len(world.club_mishits)] if world.club_mishits else None
            wanted = world.swing_mishits[j] if world.swing_mishits else wanted
            cell_rate = (
                wanted if wanted is not None else float(expit(rate + (rng.normal(0, 0.2) if world.mishits_sd else 0.0)))
            )
            centre = float(np.exp(centres[i, j]))
            cells.append(
                CellLaw(
                    club=club_label(loft, world.label),
                    swing=swing,
                    loft_deg=loft,
                    club_rank=i,
                    swing_rank=j,
                    centre_m=centre,
                    spread=float(spread * np.exp(rng.normal(0, world.cell_spread_sd))),
                    mishits=cell_rate,
                    off=float(np.expm1(off[i, j])),
                    planted=bool(planted[i, j]),
                    second_m=centre * (1 + world.second_gap) if len(cells) == second else None,
                )
            )
    return tuple(cells)
