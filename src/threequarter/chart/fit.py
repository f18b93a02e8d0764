"""From balls to a chart: the one call behind the page, the command and the library."""

from collections.abc import Sequence
from typing import Final

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr, stdtr

from threequarter import core
from threequarter.chart import checks, priors
from threequarter.chart.posterior import Posterior, infer
from threequarter.chart.prepare import Also, Readings, prepare
from threequarter.chart.result import FREED_FROM, Cell, Chart, Interval
from threequarter.chart.two_swings import TwoSwings, find_two_swings
from threequarter.chart.verdicts import verdicts
from threequarter.golf.ball import Ball, Carried
from threequarter.golf.message import Message
from threequarter.golf.player import name_key

Floats = NDArray[np.float64]

SEED: Final = 54
WARM_FROM: Final = 4
"""So many balls in the table before the first that is used: the player was warm."""
ENDS: Final = (0.05, 0.95)
NEWTON: Final = 2
POINTS: Final = 12
"""Quantiles of a good strike that stand for it when the next ball is told."""
NEXT_WIDER: Final = 1.03
"""The next ball's range is drawn so much wider than the spread: strikes lean and are less even than any law of theirs. Set by
`benchmarks/players_by_others.py` (tuned half, seed 51: 88.7 % held without it)."""


def fit_chart(
    balls: Sequence[Carried], *, also: Sequence[Also] = (), warm: bool | None = None, any_day: bool = False
) -> Chart:
    """The distance chart of a session: every club by every swing, hit or not.

    `also` names further (club, swing) or (club, swing, loft) cells to chart without a ball. `warm`: whether balls were hit before these, None
    where nobody was asked; balls in the table that are not used are such balls. `any_day`: the next ball is one of any day, about the
    stock carry like it, not one of the last day. The same balls give the same chart.
    Raises UserError where there is no ball to chart, or a distance is out of reach.
    """
    balls = tuple(Carried.of(ball) for ball in balls)  # a distance that is no carry is refused, whatever the types say
    readings = prepare(balls, also)
    if warm is None and readings.order.min() >= WARM_FROM:
        warm = True
    posterior = infer(readings, warm=warm)
    disagree, others_m = posterior.disagreeing(), posterior.others_m()
    freed = set(np.flatnonzero(disagree > FREED_FROM).tolist())
    if freed:
        posterior = infer(readings, warm=warm, freed=freed)
    two = find_two_swings(readings, posterior)
    if two:  # balls of two swings say little about one: the other cells are fitted with that doubt
        doubted = readings.doubted({found.cell: found.half_gap for found in two})
        posterior = infer(doubted, warm=warm, freed=freed)
    return _Maker(readings, posterior, two, freed, disagree, others_m).chart(balls, any_day=any_day)


