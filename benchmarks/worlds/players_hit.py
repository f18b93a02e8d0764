"""A player who hits balls: warm-up, drift, runs of mishits, gusts, and the reading of where the ball landed."""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from .players_law import CellLaw, Law, strikes
from .players_truth import QUANTILES, YARD_M, CellTruth, Row

KINDS = ("fat", "thin", "toe", "heel")
MANY = 2000


@dataclass(slots=True, kw_only=True)
class Struck:
    """Balls of one cell before anybody reads them: carries over the centre, sides as a share of carry, and how they were struck."""

    over: NDArray[np.float64]
    side: NDArray[np.float64]
    strike: NDArray[np.str_]


def strike_good(law: Law, cell: CellLaw, count: int, rng: np.random.Generator) -> Struck:
    """`count` good strikes; some of them heavy where the world has such."""
    world = law.world
    z = strikes(rng.normal(size=count), world.shape)
    over = np.maximum(1 + cell.spread * z, 0.25)
    heavy = rng.random(count) < world.heavy
    over = np.where(heavy, over * (1 - rng.uniform(*world.heavy_loss, count)), over)
    side = world.side_bias + world.side_sd * (rng.normal(size=count) + world.side_follows * z)
    return Struck(over=over, side=side, strike=np.where(heavy, "heavy", "good"))


def strike_mishit(law: Law, cell: CellLaw, count: int, rng: np.random.Generator) -> Struck:
    """`count` mishits: fat falls 15 to 65 % short, thin short or long, toe and heel short and to the side."""
    world = law.world
    base = 1 + cell.spread * rng.normal(size=count) / 2
    kind = rng.choice(4, count, p=world.mix)
    fat = 1 - (0.15 + 0.5 * rng.beta(1.3, 2.2, count))
    thin = np.where(rng.random(count) < world.long_thin, rng.uniform(1.04, 1.28, count), rng.uniform(0.68, 0.93, count))
    toe, heel = rng.uniform(0.80, 0.95, count), rng.uniform(0.45, 0.88, count)
    over = np.maximum(base * np.choose(kind, [fat, thin, toe, heel]), 0.08)
    push = np.choose(kind, [0.0, 0.0, rng.normal(0.07, 0.04, count), rng.normal(0.22, 0.10, count)])
    side = world.side_bias + world.side_sd * 1.4 * rng.normal(size=count) + push * (-1 if world.side_bias > 0.02 else 1)
    return Struck(over=over, side=side, strike=np.array(KINDS)[kind])


