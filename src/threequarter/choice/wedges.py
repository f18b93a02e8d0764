"""Which wedges: which lofts, with the player's own swing lengths, leave the fewest and smallest gaps over the numbers faced.

The player's own chart gives how carry falls with loft and what each swing length is worth (a line through its cells, world by
world); every set of lofts is then tried. Lofts only.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import combinations, groupby, pairwise
from typing import Final

import numpy as np
from numpy.typing import NDArray

from threequarter.chart import priors
from threequarter.chart.gaps import reach_m
from threequarter.chart.result import Chart, Interval
from threequarter.choice.strokes import Level, expected_strokes
from threequarter.golf.errors import UserError
from threequarter.golf.message import Message

Floats = NDArray[np.float64]

LOFTS: Final = tuple(range(44, 61))
LEAST_LOFT: Final = 30
MOST_LOFT: Final = 75
"""Between which lofts may be carried or must stay."""
LEAST_APART: Final = 4
MOST_WEDGES: Final = 5
STEP_M: Final = 2.0
LEAST_SPAN_M: Final = 10.0
WORLDS: Final = 60
GREEN_M: Final = 12.0
MOST_CLUBS: Final = 14
LEAST_WORTH: Final = 1 / 300
"""A stroke in more than so many shots is nothing that anybody would notice."""
_Z, _W = np.polynomial.hermite_e.hermegauss(9)


@dataclass(frozen=True, slots=True, kw_only=True)
class WedgeSet:
    """A set of lofts: the share of numbers in a gap, the mean distance to the nearest shot, expected strokes, each with its range."""

    lofts: tuple[int, ...]
    gaps: float
    gaps90: Interval
    miss_m: float
    strokes: float
    strokes90: Interval


@dataclass(frozen=True, slots=True, kw_only=True)
class Worth:
    """Expected strokes a shot between what is carried and another set, with the 90 % interval."""

    lofts: tuple[int, ...]
    strokes: float
    strokes90: Interval


@dataclass(frozen=True, slots=True, kw_only=True)
class WedgeAdvice:
    """What is carried now, the best set of each size, what one wedge beside those carried saves, and what leaving one out costs."""

    now: WedgeSet
    best: tuple[WedgeSet, ...]
    one_more: Worth | None
    one_less: Worth | None
    from_m: float
    to_m: float


def advise_wedges(
    chart: Chart,
    *,
    have: Sequence[float] = (),
    from_m: float | None = None,
    to_m: float | None = None,
    most: int = MOST_WEDGES,
    fixed: Sequence[float] = (),
    level: Level = "club",
) -> WedgeAdvice:
    """The best lofts for the numbers from `from_m` to `to_m` (None: the player's own shortest and longest stock carry), all of them
    faced equally often.

    `have` are the lofts carried now (default: those of the chart), `fixed` lofts that must stay; the lowest carried always does. Raises
    UserError for a chart without lofts, numbers out of order, or more wedges than a bag of 14 leaves room for.
    """
    low, high = _span(chart, from_m, to_m)
    if not 1 <= most <= 8:
        raise UserError(Message("wedges.most", clubs=MOST_CLUBS, most=most))
    now = _whole(
        have or [c.loft_deg for c in chart.cells if c.loft_deg is not None and LEAST_LOFT <= c.loft_deg <= MOST_LOFT]
    )
    if not now:
        raise UserError(Message("wedges.no_loft"))
    worlds = _Worlds(chart, level, np.arange(low, high + STEP_M / 2, STEP_M))
    must = tuple(sorted({*_whole(fixed), now[0]}))
    allowed = tuple(loft for loft in LOFTS if loft > now[0])
    sizes = range(max(1, len(must)), most + 1)
    sets = [_sets(size, must, allowed) for size in sizes]
    best = tuple(worlds.rate(worlds.best_of(each)) for each in sets if each)
    more = [tuple(sorted((*now, loft))) for loft in allowed if _apart(loft, now)] if len(now) < 8 else []
    less = [tuple(one for one in now if one != loft) for loft in now[1:]]
    return WedgeAdvice(
        now=worlds.rate(now),
        best=best,
        one_more=worlds.worth(now, worlds.best_of(more)) if more else None,
        one_less=worlds.worth(worlds.best_of(less), now) if less else None,
        from_m=low,
        to_m=high,
    )


def _span(chart: Chart, from_m: float | None, to_m: float | None) -> tuple[float, float]:
    carries = [cell.stock_carry_m for cell in chart.cells]
    low = float(np.floor(min(carries))) if from_m is None else from_m
    high = float(np.ceil(max(carries))) if to_m is None else to_m
    if from_m is None and to_m is None and high < low + LEAST_SPAN_M + 1:
        low, high = max(5.0, low - LEAST_SPAN_M), high + LEAST_SPAN_M
    if not 5 <= low < high - LEAST_SPAN_M <= 190:
        raise UserError(Message("wedges.span", low_m=low, high_m=high, rise_m=LEAST_SPAN_M, least_m=5.0, most_m=200.0))
    return low, high


def _whole(lofts: Sequence[float]) -> tuple[int, ...]:
    """Lofts in whole degrees, rising, each once. Raises UserError for one that no wedge has."""
    for loft in lofts:
        if not LEAST_LOFT <= loft <= MOST_LOFT:
            raise UserError(Message("wedges.loft", least=LEAST_LOFT, most=MOST_LOFT, loft=loft))
    return tuple(sorted({round(loft) for loft in lofts}))


def _apart(loft: int, others: Sequence[int]) -> bool:
    return all(abs(loft - other) >= LEAST_APART for other in others)


@lru_cache
def _sets(size: int, must: tuple[int, ...], lofts: tuple[int, ...]) -> tuple[tuple[int, ...], ...]:
    """Every set of so many lofts with those that must stay; the others far enough from all."""
    free = [loft for loft in lofts if loft not in must and _apart(loft, must)]
    rest = (one for one in combinations(free, size - len(must)) if all(b - a >= LEAST_APART for a, b in pairwise(one)))
    return tuple(tuple(sorted((*must, *one))) for one in rest)


class _Worlds:
    """Draws of the player's loft line and swing lengths, and what every single loft then gives at every number."""

    def __init__(self, chart: Chart, level: Level, numbers_m: Floats) -> None:
        draws = chart.draws_log_carry[chart.worlds(WORLDS)]
        lofts = (
            np.array([cell.loft_deg if cell.loft_deg is not None else 54.0 for cell in chart.cells])
            - priors.LOFT_REF_DEG
        )
        swing = np.array([chart.swings.index(cell.swing) for cell in chart.cells])
        design = np.concatenate([lofts[:, None], np.eye(len(chart.swings))[swing]], axis=1)
        prior = np.zeros(design.shape[1])
        prior[0] = 1 / priors.SLOPE_SD**2 * priors.CELL_SD**2
        right = draws @ design
        right[:, 0] += prior[0] * priors.SLOPE_PER_DEG
        coefficients = np.linalg.solve(design.T @ design + np.diag(prior), right.T).T
        spread = float(np.exp(np.median(chart.draws_log_sd)))
        self.carry = {
            loft: np.exp(coefficients[:, :1] * (loft - priors.LOFT_REF_DEG) + coefficients[:, 1:])
            for loft in range(LEAST_LOFT, MOST_LOFT + 1)
        }
        self.numbers = numbers_m
        off = {loft: np.abs(numbers_m[None, :, None] - carry[:, None, :]) for loft, carry in self.carry.items()}
        self.gap = {loft: each.min(-1) for loft, each in off.items()}
        reach = {loft: reach_m(carry, spread)[:, None, :] for loft, carry in self.carry.items()}
        self.unserved = {loft: (each > reach[loft]).all(-1).astype(float) for loft, each in off.items()}
        table = _strokes_table(level, numbers_m, spread)
        self.strokes = {loft: table(gap) for loft, gap in self.gap.items()}
        self._each = np.stack(list(self.strokes.values()))

    def best_of(self, sets: Sequence[tuple[int, ...]]) -> tuple[int, ...]:
        """The set with the fewest expected strokes, the mean over all worlds and numbers. Sets that differ in their last loft only
        are worked out together."""
        found: tuple[float, tuple[int, ...]] = (np.inf, sets[0])
        for first, group in groupby(sorted(sets), key=lambda lofts: lofts[:-1]):
            lasts = [lofts[-1] for lofts in group]
            each = self._each[np.array(lasts) - LEAST_LOFT]
            if first:
                each = np.minimum(each, self._each[np.array(first) - LEAST_LOFT].min(0))
            means = each.mean(axis=(1, 2))
            k = int(means.argmin())
            found = min(found, (float(means[k]), (*first, lasts[k])))
        return found[1]

    def rate(self, lofts: Sequence[int]) -> WedgeSet:
        """A set with its doubt from what is not known of the player."""
        gap = self._by_world(self.gap, lofts)
        unserved, strokes = self._by_world(self.unserved, lofts).mean(1), self._by_world(self.strokes, lofts).mean(1)
        return WedgeSet(
            lofts=tuple(lofts),
            gaps=float(unserved.mean()),
            gaps90=_range(unserved),
            miss_m=float(gap.mean()),
            strokes=float(strokes.mean()),
            strokes90=_range(strokes),
        )

    def worth(self, fewer: tuple[int, ...], more: tuple[int, ...]) -> Worth:
        """What the larger of two sets saves, world by world; `lofts` are those by which the sets differ."""
        saved = (self._by_world(self.strokes, fewer) - self._by_world(self.strokes, more)).mean(1)
        lofts = tuple(sorted(set(more) - set(fewer)))
        return Worth(lofts=lofts, strokes=float(saved.mean()), strokes90=_range(saved))

    def _by_world(self, each: Mapping[int, Floats], lofts: Sequence[int]) -> Floats:
        """The least over the lofts of a set, (worlds, numbers)."""
        return np.asarray(np.min([each[loft] for loft in lofts], axis=0))


def _range(values: Floats) -> Interval:
    return Interval(*np.quantile(values, [0.05, 0.95]).tolist())


def _strokes_table(level: Level, numbers_m: Floats, spread: float) -> Callable[[Floats], Floats]:
    """Expected strokes of a shot whose stock carry misses a number by a gap, the ball's own spread played out."""
    gaps = np.linspace(0.0, 40.0, 81)
    rows = []
    weight = _W / _W.sum()
    for faced in numbers_m:
        off = np.hypot(np.abs(gaps[:, None] + spread * faced * _Z), 0.045 * faced)
        off = np.minimum(off, 140.0)
        value = np.where(off <= GREEN_M, expected_strokes(off, "green", level), expected_strokes(off, "rough", level))
        rows.append(1 + value @ weight)
    table = np.array(rows)

    def look(gap: Floats) -> Floats:
        at = np.clip(gap / (gaps[1] - gaps[0]), 0, len(gaps) - 1.001)
        low = at.astype(int)
        share = at - low
        row = np.arange(len(numbers_m))
        return np.asarray(table[row, low] * (1 - share) + table[row, low + 1] * share)

    return look


def worth_told(code: str, worth: Worth) -> Message:
    """What a wedge is worth as people say it: one stroke in so many such shots. `code` is "wedges.one_more" or "wedges.one_less"."""
    if worth.strokes < LEAST_WORTH:
        return Message(f"{code}_nothing", lofts=worth.lofts)
    return Message(code, lofts=worth.lofts, shots=round(1 / worth.strokes))
