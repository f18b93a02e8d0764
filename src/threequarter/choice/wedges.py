"""Which wedges: which lofts, with the player's own swing lengths, leave the fewest and smallest holes over the numbers faced.

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
from threequarter.chart.result import Chart, Interval
from threequarter.choice.strokes import Level, expected_strokes
from threequarter.golf.errors import UserError
from threequarter.golf.language import _, number

Floats = NDArray[np.float64]

LOFTS: Final = tuple(range(44, 61))
LEAST_LOFT: Final = 30
MOST_LOFT: Final = 75
"""Between which lofts may be carried or must stay."""
LEAST_APART: Final = 2
MOST_WEDGES: Final = 5
STEP_M: Final = 2.0
HOLE_M: Final = 3.0
"""A number is in a hole when the nearest shot's stock carry is further away than this."""
WORLDS: Final = 60
GREEN_M: Final = 12.0
MOST_CLUBS: Final = 14
_Z, _W = np.polynomial.hermite_e.hermegauss(9)


@dataclass(frozen=True, slots=True, kw_only=True)
class WedgeSet:
    """A set of lofts: the share of numbers in a hole, the mean distance to the nearest shot, expected strokes, each with doubt."""

    lofts: tuple[int, ...]
    holes: float
    holes90: Interval
    miss_m: float
    strokes: float
    strokes90: Interval


@dataclass(frozen=True, slots=True, kw_only=True)
class Worth:
    """Expected strokes a shot that one wedge saves, with its 90 % interval."""

    strokes: float
    strokes90: Interval


@dataclass(frozen=True, slots=True, kw_only=True)
class WedgeAdvice:
    """What is carried now, the best set of each size, and what one wedge more or less is worth in expected strokes a shot."""

    now: WedgeSet
    best: tuple[WedgeSet, ...]
    one_more: Worth | None
    one_less: Worth | None
    from_m: float
    to_m: float


def advise_wedges(
    chart: Chart, *, have: Sequence[float] = (), from_m: float = 25.0, to_m: float = 100.0, most: int = MOST_WEDGES, fixed: Sequence[float] = (),
    level: Level = "club",
) -> WedgeAdvice:  # fmt: skip
    """The best lofts for the numbers from `from_m` to `to_m`, all of them faced equally often.

    `have` are the lofts carried now (default: those of the chart), `fixed` lofts that must stay. Raises UserError for a chart
    without lofts, numbers out of order, or more wedges than a bag of 14 leaves room for.
    """
    if not 5 <= from_m < to_m - 10 <= 190:
        raise UserError(
            _("The numbers faced must rise by 10 m or more within 5 to 200 m, not {low} to {high} m.").format(
                low=number(from_m), high=number(to_m)
            )
        )
    if not 1 <= most <= 8:
        raise UserError(
            _("A bag of {clubs} clubs (Rule 4.1b) leaves room for 1 to 8 wedges, not {most}.").format(
                clubs=MOST_CLUBS, most=most
            )
        )
    now = _whole(
        have or [c.loft_deg for c in chart.cells if c.loft_deg is not None and LEAST_LOFT <= c.loft_deg <= MOST_LOFT]
    )
    if not now:
        raise UserError(_("No club of this chart has a loft. Name the lofts you carry: --have 46,50,54,58"))
    worlds = _Worlds(chart, level, np.arange(from_m, to_m + STEP_M / 2, STEP_M))
    must = _whole(fixed)
    sizes = list(range(max(1, len(must)), most + 1))
    best = tuple(worlds.rate(worlds.best_of(_sets(size, must, LOFTS))) for size in sizes)
    by_size = {len(found.lofts): found for found in best}
    size = len(now)
    return WedgeAdvice(
        now=worlds.rate(now), best=best,
        one_more=worlds.worth(by_size.get(size), by_size.get(size + 1)),
        one_less=worlds.worth(by_size.get(size - 1), by_size.get(size)), from_m=from_m, to_m=to_m,
    )  # fmt: skip


def _whole(lofts: Sequence[float]) -> tuple[int, ...]:
    """Lofts in whole degrees, rising, each once. Raises UserError for one that no wedge has."""
    for loft in lofts:
        if not LEAST_LOFT <= loft <= MOST_LOFT:
            text = _("A wedge has a loft of {least} to {most} degrees, not {loft}.")
            raise UserError(text.format(least=LEAST_LOFT, most=MOST_LOFT, loft=number(loft, None)))
    return tuple(sorted({round(loft) for loft in lofts}))


@lru_cache
def _sets(size: int, must: tuple[int, ...], lofts: tuple[int, ...]) -> tuple[tuple[int, ...], ...]:
    free = [loft for loft in lofts if loft not in must]
    sets = (tuple(sorted((*must, *rest))) for rest in combinations(free, size - len(must)))
    return tuple(one for one in sets if all(b - a >= LEAST_APART for a, b in pairwise(one))) or (must,)


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
        self.gap = {
            loft: np.abs(numbers_m[None, :, None] - carry[:, None, :]).min(-1) for loft, carry in self.carry.items()
        }
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
        holes, strokes = (gap > HOLE_M).mean(1), self._by_world(self.strokes, lofts).mean(1)
        return WedgeSet(
            lofts=tuple(lofts), holes=float(holes.mean()), holes90=_range(holes), miss_m=float(gap.mean()),
            strokes=float(strokes.mean()), strokes90=_range(strokes),
        )  # fmt: skip

    def worth(self, fewer: WedgeSet | None, more: WedgeSet | None) -> Worth | None:
        """What the larger of two sets saves, world by world."""
        if fewer is None or more is None:
            return None
        saved = (self._by_world(self.strokes, fewer.lofts) - self._by_world(self.strokes, more.lofts)).mean(1)
        return Worth(strokes=float(saved.mean()), strokes90=_range(saved))

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
