"""Where the spread comes from: how much of the ball-to-ball spread of carry goes with swing length, with tempo, and with the strike.

Balls are joined with the swings of their clips. Within every shot the log carry is regressed on how far the arm went back and on
the tempo (Bayesian, normal with an inverse-gamma spread; Gelman et al., Bayesian Data Analysis, ch. 14); what is left is strike.
The errors of the camera's own measures are taken off (attenuation; Fuller 1987, Measurement Error Models, ch. 1).
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from threequarter.chart.result import Chart, Interval
from threequarter.golf.ball import Ball
from threequarter.golf.errors import UserError
from threequarter.golf.message import Message

Floats = NDArray[np.float64]

LEAST_PAIRS: Final = 12
DRAWS: Final = 4000
NAMES: Final = ("swing length", "tempo", "strike")
_CODES: Final = ("length", "tempo", "strike")
ARM_SD_DEG: Final = 3.4 / 1.645
TEMPO_SD: Final = 0.15


@dataclass(frozen=True, slots=True, kw_only=True)
class Share:
    """A share of the variance of carry (0 to 1) with its 90 % interval."""

    name: str
    share: float
    share90: Interval


@dataclass(frozen=True, slots=True, kw_only=True)
class SpreadAnswer:
    """Shares that add up to one, pairs behind them, the spread of good balls, and what to work on first."""

    pairs: int
    spread: float
    shares: tuple[Share, ...]
    messages: tuple[Message, ...]


def join(balls: Sequence[Ball], swings: Sequence[Mapping[str, Any]]) -> list[tuple[Ball, float, float]]:
    """Balls with the arm's angle at the top (degrees) and the tempo of their swings, in the order hit.

    A swing may name its ball (`ball`); else the first swing is that of the first ball, and so on. Raises UserError where the
    counts differ and no swing names its ball.
    """
    numbered = {int(s["ball"]): s for s in swings if isinstance(s.get("ball"), int)}
    if not numbered and len(swings) != len(balls):
        raise UserError(Message("spread.counts_differ", balls=len(balls), swings=len(swings)))
    pairs = []
    for place, ball in enumerate(balls):
        swing = numbered.get(ball.number) if numbered else swings[place]
        if (
            swing
            and isinstance(swing.get("lead_arm_top_deg"), int | float)
            and isinstance(swing.get("tempo_ratio"), int | float)
        ):
            pairs.append((ball, float(swing["lead_arm_top_deg"]), float(swing["tempo_ratio"])))
    return pairs


def spread_shares(chart: Chart, pairs: Sequence[tuple[Ball, float, float]]) -> SpreadAnswer:
    """The shares for the balls that count as good. Says plainly when the pairs are too few."""
    good = {verdict.number for verdict in chart.verdicts if not verdict.mishit}
    used = [pair for pair in pairs if pair[0].number in good]
    shots = [b.shot for b, _arm, _tempo in used]
    groups = {shot: [i for i, s in enumerate(shots) if s == shot] for shot in dict.fromkeys(shots)}
    rows = [i for members in groups.values() if len(members) >= 3 for i in members]
    free = len(rows) - sum(len(members) >= 3 for members in groups.values())
    spread = float(np.exp(np.median(chart.draws_log_sd)))
    if free < LEAST_PAIRS:
        return SpreadAnswer(
            pairs=len(rows),
            spread=spread,
            shares=(),
            messages=(Message("spread.too_few", pairs=len(rows), enough=LEAST_PAIRS + 8),),
        )
    y, x = _within(used, rows, groups)
    draws = _draws(y, x, free)
    shares = tuple(
        Share(
            name=name,
            share=float(np.median(draws[:, k])),
            share90=Interval(*np.quantile(draws[:, k], [0.05, 0.95]).tolist()),
        )
        for k, name in enumerate(NAMES)
    )
    return SpreadAnswer(pairs=len(rows), spread=spread, shares=shares, messages=_messages(shares, draws, len(rows)))


def _within(
    used: Sequence[tuple[Ball, float, float]], rows: list[int], groups: dict[Any, list[int]]
) -> tuple[Floats, Floats]:
    """Log carry (n,) and measures (n, 2), each with the mean of its shot taken off."""
    carry = np.log([used[i][0].distance_m for i in rows])
    measures = np.array([[used[i][1], used[i][2]] for i in rows])
    place = {i: k for k, i in enumerate(rows)}
    for members in groups.values():
        mine = [place[i] for i in members if i in place]
        if mine:
            carry[mine] -= carry[mine].mean()
            measures[mine] -= measures[mine].mean(0)
    return carry, measures


def _draws(y: Floats, x: Floats, free: int) -> Floats:
    """Posterior draws (DRAWS, 3) of the shares."""
    rng = np.random.default_rng(11)
    noise = np.array([ARM_SD_DEG, TEMPO_SD]) ** 2
    seen = x.T @ x / free
    true = seen - np.diag(np.minimum(noise, 0.8 * np.diag(seen)))
    ridge = np.diag(1e-3 * np.diag(x.T @ x))
    precision = x.T @ x + ridge
    mean = np.linalg.solve(precision, x.T @ y)
    rest = y - x @ mean
    n = max(free - 2, 3)
    sigma2 = float(rest @ rest) / rng.chisquare(n, DRAWS)
    root = np.linalg.cholesky(np.linalg.inv(precision))
    beta = mean + np.sqrt(sigma2)[:, None] * (rng.standard_normal((DRAWS, 2)) @ root.T)
    corrected = beta @ np.linalg.solve(true, seen).T
    own = corrected**2 * np.diag(true)
    hidden = own.sum(1) - np.einsum("di,ij,dj->d", beta, seen, beta)  # what the camera's errors put among the rest
    strike = np.maximum(sigma2 - np.maximum(hidden, 0.0), 0.05 * sigma2)
    known = 0.7 * free  # how much this player varies is known from so many swings only, and the camera's errors about
    own = own * known / rng.chisquare(known, own.shape)
    total = own.sum(1) + strike
    return np.column_stack([own / total[:, None], strike / total])


def _messages(shares: Sequence[Share], draws: Floats, pairs: int) -> tuple[Message, ...]:
    order = sorted(shares, key=lambda share: -share.share)
    first, second = order[0], order[1]
    k, j = NAMES.index(first.name), NAMES.index(second.name)
    sure = float((draws[:, k] > draws[:, j]).mean())
    largest = Message(
        f"spread.largest_{_CODES[k]}",
        of_share=first.share,
        low_share=first.share90.low,
        high_share=first.share90.high,
        pairs=pairs,
    )
    if sure >= 0.9:
        return largest, Message(f"spread.work_on_{_CODES[k]}")
    causes = {name: Message(f"spread.{_CODES[place]}") for name, place in (("first", k), ("second", j))}
    return largest, Message("spread.undecided", **causes)
