"""Does an old chart still hold? A sequential test on a handful of new balls, with stated error rates.

Two hypotheses about a common relative shift d of the stock carries: d = 0 (holds) against d = +move or d = -move
(moved). After every ball both likelihood ratios are compared with two bounds (A. Wald, Sequential Tests of Statistical
Hypotheses, Ann. Math. Stat. 16, 1945, 117-186): "moved" once one of them reaches the upper one, "holds" once both have
fallen to the lower one. Wald's own bounds are far too wide here, since most of what is not known is one draw for the whole day;
the bounds in use are set by `benchmarks/recheck.py` to aim at 5 % false alarms and 10 % misses up to 24 balls, and are stricter before.

What is not known - the old chart's own uncertainty, the spread, the form of the old day and of the new one, mishits - is averaged
over inside each likelihood.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, Literal

import numpy as np
from numpy.typing import NDArray
from scipy.special import gammaln, logsumexp

from threequarter.chart.result import Chart, Interval
from threequarter.golf.ball import Ball, shot_key
from threequarter.golf.message import Message

Floats = NDArray[np.float64]
Verdict = Literal["holds", "moved", "not known yet"]

MOVE: Final = 0.08
"""The move that must not be missed. A smaller one is within what a player's form changes from day to day for so few balls."""
FALSE_ALARM: Final = 0.05
MISS: Final = 0.10
MOVED_AT: Final = 1.2
HOLDS_AT: Final = -0.1
ENOUGH_BALLS: Final = 24
EARLY: Final = (1.0, 0.9)
"""Bounds of the log likelihood ratio for the stated error rates over all looks, and how much further out each lies at ENOUGH_BALLS - 16 balls,
so that looking early and often does not add false answers. Set by `benchmarks/recheck.py` (six kinds, 40 players each, seed 1)."""
DAY_SD: Final = 0.015
"""A player's form of one day about the long run, relative (SD). Common practice, no source; used where a chart tells none."""
SPREAD_DOUBT: Final = 0.15
"""Extra doubt (SD of the log) of a spread carried over from an old chart."""
MISHIT_LOG_SHIFT: Final = -0.25
MISHIT_LOG_SD: Final = 0.25
LEAST_OF_GROUP: Final = 4
WORLDS: Final = 200
GRID: Final = np.linspace(-0.30, 0.30, 81)
SHIFT_SD: Final = 0.06
"""Prior SD of a shift, for the estimate that is shown beside the verdict, not for the test."""
SPREAD_DRAWS: Final = np.random.default_rng(7).normal(0, SPREAD_DOUBT, WORLDS)
"""The doubt of a carried-over spread in each world; drawn once, so that a phone without this generator computes with the same."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Shift:
    """How far a group of cells moved, as a ratio minus 1 (0.03: 3 % longer), and the balls behind it."""

    group: Message
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
    move: float = MOVE
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
    whole = _shift(Message("recheck.all_shots"), old, data, everything, move, bounds)
    named = [(Message("recheck.swings", swing=swing), data.swing == swing) for swing in old.swings]
    named += [(Message("recheck.club", club=club), data.club == club) for club in old.clubs]
    tested = [(name, mask) for name, mask in named if LEAST_OF_GROUP <= mask.sum() < len(mask)]
    shared = _bounds(false_alarm / max(1, 2 * len(tested)), miss)
    groups = tuple(_shift(name, old, data, mask, move, shared) for name, mask in tested)
    verdict: Verdict = whole.verdict
    if verdict != "moved" and any(g.verdict == "moved" for g in groups):
        verdict = "moved"
    return Recheck(
        verdict=verdict,
        whole=whole,
        groups=groups,
        left_out=len(balls) - len(data.log_carry),
        move=move,
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
        place = {shot_key(c.club, c.swing, c.loft_deg): i for i, c in enumerate(old.cells)}
        rows = []
        for ball in balls:
            i = place.get(ball.shot)
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
    at = old.worlds(min(WORLDS, len(old.draws_log_carry)))[:, None]
    log_sd = old.draws_log_sd[at, cell] + SPREAD_DRAWS[: len(at), None]
    residual = data.log_carry[mask] - old.draws_log_carry[at, cell]
    rate = old.draws_mishit_rate[at, cell]
    day_sd = old.another_day_sd or np.sqrt(2) * DAY_SD  # the form of both days: the old chart's own, and today's
    df, by_draw = old.tail_df, np.empty((len(GRID), len(residual)))
    scale = np.exp(log_sd) * np.sqrt((df - 2) / df)  # of the Student t with the spread as its standard deviation
    top = np.log1p(-rate) + gammaln((df + 1) / 2) - gammaln(df / 2) - 0.5 * np.log(df * np.pi) - np.log(scale)
    bad_top = np.log(rate + 1e-6) - np.log(MISHIT_LOG_SD * np.sqrt(2 * np.pi))
    for k, shift in enumerate(GRID):
        z = residual - shift
        good = top - (df + 1) / 2 * np.log1p((z / scale) ** 2 / df)
        bad = bad_top - 0.5 * ((z - MISHIT_LOG_SHIFT) / MISHIT_LOG_SD) ** 2
        by_draw[k] = np.logaddexp(good, bad).sum(axis=1)
    seen = logsumexp(by_draw, axis=1) - np.log(by_draw.shape[1])
    day = -0.5 * ((GRID[:, None] - GRID[None, :]) / day_sd) ** 2
    day -= logsumexp(day, axis=1, keepdims=True)
    return np.asarray(logsumexp(seen[None, :] + day, axis=1))


def _bounds(false_alarm: float, miss: float) -> tuple[float, float]:
    """The lower and the upper bound of the log likelihood ratio; stricter error rates move them as they move Wald's."""
    return HOLDS_AT + float(np.log(miss / MISS)), MOVED_AT + float(np.log(FALSE_ALARM / false_alarm))


