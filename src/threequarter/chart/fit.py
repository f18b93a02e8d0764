"""From balls to a chart: the one call behind the page, the command and the library."""

from collections.abc import Sequence
from typing import Final

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr, stdtrit

from threequarter.chart import priors
from threequarter.chart.em import Posterior, infer
from threequarter.chart.prepare import Also, Readings, prepare
from threequarter.chart.result import Cell, Chart, Interval, Verdict
from threequarter.chart.two_swings import TwoSwings, find_two_swings
from threequarter.golf.ball import Ball
from threequarter.golf.message import Message
from threequarter.golf.player import name_key

Floats = NDArray[np.float64]

DRAWS: Final = 400
SEED: Final = 54


def fit_chart(balls: Sequence[Ball], *, also: Sequence[Also] = ()) -> Chart:
    """The distance chart of a session: every club by every swing, hit or not.

    `also` names further (club, swing) or (club, swing, loft) cells to chart without a ball. The same balls give the same chart.
    Raises UserError where there is no ball to chart, or a distance is not one of a wedge.
    """
    readings = prepare(balls, also)
    posterior = infer(readings)
    two = find_two_swings(readings, posterior)
    if two:  # balls of two swings say little about one: the other cells are fitted with that doubt
        doubted = readings.doubted({found.cell: found.half_gap for found in two})
        posterior = infer(doubted)
    return _chart(readings, posterior, two, balls)


def _chart(readings: Readings, posterior: Posterior, two: Sequence[TwoSwings], balls: Sequence[Ball]) -> Chart:
    both = {found.cell: found.centres_m for found in two}
    shared = _shared(readings)
    stock_mean, stock_sd = _stock(readings, posterior)
    stock_sd = np.hypot(stock_sd, shared)
    draws, spread_draws, last_draws = _draws(readings, posterior, shared)
    quantiles = _mixture_quantiles(posterior.weight, stock_mean, stock_sd, np.array([0.05, 0.5, 0.95]))
    spread = np.exp(posterior.weight @ posterior.log_spread)
    following = _next_ball(last_draws, spread_draws)
    rates = _rates(posterior)
    rng = np.random.default_rng(SEED)
    another_sd = float(np.sqrt((priors.DAY_SD**2 + priors.DAY_SWING_SD**2) * (1 + 1 / readings.days)))
    another = draws + another_sd * rng.standard_normal(draws.shape)
    another90 = np.exp(np.quantile(another, [0.05, 0.95], axis=0))
    another_ball90 = np.exp(_next_ball(another, spread_draws))
    rate_draws = np.repeat(posterior.rate[_points(posterior)][:, None], len(readings.names), axis=1)
    cells = []
    for i, name in enumerate(readings.names):
        low, middle, high = np.exp(quantiles[:, i])
        cells.append(
            Cell(
                club=name.club,
                swing=name.swing,
                loft_deg=name.loft_deg,
                balls=readings.balls_in(i),
                readings=int((readings.cell == i).sum()),
                stock_carry_m=float(middle),
                stock90_m=Interval(float(low), float(high)),
                next90_m=Interval(*np.exp(following[:, i]).tolist()),
                another_day90_m=Interval(*another90[:, i].tolist()),
                next_another_day90_m=Interval(*another_ball90[:, i].tolist()),
                good_sd_m=float(spread[i] * middle),
                mishit_rate=rates[0],
                mishit_rate90=Interval(*rates[1]),
                two_swings_m=both.get(i),
            )
        )
    return Chart(
        cells=tuple(cells),
        verdicts=_verdicts(readings, posterior, balls),
        clubs=readings.clubs,
        swings=readings.swings,
        draws_log_carry=draws,
        draws_log_sd=spread_draws,
        draws_mishit_rate=rate_draws,
        shared_sd=shared,
        tail_df=priors.TAIL_DF,
        another_day_sd=another_sd,
        notes=(*_players(balls), *_notes(readings)),
    )


def _shared(readings: Readings) -> Floats:
    """Relative SD (cells,) of the error that all balls of a cell share; a cell never hit has that of the whole session."""
    whole = np.sqrt((readings.shared**2).mean())
    return np.array(
        [
            np.sqrt((readings.shared[mine] ** 2).mean()) if mine.any() else whole
            for mine in (readings.cell == i for i in range(len(readings.names)))
        ]
    )


