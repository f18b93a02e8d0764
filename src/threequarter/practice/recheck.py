"""Does an old chart still hold? A sequential test on a handful of new balls, with stated error rates.

Two hypotheses about a common relative shift d of the stock carries: d = 0 (holds) against d = +move or d = -move
(moved). After every ball both likelihood ratios are compared with Wald's bounds (A. Wald, Sequential Tests of
Statistical Hypotheses, Ann. Math. Stat. 16, 1945, 117-186, eq. 3.11 and section 3.4): "moved" once one of them
reaches (1 - miss) / (false_alarm / 2), "holds" once both have fallen to miss / (1 - false_alarm / 2) or below.

What is not known - the old chart's own doubt, the spread, the day's own shift, mishits - is averaged over inside each
likelihood, so that the ratio stays a martingale for a player whose chart holds and looking after every ball is free.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, Literal

import numpy as np
from numpy.typing import NDArray
from scipy.special import gammaln, logsumexp

from threequarter.chart import words
from threequarter.chart.result import Chart, Interval
from threequarter.golf.ball import Ball
from threequarter.golf.club import club_key
from threequarter.golf.language import _, ngettext
from threequarter.golf.swing_length import parse_swing
from threequarter.golf.units import DistanceUnit, from_metres

Floats = NDArray[np.float64]
Verdict = Literal["holds", "moved", "not known yet"]

MOVE: Final = 0.05
FALSE_ALARM: Final = 0.05
MISS: Final = 0.10
DAY_SD: Final = 0.012
"""A player's day-to-day shift of all carries, relative. Common practice, no source; a chart of one day cannot tell it."""
SPREAD_DOUBT: Final = 0.15
"""Extra doubt (SD of the log) of a spread carried over from an old chart."""
MISHIT_LOG_SHIFT: Final = -0.25
MISHIT_LOG_SD: Final = 0.25
GRID: Final = np.linspace(-0.30, 0.30, 121)
SHIFT_SD: Final = 0.06
"""Prior SD of a shift, for the estimate that is shown beside the verdict, not for the test."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Shift:
    """How far a group of cells moved, as a ratio minus 1 (0.03: 3 % longer), and the balls behind it."""

    group: str
    ratio: float
    ratio90: Interval
    verdict: Verdict
    balls: int
    old_carry_m: float

    @property
    def moved_m(self) -> float:
        """The shift in metres at the group's old mean carry."""
        return self.ratio * self.old_carry_m


@dataclass(frozen=True, slots=True, kw_only=True)
class Recheck:
    """The answer: the verdict for the whole chart, each group's shift, and the balls to hit next (club, swing, count)."""

    verdict: Verdict
    whole: Shift
    groups: tuple[Shift, ...]
    left_out: int
    more: tuple[tuple[str, str, int], ...] = ()


def recheck(
    old: Chart,
    balls: Sequence[Ball],
    *,
    move: float = MOVE,
    false_alarm: float = FALSE_ALARM,
    miss: float = MISS,
) -> Recheck:
    """Whether `old` still holds after the new `balls`, hit on one day.

    Balls of cells that the old chart does not have, marked as not to be used, or measured where they came to lie
    are counted in `left_out`. Without a ball left the verdict is "not known yet".
    """
    data = _New.of(old, balls)
    everything = np.ones(len(data.log_carry), dtype=bool)
    bounds = _bounds(false_alarm, miss)
    whole = _shift(_("all shots"), old, data, everything, move, bounds)
    groups = []
    named = [(_("{swing} swings").format(swing=swing), data.swing == swing) for swing in old.swings]
    named += [(_("the {club}").format(club=club), data.club == club) for club in old.clubs]
    tested = [(name, mask) for name, mask in named if 0 < mask.sum() < len(mask)]
    shared = _bounds(false_alarm / max(1, len(tested)), miss)
    for name, mask in tested:
        groups.append(_shift(name, old, data, mask, move, shared))
    verdict: Verdict = "moved" if any(g.verdict == "moved" for g in groups) else whole.verdict
    return Recheck(
        verdict=verdict,
        whole=whole,
        groups=tuple(groups),
        left_out=len(balls) - len(data.log_carry),
        more=_more(old, data) if verdict == "not known yet" else (),
    )


@dataclass(frozen=True, slots=True, eq=False)
class _New:
    """New balls as arrays, each tied to the old cell it belongs to."""

    log_carry: Floats
    cell: NDArray[np.intp]
    club: NDArray[np.str_]
    swing: NDArray[np.str_]

    @classmethod
    def of(cls, old: Chart, balls: Sequence[Ball]) -> "_New":
        place = {(club_key(c.club, c.loft_deg), parse_swing(c.swing).key): i for i, c in enumerate(old.cells)}
        rows = []
        for ball in balls:
            i = place.get((club_key(ball.club, ball.loft_deg), parse_swing(ball.swing).key))
            if i is not None and ball.use and ball.measured_as == "carry" and ball.distance_m > 0:
                rows.append((np.log(ball.distance_m), i, old.cells[i].club, old.cells[i].swing))
        columns = list(zip(*rows, strict=True)) or [(), (), (), ()]
        return cls(
            np.array(columns[0], dtype=float),
            np.array(columns[1], dtype=np.intp),
            np.array(columns[2], dtype=np.str_),
            np.array(columns[3], dtype=np.str_),
        )