def _shift(
    name: Message, old: Chart, data: _New, mask: NDArray[np.bool_], move: float, bounds: tuple[float, float]
) -> Shift:
    likelihood = log_likelihood(old, data, mask)
    at = np.interp([-np.log1p(move), 0.0, np.log1p(move)], GRID, likelihood)
    ratios = at[[0, 2]] - at[1]
    early = max(0.0, (ENOUGH_BALLS - int(mask.sum())) / 16)
    verdict: Verdict = "not known yet"
    if ratios.max() >= bounds[1] + EARLY[0] * early:
        verdict = "moved"
    elif ratios.max() <= bounds[0] - EARLY[1] * early:
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
    """Balls to hit next: one each with the three shots that tell most, narrow spread and sure old centre first, not yet hit often."""
    doubt = old.draws_log_carry.var(axis=0) + np.exp(2 * old.draws_log_sd).mean(axis=0)
    hit = np.bincount(data.cell, minlength=len(old.cells))
    best = np.argsort(doubt * (1 + hit), kind="stable")[:3]
    return tuple((old.cells[i].club, old.cells[i].swing, 2) for i in best)


def told(found: Recheck) -> tuple[Message, ...]:
    """The verdict, what to do, which shots, and what to hit if it is not known yet."""
    whole = found.whole
    values = {"balls": whole.balls, "ratio_share": whole.ratio, "half_share": whole.ratio90.half}
    lines: list[Message] = []
    if found.verdict == "holds":
        lines.append(Message("recheck.holds", **values, move_share=found.move))
    elif found.verdict == "not known yet":
        lines.append(Message("recheck.not_known", **values))
        lines += [Message("recheck.hit", club=club, swing=swing, balls=count) for club, swing, count in found.more]
    elif whole.verdict == "moved":
        lines += [Message("recheck.moved", **values), *_what_to_do(whole)]
    if found.verdict == "moved":
        lines += [_group_told(group) for group in found.groups if group.verdict == "moved"]
    if found.left_out:
        lines.append(Message("recheck.left_out", left_out=found.left_out))
    return tuple(lines)


def _what_to_do(shift: Shift) -> tuple[Message, ...]:
    code = "recheck.add" if shift.ratio < 0 else "recheck.take_off"
    return (Message(code, off_share=abs(1 / (1 + shift.ratio) - 1)), Message("recheck.why"))


def _group_told(shift: Shift) -> Message:
    return Message(
        "recheck.group_moved",
        group=shift.group,
        balls=shift.balls,
        ratio_share=shift.ratio,
        half_share=shift.ratio90.half,
    )


def shift_told(shift: Shift) -> Message:
    """One shift in a line, whatever its verdict."""
    code = {"holds": "recheck.group_holds", "moved": "recheck.group_moved", "not known yet": "recheck.group_open"}
    return Message(
        code[shift.verdict],
        group=shift.group,
        balls=shift.balls,
        ratio_share=shift.ratio,
        half_share=shift.ratio90.half,
    )