def _stock(readings: Readings, posterior: Posterior) -> tuple[Floats, Floats]:
    """Mean and SD, each (G, cells), of the log stock carry: the mean of a cell's centres over the recorded days."""
    cells, days = len(readings.names), readings.days
    average = np.tile(np.eye(cells), (days, 1)) / days
    centres = posterior.mean[:, :-1] @ average
    covariance = np.einsum("ji,gjk,kl->gil", average, posterior.covariance[:, :-1, :-1], average)
    return centres, np.sqrt(np.diagonal(covariance, axis1=1, axis2=2))


def _mixture_quantiles(weight: Floats, mean: Floats, sd: Floats, levels: Floats) -> Floats:
    """Quantiles (levels, cells) of a mixture of Gaussians over the first axis, by bisection."""
    low = np.repeat((mean - 6 * sd).min(0)[None], len(levels), 0)
    high = np.repeat((mean + 6 * sd).max(0)[None], len(levels), 0)
    for _step in range(30):
        middle = (low + high) / 2
        below = np.einsum("g,gqc->qc", weight, ndtr((middle[None] - mean[:, None]) / sd[:, None])) < levels[:, None]
        low, high = np.where(below, middle, low), np.where(below, high, middle)
    return np.asarray((low + high) / 2)


def _draws(readings: Readings, posterior: Posterior, shared: Floats) -> tuple[Floats, Floats, Floats]:
    """Joint draws (DRAWS, cells): log stock carry, log relative spread, log centre of the last day."""
    rng = np.random.default_rng(SEED)
    cells, days = len(readings.names), readings.days
    point = _points(posterior)
    root = np.linalg.cholesky(posterior.covariance + 1e-14 * np.eye(posterior.covariance.shape[1]))
    z = rng.standard_normal((DRAWS // 2, posterior.mean.shape[1]))
    z = np.concatenate([z, -z])[rng.permutation(DRAWS)]
    state = posterior.mean[point].copy()
    for g in np.unique(point):
        state[point == g] += z[point == g] @ root[g].T
    by_day = state[:, :-1].reshape(DRAWS, days, cells)
    by_day = by_day + rng.standard_normal((DRAWS, 1, 1)) * shared
    noise = rng.standard_normal((DRAWS, cells))
    spread = posterior.log_spread[point] + noise * posterior.log_spread_sd[point]
    return by_day.mean(1), spread, by_day[:, -1]


def _points(posterior: Posterior) -> NDArray[np.intp]:
    """The grid point (DRAWS,) of each draw."""
    point = np.searchsorted(np.cumsum(posterior.weight), (np.arange(DRAWS) + 0.5) / DRAWS)
    return np.minimum(point, len(posterior.weight) - 1)


def _next_ball(centres: Floats, log_spread: Floats) -> Floats:
    """5 and 95 % quantiles (2, cells) of the log carry of the next good ball, from the draws and a stratified t."""
    parts = 9
    t = stdtrit(priors.TAIL_DF, (np.arange(parts) + 0.5) / parts) * np.sqrt((priors.TAIL_DF - 2) / priors.TAIL_DF)
    t = t / np.sqrt((t**2).mean())
    balls = centres[:, None] + np.exp(log_spread)[:, None] * t[None, :, None]
    return np.asarray(np.quantile(balls.reshape(-1, centres.shape[1]), [0.05, 0.95], axis=0))


def _rates(posterior: Posterior) -> tuple[float, tuple[float, float]]:
    """The player's mishit rate and its 90 % interval, from the grid and the balls' own classes."""
    bad = 1 - posterior.classes[:, 0]
    n = len(bad)
    mean = float(posterior.weight @ posterior.rate)
    wide = float(np.sqrt(posterior.weight @ (posterior.rate - mean) ** 2 + bad.mean() * (1 - bad.mean()) / (n + 4) / 4))
    return mean, (max(0.0, mean - 1.645 * wide), min(0.5, mean + 1.645 * wide))


def _verdicts(readings: Readings, posterior: Posterior, balls: Sequence[Ball]) -> tuple[Verdict, ...]:
    noted = {ball.number: ball.strike.value for ball in balls if ball.strike}
    kinds = np.array(priors.KINDS)
    by_kind = [posterior.classes[:, 1:][:, kinds == kind].sum(1).tolist() for kind in ("fat", "thin", "toe")]
    rows = zip(readings.numbers, posterior.classes[:, 0].tolist(), *by_kind, readings.heavy.tolist(), strict=True)
    verdicts = [
        Verdict(number=number, good=good, fat=fat, thin=thin, toe=toe, heavy=heavy, noted=noted.get(number))
        for numbers, good, fat, thin, toe, heavy in rows
        for number in numbers
    ]
    return tuple(sorted(verdicts, key=lambda verdict: verdict.number))


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
