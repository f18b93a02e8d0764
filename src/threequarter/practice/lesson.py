"""A lesson seen as one: which swing hit which ball, the best ball on film, and what changed between two parts of it.

Everything here is told with its doubt: a change whose 90 % interval holds nought is not called a change.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final, Literal

import numpy as np
from scipy.special import fdtri, ndtri, stdtrit

from threequarter.chart.result import Cell, Chart, Interval
from threequarter.golf.ball import Ball, shot_key
from threequarter.swing.words import match

How = Literal["by hand", "by time", "in order"]
LEVEL: Final = 0.90
EARLIEST_S: Final = -20.0
LATEST_S: Final = 240.0
"""A ball is typed so long after its swing, at the earliest and the latest; the clocks of two phones may differ a little."""
NEXT_S: Final = -5.0
SKIP_S: Final = 12.0
"""What leaving one swing or one ball alone costs, in seconds that a lag is off the usual one."""
APART_S: Final = 3.0
"""Balls typed closer together than this were typed in one go, and their times say nothing."""
TAILS: Final = 1.3
"""The degrees of freedom of a spread are divided by this, since good strikes have heavier tails than a normal (Student t, 9): with it
the 90 % interval of a change of spread held 93, 90 and 89 % of the time over 24, 36 and 60 balls (tests/practice/test_lesson.py)."""
SIDE_SHARE: Final = 0.05


@dataclass(frozen=True, slots=True, kw_only=True)
class Pair:
    """A swing (place in the list given) and the ball it hit (place in the list given; None: none), and how that is known."""

    swing: int
    ball: int | None
    how: How


def pair_up(
    swing_s: Sequence[float | None], ball_s: Sequence[float | None], told: Mapping[int, int | None] | None = None
) -> tuple[Pair, ...]:
    """Which ball each swing hit. `swing_s` and `ball_s` are seconds on one clock, None where not known; `told` was said by hand.

    What was said by hand holds, and what follows it goes on from there. Where both times are known swings and balls are joined so
    that the lags differ least from the usual one, never crossing (dynamic programming, as Needleman & Wunsch 1970); else one after the other.
    """
    told = dict(told or {})
    timed = [i for i, at in enumerate(swing_s) if at is not None and i not in told]
    used = {ball for ball in told.values() if ball is not None}
    free = [j for j, at in enumerate(ball_s) if at is not None and j not in used]
    pairs = {i: Pair(swing=i, ball=ball, how="by hand") for i, ball in told.items() if i < len(swing_s)}
    by_time = _by_time([swing_s[i] or 0.0 for i in timed], [ball_s[j] or 0.0 for j in free])
    if by_time is not None:
        for i, place in zip(timed, by_time, strict=True):
            pairs[i] = Pair(swing=i, ball=None if place is None else free[place], how="by time")
            if place is not None:
                used.add(free[place])
    at = 0
    for i in range(len(swing_s)):
        if i not in pairs:
            while at in used and at < len(ball_s):
                at += 1
            pairs[i] = Pair(swing=i, ball=at if at < len(ball_s) else None, how="in order")
        ball = pairs[i].ball
        if ball is not None:
            at = ball + 1
            used.add(ball)
    return tuple(pairs[i] for i in range(len(swing_s)))


def _by_time(swings: Sequence[float], balls: Sequence[float]) -> list[int | None] | None:
    """The ball of each swing by the clock, None where the times cannot tell."""
    if not swings or not balls:
        return None
    gaps = np.diff(np.sort(balls))
    if len(gaps) and float((gaps >= APART_S).mean()) < 0.7:
        return None
    rows, columns = np.argsort(swings, kind="stable"), np.argsort(balls, kind="stable")
    lag = np.asarray(balls)[columns][None, :] - np.asarray(swings)[rows][:, None]
    following = np.where(lag >= NEXT_S, lag, np.inf).min(axis=1)
    usual = float(np.median(following[np.isfinite(following)])) if np.isfinite(following).any() else 0.0
    cost = np.where((lag < EARLIEST_S) | (lag > LATEST_S), np.inf, np.abs(lag - usual))
    total = np.zeros((len(rows) + 1, len(columns) + 1))
    total[1:, 0], total[0, 1:] = SKIP_S * np.arange(1, len(rows) + 1), SKIP_S * np.arange(1, len(columns) + 1)
    for i in range(1, len(rows) + 1):
        for j in range(1, len(columns) + 1):
            total[i, j] = min(
                total[i - 1, j - 1] + cost[i - 1, j - 1], total[i - 1, j] + SKIP_S, total[i, j - 1] + SKIP_S
            )
    found: list[int | None] = [None] * len(rows)
    i, j = len(rows), len(columns)
    while i and j:
        if total[i, j] == total[i - 1, j - 1] + cost[i - 1, j - 1]:
            found[rows[i - 1]] = int(columns[j - 1])
            i, j = i - 1, j - 1
        elif total[i, j] == total[i - 1, j] + SKIP_S:
            i -= 1
        else:
            j -= 1
    return found if sum(place is not None for place in found) >= len(found) / 2 else None


@dataclass(frozen=True, slots=True, kw_only=True)
class Best:
    """The best ball on film of one shot: a good strike nearest the shot's stock carry (and the line, where the side is known)."""

    cell: Cell
    ball: int
    swing: int


