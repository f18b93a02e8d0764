"""Two swings under one name: how often normal shots are called, kind by kind, how often two are found, and how often they could be at best.

    python benchmarks/two_swings_power.py [--half tuned|reported|all] [--sessions 4] [--seed 41] [--pairs 60] [--bar BAR]

First the false calls: sessions of every kind but those that hold two swings. Then the power: sessions of the two kinds that hold a shot with two
(worlds/players_kinds.py) and of the older world (worlds/old.py) by gap and balls. Beside it "at best": the exact likelihood ratio of one who knows the
player's club spread, mishits, the gap and how often each swing is made, and the shot's place to 2 % and its spread to 12 %; its threshold is that
many false calls in a thousand as are told in the first line, by simulation. The bar of `chart/two_swings.py` was set on the tuned half, seed 41.
"""

import argparse
from collections.abc import Iterable, Iterator, Sequence
from types import SimpleNamespace
from typing import Final

import numpy as np
from numpy.typing import NDArray
from players_by_others import balls
from worlds.old import simulate
from worlds.players import half, make
from worlds.players_hit import strike_good, strike_mishit
from worlds.players_law import World, _moments

from threequarter.chart.posterior import infer
from threequarter.chart.prepare import prepare
from threequarter.chart.result import FREED_FROM
from threequarter.chart.two_swings import BAR, LEAST_READINGS, find_two_swings
from threequarter.golf.ball import Ball
from threequarter.golf.errors import UserError

Floats = NDArray[np.float64]
WITH_TWO: Final = ("two_swings_one_name", "two_swings_nearer")
MANY: Final = 3000
FALSE: Final = (0.02, 0.01)


def called(hit: Sequence[Ball], bar: float) -> tuple[set[tuple[str, str]], set[tuple[str, str]]]:
    """The shots that are called two swings, and those with enough balls to be."""
    readings = prepare(hit)
    posterior = infer(readings)
    freed = set(np.flatnonzero(posterior.disagreeing() > FREED_FROM).tolist())
    if freed:
        posterior = infer(readings, freed=freed)
    names = [(name.club, name.swing) for name in readings.names]
    enough = {
        names[i] for i in range(len(names)) if ((readings.cell == i) & (readings.count == 1)).sum() >= LEAST_READINGS
    }
    return {names[found.cell] for found in find_two_swings(readings, posterior, bar)}, enough


def false_calls(kinds: Iterable[str], sessions: int, seed: int, bar: float) -> Iterator[tuple[str, int, int, int, int]]:
    """For each kind: shots called, shots with enough balls, sessions with a call, sessions."""
    for kind in kinds:
        shots = wrong = with_one = counted = 0
        for number in range(sessions):
            try:
                found, enough = called(balls(make(kind, number, seed)), bar)
            except UserError:
                continue
            shots, wrong, counted = shots + len(enough), wrong + len(found), counted + 1
            with_one += bool(found)
        if shots:
            yield kind, wrong, shots, with_one, counted


def found_of_kind(kind: str, sessions: int, seed: int, bar: float) -> tuple[int, int]:
    """Shots with two swings that are called, and how many there are."""
    right = there = 0
    for number in range(sessions):
        session = make(kind, number, seed)
        found, _enough = called(balls(session), bar)
        two = {name for name, cell in session.cells.items() if cell.second_m is not None}
        right, there = right + len(found & two), there + len(two)
    return right, there


def found_of_old(gap: float, count: int, sessions: int, seed: int, bar: float) -> tuple[int, int]:
    """The same in the older world, centres `gap` spreads apart and `count` balls a shot."""
    rng, right, there = np.random.default_rng(seed), 0, 0
    for _ in range(sessions):
        session = simulate(rng, "two_swings", count, gap_spreads=gap)
        found, enough = called(session.balls, bar)
        two = {(cell.club, cell.swing) for cell in session.cells if cell.second_m is not None} & enough
        right, there = right + len(found & two), there + len(two)
    return right, there