class Player:
    """Hits one ball at a time. `shifts`, shape (days, cells): log shift of each day. `planned`: balls over which the drift runs its course."""

    def __init__(
        self, law: Law, rng: np.random.Generator, *, planned: int, shifts: NDArray[np.float64] | None = None
    ) -> None:
        self.law, self.rng, self.planned = law, rng, max(planned, 1)
        self.shifts = shifts if shifts is not None else np.array([law.day_shift(rng) for _ in range(law.world.days)])
        self.index = {(cell.club, cell.swing): i for i, cell in enumerate(law.cells)}
        self.hit_balls, self.day, self._since, self._missed, self._gust = 0, 1, 0, False, 0.0
        self.truth_rng, self.paper_rng = rng.spawn(
            2
        )  # so that looking at the truth, or reading balls out, changes no ball
        self._pace = float(rng.normal(0, 0.025))  # his step is not quite what he thinks

    def start_day(self, day: int) -> None:
        """A new day: cold again."""
        self.day, self._since = day, 0

    def hit(self, club: str, swing: str) -> Row:
        """One ball as it was hit and read; `KeyError` for a cell the player does not have."""
        at = self.index[club, swing]
        world, cell, rng = self.law.world, self.law.cells[at], self.rng
        if not rng.random() < world.runs:
            self._missed = bool(rng.random() < cell.mishits)
        struck = (strike_mishit if self._missed else strike_good)(self.law, cell, 1, rng)
        if world.gust:
            self._gust = 0.8 * self._gust + 0.6 * rng.normal(0, world.gust)
        cold = -world.warm_up * np.exp(-self._since / world.warm_balls)
        moved = (
            self.shifts[self.day - 1, at]
            + cold
            + np.log1p(world.drift * min(self.hit_balls / self.planned, 1.0))
            + self._gust
        )
        centre = cell.second_m if cell.second_m is not None and rng.random() < 0.45 else cell.centre_m
        carry = centre * float(struck.over[0] * np.exp(moved))
        self.hit_balls, self._since = self.hit_balls + 1, self._since + 1
        return self._read(cell, carry, float(struck.side[0]), str(struck.strike[0]))

    def _read(self, cell: CellLaw, carry_m: float, side: float, strike: str) -> Row:
        world, rng = self.law.world, self.rng
        row = Row(
            number=self.hit_balls,
            day=self.day,
            club=cell.club,
            loft_deg=cell.loft_deg if world.tell_loft else None,
            swing=cell.swing,
            carry_m=carry_m,
            read_m=carry_m,
            strike=strike,
            read_by=world.read_by,
            offline_m=round(side * carry_m, 2) if world.tell_offline else None,
        )
        step, error, shared = world.step_yd * YARD_M, 0.004, 0.0
        if world.read_by == "paces":
            step, error, shared = 0.9, 0.015, self._pace
        read = carry_m * world.scale * (1 + shared + error * rng.normal())
        row = replace(row, read_m=max(round(read / step), 1) * step)
        if world.read_by == "paces":
            row = replace(row, error_sd_m=0.015 * carry_m, shared_sd_m=0.025 * carry_m)
        return _with_flight(row, cell, rng) if world.tell_flight else row

    def truth(self, balls: dict[tuple[str, str], int], *, days: int | None = None) -> dict[tuple[str, str], CellTruth]:
        """The truth of every cell, for `balls` read in each."""
        law, world, rng = self.law, self.law.world, self.truth_rng
        drift = world.drift * min(self.hit_balls / self.planned, 1.0)
        another = law.day_shift(rng)
        shifts = self.shifts[: days or len(self.shifts)]
        out = {}
        for i, cell in enumerate(law.cells):
            mean = cell.centre_m * law.heavy_mean
            usual = mean * (1 + world.drift / 2)
            stock = mean * (1 + drift / 2) * float(np.mean(np.exp(shifts[:, i])))
            end = cell.centre_m * float(np.exp(shifts[-1, i])) * (1 + drift)
            good, anyhow = sample(law, i, end, rng, mishits=False), sample(law, i, end, rng, mishits=True)
            out[cell.club, cell.swing] = CellTruth(
                club=cell.club,
                swing=cell.swing,
                loft_deg=cell.loft_deg,
                club_rank=cell.club_rank,
                balls=balls.get((cell.club, cell.swing), 0),
                stock_m=stock,
                stock_read_m=stock * world.scale,
                end_m=end * law.heavy_mean,
                long_run_m=usual,
                another_day_m=usual * float(np.exp(another[i])),
                good_sd_m=float(good.std()),
                mishit_rate=cell.mishits,
                next_good_m=np.quantile(good, QUANTILES),
                next_any_m=np.quantile(anyhow, QUANTILES),
                off=cell.off,
                planted=cell.planted,
                second_m=cell.second_m,
            )
        return out


def sample(
    law: Law, at: int, centre_m: float, rng: np.random.Generator, *, mishits: bool, count: int = MANY
) -> NDArray[np.float64]:
    """`count` carries in metres of the cell numbered `at` about `centre_m`, good strikes only or all."""
    return sample_with_sides(law, at, centre_m, rng, mishits=mishits, count=count)[:, 0]


def sample_with_sides(
    law: Law, at: int, centre_m: float, rng: np.random.Generator, *, mishits: bool, count: int = MANY
) -> NDArray[np.float64]:
    """Carry and offline in metres, shape (count, 2), right positive, of the next balls."""
    cell = law.cells[at]
    struck = strike_good(law, cell, count, rng)
    over, side = struck.over, struck.side
    if mishits:
        bad, missed = strike_mishit(law, cell, count, rng), rng.random(count) < cell.mishits
        over, side = np.where(missed, bad.over, over), np.where(missed, bad.side, side)
    if law.world.gust:
        over = over * np.exp(rng.normal(0, law.world.gust, count))
    carry = centre_m * over
    return np.column_stack([carry, carry * side])


def _with_flight(row: Row, cell: CellLaw, rng: np.random.Generator) -> Row:
    """Ball speed, launch and spin that go with the carry: rules of thumb (common practice, no source), and what a thin or fat ball does to them."""
    speed = 20.5 * (row.carry_m / 37) ** 0.6 * (1 + (cell.loft_deg - 54) * 0.004) * (1 + 0.015 * rng.normal())
    launch = 31 + 0.45 * (cell.loft_deg - 54) + 1.6 * rng.normal() + {"thin": -11, "fat": 3}.get(row.strike, 0)
    spin = 218 * speed * (1 + 0.07 * rng.normal()) * {"thin": 0.6, "fat": 0.65, "toe": 0.85}.get(row.strike, 1.0)
    return replace(row, ball_speed_mps=round(speed, 2), launch_deg=round(max(launch, 6), 1), backspin_rpm=round(spin))