def log_likelihood(old: Chart, data: _New, mask: NDArray[np.bool_]) -> Floats:
    """Log-likelihood of a common shift, shape of GRID, averaged over the old chart's draws, spread and the day.

    A good strike is Student t about the old centre plus the shift, a mishit broad and short.
    """
    cell = data.cell[mask]
    rng = np.random.default_rng(7)
    log_sd = old.draws_log_sd[:, cell] + rng.normal(0, SPREAD_DOUBT, (len(old.draws_log_sd), 1))
    residual = data.log_carry[mask] - old.draws_log_carry[:, cell]
    rate = np.array([old.cells[i].mishit_rate for i in cell])
    by_draw = np.empty((len(GRID), len(residual)))
    for k, shift in enumerate(GRID):
        z = residual - shift
        good = np.log1p(-rate) + _student_t(z, np.exp(log_sd), old.tail_df)
        bad = (
            np.log(rate + 1e-6)
            - 0.5 * ((z - MISHIT_LOG_SHIFT) / MISHIT_LOG_SD) ** 2
            - np.log(MISHIT_LOG_SD * np.sqrt(2 * np.pi))
        )
        by_draw[k] = np.logaddexp(good, bad).sum(axis=1)
    seen = logsumexp(by_draw, axis=1) - np.log(by_draw.shape[1])
    day = -0.5 * ((GRID[:, None] - GRID[None, :]) / DAY_SD) ** 2
    day -= logsumexp(day, axis=1, keepdims=True)
    return np.asarray(logsumexp(seen[None, :] + day, axis=1))


def _student_t(z: Floats, sd: Floats, df: float) -> Floats:
    """Log-density of a Student t with standard deviation `sd` and `df` > 2 degrees of freedom."""
    scale = sd * np.sqrt((df - 2) / df)
    constant = gammaln((df + 1) / 2) - gammaln(df / 2) - 0.5 * np.log(df * np.pi)
    return np.asarray(constant - np.log(scale) - (df + 1) / 2 * np.log1p((z / scale) ** 2 / df))


def _bounds(false_alarm: float, miss: float) -> tuple[float, float]:
    """Logs of Wald's two bounds, for a two-sided alternative."""
    one_side = false_alarm / 2
    return float(np.log(miss / (1 - one_side))), float(np.log((1 - miss) / one_side))


def _shift(
    name: str, old: Chart, data: _New, mask: NDArray[np.bool_], move: float, bounds: tuple[float, float]
) -> Shift:
    likelihood = log_likelihood(old, data, mask)
    at = np.interp([-np.log1p(move), 0.0, np.log1p(move)], GRID, likelihood)
    ratios = at[[0, 2]] - at[1]
    verdict: Verdict = "not known yet"
    if ratios.max() >= bounds[1]:
        verdict = "moved"
    elif ratios.max() <= bounds[0]:
        verdict = "holds"
    posterior = likelihood - 0.5 * (GRID / SHIFT_SD) ** 2
    weight = np.exp(posterior - posterior.max())
    cumulative = np.cumsum(weight) / weight.sum()
    low, middle, high = np.expm1(np.interp([0.05, 0.5, 0.95], cumulative, GRID))
    carried = [old.cells[i].stock_carry_m for i in data.cell[mask]] or [c.stock_carry_m for c in old.cells]
    return Shift(
        group=name,
        ratio=float(middle),
        ratio90=Interval(float(low), float(high)),
        verdict=verdict,
        balls=int(mask.sum()),
        old_carry_m=float(np.mean(carried)),
    )


def _more(old: Chart, data: _New) -> tuple[tuple[str, str, int], ...]:
    """Three balls with the shot that tells most: the narrowest spread and the surest old centre, not yet hit often."""
    doubt = old.draws_log_carry.var(axis=0) + np.exp(2 * old.draws_log_sd).mean(axis=0)
    hit = np.bincount(data.cell, minlength=len(old.cells))
    best = int(np.argmin(doubt * (1 + hit)))
    return ((old.cells[best].club, old.cells[best].swing, 3),)


def say(shift: Shift, unit: DistanceUnit) -> str:
    """ "moved by +3 ± 2 yd with chest swings"."""
    moved = from_metres(shift.moved_m, unit)
    doubt = from_metres(shift.ratio90.half * shift.old_carry_m, unit)
    if shift.verdict == "holds":
        text = ngettext(
            "The old chart holds ({group}): {moved} ± {doubt} {unit}, from {count} ball.",
            "The old chart holds ({group}): {moved} ± {doubt} {unit}, from {count} balls.",
            shift.balls,
        )
    elif shift.verdict == "moved":
        text = ngettext(
            "It moved ({group}): {moved} ± {doubt} {unit}, from {count} ball.",
            "It moved ({group}): {moved} ± {doubt} {unit}, from {count} balls.",
            shift.balls,
        )
    else:
        text = ngettext(
            "Not known yet ({group}): {moved} ± {doubt} {unit}, from {count} ball.",
            "Not known yet ({group}): {moved} ± {doubt} {unit}, from {count} balls.",
            shift.balls,
        )
    return text.format(
        group=shift.group, moved=words.signed(moved), doubt=max(1, round(doubt)), unit=unit, count=shift.balls
    )