class AtBest:
    """The likelihood ratio of one who knows the player (Neyman & Pearson 1933, Phil. Trans. R. Soc. A 231, 289)."""

    def __init__(self, seed: int = 1) -> None:
        self.rng, self.world = np.random.default_rng(seed), World()
        self.law = SimpleNamespace(world=self.world)
        over = np.log(strike_mishit(self.law, SimpleNamespace(spread=0.06), 200_000, self.rng).over)  # type: ignore[arg-type]
        self.at = np.linspace(-2.6, 0.8, 681)
        shares, _ = np.histogram(over, bins=np.append(self.at - 0.0025, self.at[-1] + 0.0025), density=True)
        self.bad = np.convolve(shares, np.ones(5) / 5, "same") + 1e-4

    def good(self, u: Floats, spread: float) -> Floats:
        """Density of a good strike's log carry over the centre: the sinh-arcsinh law of worlds/players_law.py."""
        skew, tail = self.world.shape
        mean, sd = _moments(skew, tail)
        bent = (np.exp(u) - 1) / spread * sd + mean
        at = tail * np.arcsinh(bent) - skew
        return (
            np.exp(-0.5 * np.sinh(at) ** 2 + u)
            / np.sqrt(2 * np.pi)
            * np.cosh(at)
            * tail
            / np.hypot(1, bent)
            * sd
            / spread
        )

    def ratio(self, y: Floats, spread: float, rate: float, gap: float) -> float:
        """Log likelihood ratio of two centres over one."""
        x, k, one, two = np.linspace(-2, 2, 9), np.linspace(-1.6, 1.6, 5), 0.0, 0.0
        for off, a in zip(0.02 * x, np.exp(-0.5 * x * x), strict=True):
            for wide, b in zip(spread * np.exp(0.12 * k), np.exp(-0.5 * k * k), strict=True):
                first, second = (
                    (1 - rate) * self.good(u, wide) + rate * np.interp(u, self.at, self.bad)
                    for u in (y - off, y - off - np.log1p(gap))
                )
                one, two = (
                    one + a * b * float(np.prod(first)),
                    two + a * b * float(np.prod(0.55 * first + 0.45 * second)),
                )
        return float(np.log(two) - np.log(one))

    def cell(self, count: int, gap: float) -> tuple[Floats, float, float]:
        """Balls of a shot, log; its club's spread and its mishit rate. A gap of 0: one swing."""
        rng, world = self.rng, self.world
        club = world.spread * np.exp(rng.normal(0, np.hypot(world.spread_sd, world.club_spread_sd)))
        own = SimpleNamespace(spread=club * np.exp(rng.normal(0, world.cell_spread_sd)))
        rate = 1 / (1 + np.exp(-np.log(world.mishits / (1 - world.mishits)) - rng.normal(0, world.mishits_sd)))
        good, bad = (f(self.law, own, count, rng).over for f in (strike_good, strike_mishit))  # type: ignore[arg-type]
        y = np.log(np.where(rng.random(count) < rate, bad, good)) + rng.normal(0, 0.015)
        return y + np.log1p(gap) * (rng.random(count) < 0.45), float(club), float(rate)

    def power(self, count: int, gap: float, cells: int = MANY) -> list[float]:
        """Share that is found at each share of false calls in FALSE."""
        null = [self.ratio(*self.cell(count, 0.0), gap) for _ in range(cells)]
        two = [self.ratio(*self.cell(count, gap), gap) for _ in range(cells // 3)]
        return [float(np.mean(np.array(two) > np.quantile(null, 1 - false))) for false in FALSE]


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--half", choices=("tuned", "reported", "all"), default="reported")
    parser.add_argument("--sessions", type=int, default=4)
    parser.add_argument("--seed", type=int, default=41)
    parser.add_argument("--pairs", type=int, default=60)
    parser.add_argument("--bar", type=float, default=BAR)
    chosen = parser.parse_args()
    kinds = [kind for kind in half(chosen.half) if kind not in WITH_TWO]
    rows = list(false_calls(kinds, chosen.sessions, chosen.seed, chosen.bar))
    wrong, shots, with_one, counted = (sum(row[k] for row in rows) for k in (1, 2, 3, 4))
    print(
        f"bar {chosen.bar}: {wrong} of {shots} normal shots called ({wrong / shots:.2%}), in {with_one} of {counted} sessions ({with_one / counted:.0%})"
    )
    rows.sort(key=lambda row: -row[1] / row[2])
    print("most in: " + ", ".join(f"{row[0]} {row[1]} of {row[2]}" for row in rows[:8]))
    best = AtBest()
    for kind, gap, count in zip(WITH_TWO, (0.20, 0.13), (10, 15), strict=True):
        right, there = found_of_kind(kind, chosen.pairs, chosen.seed + 1, chosen.bar)
        at_best = ", ".join(f"{p:.0%} at {f:.0%} false" for p, f in zip(best.power(count, gap), FALSE, strict=True))
        print(
            f"{kind} ({gap:.0%} apart, {count} balls): found {right} of {there} ({right / there:.0%}); at best {at_best}",
            flush=True,
        )
    print(f"{'older world: gap in spreads':>28s} {'balls':>6s} {'found':>12s}")
    for spreads in (3.0, 4.0, 5.0):
        for count in (10, 20):
            right, there = found_of_old(spreads, count, max(chosen.pairs // 4, 4), chosen.seed, chosen.bar)
            print(f"{spreads:28.1f} {count:6d} {right:5d} of {there:3d}", flush=True)


if __name__ == "__main__":
    main()