class _Maker:
    """A posterior made into a chart. Shapes: draws (kept sweeps, cells)."""

    def __init__(
        self,
        readings: Readings,
        posterior: Posterior,
        two: Sequence[TwoSwings],
        freed: set[int],
        disagree: Floats,
        others_m: Floats,
    ) -> None:
        self.readings, self.posterior, self.freed, self.disagree = readings, posterior, freed, disagree
        self.others_m = others_m
        self.both = {found.cell: found.centres_m for found in two}
        self.shared = _shared(readings)
        soft, swings = posterior.soft[:, None], len(readings.swings)
        shared, day_one, day_swing = np.split(_drawn(len(soft), 2 + swings), (1, 2), axis=1)
        self.lower = (
            soft * priors.SOFT_SHIFT * np.exp(posterior.log_sd)
        )  # soft strikes are good ones, counted in the mean
        wider = (1 - soft) + soft * priors.SOFT_SD**2 + soft * (1 - soft) * priors.SOFT_SHIFT**2
        self.log_sd = posterior.log_sd + 0.5 * np.log(wider)
        self.stock = posterior.drawn + self.lower + shared * self.shared
        day = posterior.day_sd[:, None] * np.sqrt(1 + 1 / readings.days)
        by_swing = np.tile(day_swing, len(readings.names) // swings)
        self.shift = day * (day_one + priors.DAY_SWING_PART * by_swing)

    def chart(self, balls: Sequence[Ball], *, any_day: bool) -> Chart:
        readings, posterior = self.readings, self.posterior
        sd = np.sqrt(posterior.variance + self.shared**2)
        stock = np.exp(_mixture_quantiles(posterior.centre + self.lower, sd, self.stock, (0.05, 0.5, 0.95)))
        here = self.stock - self.lower + (0.0 if any_day else posterior.last_day)
        strike = _good_strike(float(posterior.soft.mean()))
        another = np.exp(np.quantile(self.stock + self.shift, ENDS, axis=0))
        another_ball = np.exp(_next_ball(here + self.shift, posterior.log_sd, strike))
        following = another_ball if any_day else np.exp(_next_ball(here, posterior.log_sd, strike))
        rates = np.quantile(posterior.mishits, ENDS, axis=0)
        per_day = 1 + priors.DAY_SWING_PART**2
        drift = checks.drift90(readings, posterior)
        failed, asked = checks.judged(readings, posterior, self.disagree, self.others_m)
        return Chart(
            cells=tuple(
                self._cell(i, stock, following, another, another_ball, rates) for i in range(len(readings.names))
            ),
            verdicts=verdicts(readings, posterior, balls),
            clubs=readings.clubs,
            swings=readings.swings,
            draws_log_carry=self.stock,
            draws_log_sd=self.log_sd,
            draws_mishit_rate=posterior.mishits,
            shared_sd=self.shared,
            tail_df=priors.TAIL_DF,
            another_day_sd=float(np.sqrt((posterior.day_sd**2).mean() * per_day * (1 + 1 / readings.days))),
            drift90=drift,
            checks=failed,
            notes=(*_players(balls), *asked, *checks.notes_on_drift(drift, readings), *_notes(readings)),
        )

    def _cell(
        self, i: int, stock: Floats, following: Floats, another: Floats, another_ball: Floats, rates: Floats
    ) -> Cell:
        name, readings = self.readings.names[i], self.readings
        low, middle, high = stock[:, i].tolist()
        return Cell(
            club=name.club,
            swing=name.swing,
            loft_deg=name.loft_deg,
            balls=readings.balls_in(i),
            readings=int((readings.cell == i).sum()),
            stock_carry_m=middle,
            stock90_m=Interval(low, high),
            next90_m=Interval(*following[:, i].tolist()),
            another_day90_m=Interval(*another[:, i].tolist()),
            next_another_day90_m=Interval(*another_ball[:, i].tolist()),
            good_sd_m=float(np.exp(self.log_sd[:, i].mean()) * middle),
            mishit_rate=float(self.posterior.mishits[:, i].mean()),
            mishit_rate90=Interval(*rates[:, i].tolist()),
            disagree_chance=float(self.disagree[i]),
            as_hit=i in self.freed,
            two_swings_m=self.both.get(i),
            told=checks.told_of_cell(i in self.freed, float(self.others_m[i])),
        )


def _drawn(rows: int, columns: int) -> Floats:
    """Normal numbers (rows, columns), the same in Python and in a browser."""
    return core.call("normals", np.array([SEED, rows * columns], dtype=float), rows * columns).reshape(rows, columns)


def _shared(readings: Readings) -> Floats:
    """Relative SD (cells,) of the error that all balls of a cell share; a cell never hit has that of the whole session."""
    whole = np.sqrt((readings.shared**2).mean())
    return np.array(
        [
            np.sqrt((readings.shared[mine] ** 2).mean()) if mine.any() else whole
            for mine in (readings.cell == i for i in range(len(readings.names)))
        ]
    )


def _mixture_quantiles(mean: Floats, sd: Floats, draws: Floats, levels: tuple[float, ...]) -> Floats:
    """Quantiles (levels, cells) of an even mixture of Gaussians over the first axis: those of draws from it, made smoother
    by short Newton steps."""
    whole = draws.std(axis=0)
    found = np.quantile(draws, levels, axis=0)
    for _step in range(NEWTON):
        z = (found[:, None] - mean) / sd
        off = ndtr(z).mean(axis=1) - np.array(levels)[:, None]
        density = (np.exp(-0.5 * z * z) / sd).mean(axis=1) / np.sqrt(2 * np.pi)
        found = found - np.clip(off / np.maximum(density, 0.02 / whole), -0.15 * whole, 0.15 * whole)
    return np.sort(found, axis=0)


def _good_strike(soft: float) -> Floats:
    """Quantiles (POINTS,) of a good strike about its centre, in spreads: Student t and, as often as `soft` says, a soft one."""
    steps = np.linspace(-5.0, 5.0, 101)
    scale = np.sqrt((priors.TAIL_DF - 2) / priors.TAIL_DF)
    below = (1 - soft) * stdtr(priors.TAIL_DF, steps / scale) + soft * ndtr(
        (steps - priors.SOFT_SHIFT) / priors.SOFT_SD
    )
    return np.interp((np.arange(POINTS) + 0.5) / POINTS, below, steps)


def _next_ball(centres: Floats, log_sd: Floats, strike: Floats) -> Floats:
    """5 and 95 % quantiles (2, cells) of the log carry of the next good ball, its centre drawn with each sweep."""
    balls = (centres + NEXT_WIDER * np.exp(log_sd) * strike[:, None, None]).reshape(-1, centres.shape[1])
    ends = [round(end * (len(balls) - 1)) for end in ENDS]
    return np.asarray(np.partition(balls.T, ends, axis=1)[:, ends].T)


def _players(balls: Sequence[Ball]) -> tuple[Message, ...]:
    """A warning where balls of several players stand in one chart."""
    names: dict[str, str] = {}
    for ball in balls:
        if ball.use and ball.player:
            names.setdefault(name_key(ball.player), ball.player)
    if len(names) < 2:
        return ()
    code = "chart.many_players" if len(names) > 4 else "chart.few_players"
    return (Message(code, count=len(names), names=tuple(names.values())[:4]),)


def _notes(readings: Readings) -> tuple[Message, ...]:
    """What should be known about the whole chart."""
    notes = []
    guessed = tuple(dict.fromkeys(name.club for name in readings.names if name.loft_deg is None))
    if guessed:
        notes.append(Message("chart.no_loft", clubs=guessed))
    own = tuple(dict.fromkeys(name.swing for name in readings.names if name.length.reach is None))
    if own and len(readings.swings) > 1:
        notes.append(Message("chart.own_swings", swings=own))
    if readings.shared.max() > 0:
        notes.append(Message("chart.shared_error", wide_share=1.645 * float(np.sqrt((readings.shared**2).mean()))))
    if readings.piles:
        notes.append(Message("chart.piles"))
    return tuple(notes)