def best_on_film(chart: Chart, balls: Sequence[Ball], pairs: Sequence[Pair]) -> tuple[Best, ...]:
    """One ball for each shot that has a good strike on film, in the order of the chart. In distance control the best ball is not
    the longest, it is the one that goes the player's own number."""
    verdicts = {verdict.number: verdict for verdict in chart.verdicts}
    found: dict[int, tuple[float, Best]] = {}
    places = {shot_key(c.club, c.swing, c.loft_deg): k for k, c in enumerate(chart.cells)}
    for pair in pairs:
        ball = balls[pair.ball] if pair.ball is not None else None
        if ball is None or not ball.use or ball.number not in verdicts or verdicts[ball.number].mishit:
            continue
        k = places.get(ball.shot)
        if k is None:
            continue
        cell = chart.cells[k]
        off = abs(ball.distance_m - cell.stock_carry_m) / cell.good_sd_m
        off += abs(ball.offline_m or 0.0) / (SIDE_SHARE * cell.stock_carry_m)
        if k not in found or off < found[k][0]:
            found[k] = (off, Best(cell=cell, ball=pair.ball or 0, swing=pair.swing))
    return tuple(best for _, (_, best) in sorted(found.items()))


Measure = Literal["carry", "spread", "mishits", "back", "through", "match", "tempo", "speed"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """What one measure was before and after, and its change with a 90 % interval; `counts` of balls or swings on each side.

    carry and spread: as shares (0.03 is 3 % longer); mishits: shares of balls; back, through: degrees of the lead arm; match: degrees of
    the lead arm through less back, before a square camera; tempo: ratio; speed: of the hands at the ball over its peak.
    """

    measure: Measure
    before: float
    after: float
    change: float
    change90: Interval
    counts: tuple[int, int]

    @property
    def told(self) -> bool:
        """Whether the change is more than chance, nine times in ten."""
        return self.change90.low > 0 or self.change90.high < 0


def carry_changes(chart: Chart, balls: Sequence[Ball], after: Sequence[bool]) -> tuple[Change, ...]:
    """Carry, spread and mishits before and after. Carry and spread compare each shot only with itself, good strikes only."""
    verdicts = {verdict.number: verdict for verdict in chart.verdicts}
    used = [(b, late) for b, late in zip(balls, after, strict=True) if b.use and b.number in verdicts]
    good = [(b, late) for b, late in used if not verdicts[b.number].mishit]
    values = np.array([math.log(b.distance_m) for b, _ in good])
    shots = [b.shot for b, _ in good]
    late = np.array([late for _, late in good], dtype=bool)
    found = [_shift("carry", values, shots, late), _spread(values, shots, late)]
    bad = [[verdicts[b.number].mishit for b, late in used if late is side] for side in (False, True)]
    return tuple(change for change in (*found, _share("mishits", *bad)) if change is not None)


FIELDS: Final[tuple[tuple[Measure, str], ...]] = (
    ("back", "lead_arm_top_deg"),
    ("through", "lead_arm_finish_deg"),
    ("tempo", "tempo_ratio"),
    ("speed", "impact_over_peak"),
)


def swing_changes(
    swings: Sequence[Mapping[str, Any]], meant: Sequence[str], films: Sequence[int], after: Sequence[bool]
) -> tuple[Change, ...]:
    """The swing's measures before and after, each swing compared with those of the same meant length only (`meant`, "" unknown).

    `films` says which film a swing is of: between two films the camera stands anew, so its own doubt (one swing's) is added.
    """
    late = np.array(after, dtype=bool)
    found = []
    for measure, name in (*FIELDS, ("match", "")):
        values = np.array([_measure(swing, name) for swing in swings], dtype=float)
        known = np.isfinite(values)
        camera = _camera_sd(swings, name) if _films_apart(films, late & known, ~late & known) else 0.0
        change = _shift(
            measure, values[known], [m for m, k in zip(meant, known, strict=True) if k], late[known], camera
        )
        found.append(change)
    return tuple(change for change in found if change is not None)


def _measure(swing: Mapping[str, Any], name: str) -> float:
    if name:
        value = swing.get(name)
        return float("nan") if value is None else float(value)
    by = match(swing).by_deg
    return float("nan") if by is None else by


def _films_apart(films: Sequence[int], late: np.ndarray, early: np.ndarray) -> bool:
    """Whether the two sides come from different films."""
    return {film for film, k in zip(films, late, strict=True) if k} != {
        film for film, k in zip(films, early, strict=True) if k
    }


def _camera_sd(swings: Sequence[Mapping[str, Any]], name: str) -> float:
    if name:
        doubts = [float((swing.get("doubt90") or {}).get(name) or 0.0) for swing in swings]
    else:
        doubts = [match(swing).doubt_deg or 0.0 for swing in swings]
    return float(np.median(doubts)) / 1.645 if doubts else 0.0


def _shift(
    measure: Measure, values: np.ndarray, groups: Sequence[Any], late: np.ndarray, more_sd: float = 0.0
) -> Change | None:
    """The mean change within groups seen on both sides (least squares with a level for each group), Student's t interval."""
    rows = _both(groups, late)
    y, x, names = values[rows], late[rows].astype(float), [groups[i] for i in rows]
    df = len(y) - len(set(names)) - 1
    if df < 1:
        return None
    x_in, y_in = x - _means(x, names), y - _means(y, names)
    weight = float(x_in @ x_in)
    change = float(x_in @ y_in) / weight
    rest = y_in - change * x_in
    sd = math.hypot(math.sqrt(float(rest @ rest) / df / weight), more_sd)
    half = float(stdtrit(df, (1 + LEVEL) / 2)) * sd
    before = float(np.mean(y - change * x))
    counts = (int((x == 0).sum()), int((x == 1).sum()))
    return Change(
        measure=measure,
        before=before,
        after=before + change,
        change=change,
        change90=Interval(change - half, change + half),
        counts=counts,
    )


def _both(groups: Sequence[Any], late: np.ndarray) -> list[int]:
    sides: dict[Any, set[bool]] = {}
    for group, side in zip(groups, late, strict=True):
        sides.setdefault(group, set()).add(bool(side))
    return [i for i, group in enumerate(groups) if len(sides[group]) == 2]


def _means(values: np.ndarray, names: Sequence[Any]) -> np.ndarray:
    sums: dict[Any, list[float]] = {}
    for value, name in zip(values, names, strict=True):
        sums.setdefault(name, []).append(float(value))
    means = {name: float(np.mean(of_name)) for name, of_name in sums.items()}
    return np.array([means[name] for name in names])


def _spread(values: np.ndarray, groups: Sequence[Any], late: np.ndarray) -> Change | None:
    """The change of the ball-to-ball spread (as a share of it), each shot and side about its own mean; F interval, tails allowed for."""
    sides = []
    for side in (False, True):
        mine = [i for i in range(len(values)) if late[i] == side]
        names = [groups[i] for i in mine]
        df = len(mine) - len(set(names))
        if df < 3:
            return None
        rest = values[mine] - _means(values[mine], names)
        sides.append((float(rest @ rest) / df, df, len(mine)))
    (early, df0, n0), (new, df1, n1) = sides
    if early <= 0 or new <= 0:
        return None
    ratio = math.sqrt(new / early)
    low, high = (math.sqrt(float(fdtri(df0 / TAILS, df1 / TAILS, q))) for q in ((1 - LEVEL) / 2, (1 + LEVEL) / 2))
    return Change(
        measure="spread",
        before=math.sqrt(early),
        after=math.sqrt(new),
        change=ratio - 1,
        change90=Interval(ratio * low - 1, ratio * high - 1),
        counts=(n0, n1),
    )


def _share(measure: Measure, before: Sequence[bool], after: Sequence[bool]) -> Change | None:
    """The change of a share, by Newcombe's interval from Wilson's (Newcombe 1998, method 10)."""
    if len(before) < 3 or len(after) < 3:
        return None
    (p0, low0, high0), (p1, low1, high1) = (wilson(sum(side), len(side)) for side in (before, after))
    low = p1 - p0 - math.hypot(p1 - low1, high0 - p0)
    high = p1 - p0 + math.hypot(high1 - p1, p0 - low0)
    return Change(
        measure=measure,
        before=p0,
        after=p1,
        change=p1 - p0,
        change90=Interval(low, high),
        counts=(len(before), len(after)),
    )


def wilson(hits: int, n: int) -> tuple[float, float, float]:
    """A share with Wilson's interval (Wilson 1927)."""
    z = float(ndtri((1 + LEVEL) / 2))
    p = hits / n
    middle = (p + z * z / (2 * n)) / (1 + z * z / n)
    half = z / (1 + z * z / n) * math.sqrt(p * (1 - p) / n + z * z / (4 * n * n))
    return p, middle - half, middle + half
