"""Judges charts against the truth of made-up sessions, kind by kind; knows nothing of how a chart comes about."""

from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray
from scipy.stats import t as student

from .players_truth import QUANTILES, YARD_M, CellTruth, Session

Pair = tuple[float, float]
OFF = 0.045
ODD_FROM, STRAIGHT_UNDER = 0.07, 0.035
"""A cell this far off its player's line should be noticed; one under the second bound should not. Between the two nothing is held against a chart."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CellAnswer:
    """What a chart says of one cell; distances in metres, intervals hold 90 %. None: not said.

    `another90_m`: the stock carry of another day, `next_another90_m` its next good ball. `next90_m`: the next good ball of
    this day. `off_chance`: chance that the cell lies more than OFF off the line. `flags`: "odd", "two swings".
    """

    stock_m: float
    stock90_m: Pair
    next90_m: Pair
    another90_m: Pair | None = None
    next_another90_m: Pair | None = None
    off_chance: float | None = None
    mishit_rate: float | None = None
    mishit90: Pair | None = None
    flags: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """What a chart says of a session. `good`: chance that each ball was a good strike; `called`: balls called mishits. `drift90`: change of carry
    from the first ball to the last, as a share. `checks`: short names of what it finds amiss in the balls as a whole.
    `refused`: why there is no chart; nothing else is then looked at.
    """

    cells: Mapping[tuple[str, str], CellAnswer] = field(default_factory=dict)
    good: Mapping[int, float] = field(default_factory=dict)
    called: frozenset[int] = frozenset()
    drift90: Pair | None = None
    checks: tuple[str, ...] = ()
    refused: str | None = None


@dataclass(slots=True)
class Judged:
    """Figures of one kind. Shares as fractions; `held_error` is the standard error over sessions, in which cells hang together."""

    kind: str
    sessions: int = 0
    refused: int = 0
    held: float = np.nan
    held_error: float = np.nan
    held_as_read: float = np.nan
    held_not_hit: float = np.nan
    held_t: float = np.nan
    bias: float = np.nan
    rmse_yd: float = np.nan
    over_median: float = np.nan
    over_mean: float = np.nan
    half_width_yd: float = np.nan
    next_held: float = np.nan
    next_worst: tuple[str, float] = ("", np.nan)
    next_best: tuple[str, float] = ("", np.nan)
    another: float = np.nan
    another_error: float = np.nan
    another_said: bool = False
    rate_held: float = np.nan
    rate_error: float = np.nan
    brier_skill: float = np.nan
    f1: float = np.nan
    said_bad: float = np.nan
    truly_bad: float = np.nan
    odd_found: tuple[int, int] = (0, 0)
    odd_false: tuple[int, int] = (0, 0)
    two_found: tuple[int, int] = (0, 0)
    two_false: tuple[int, int] = (0, 0)
    next_another: float = np.nan
    off_said: float = np.nan
    off_true: float = np.nan
    off_skill: float = np.nan
    drift_told: float = np.nan
    drift_held: float = np.nan
    drift_flagged: float = np.nan
    checked: float = np.nan
    checks: dict[str, int] = field(default_factory=dict)
    odd_held: float = np.nan
    odd_error: float = np.nan
    odd_rms_yd: float = np.nan
    odd_median_rms_yd: float = np.nan


def judge(kind: str, sessions: Sequence[Session], answers: Sequence[Answer]) -> Judged:
    """All figures of one kind, from its sessions and what the chart said of each."""
    out = Judged(kind, sessions=len(sessions), refused=sum(a.refused is not None for a in answers))
    both = [(s, a) for s, a in zip(sessions, answers, strict=True) if a.refused is None]
    if not both:
        return out
    table = _rows(both)
    hit, plain = table["balls"] > 0, table["second"] == 0
    _carry(out, table, hit & plain)
    _next(out, table, hit & plain)
    _rates(out, table, hit)
    _balls(out, both)
    _flags(out, table, both, hit)
    _odd_cells(out, table, hit & plain)
    out.held_not_hit = _mean(table["held"][~hit & plain])
    return out


def _rows(both: Sequence[tuple[Session, Answer]]) -> dict[str, NDArray[np.float64]]:
    columns: dict[str, list[float | str]] = defaultdict(list)
    for number, (session, answer) in enumerate(both):
        reads: dict[tuple[str, str], list[float]] = defaultdict(list)
        for row in session.rows:
            reads[row.club, row.swing] += [row.read_m] * row.count
        ranks = _ranks(session)
        for name, truth in session.cells.items():
            if name not in answer.cells:
                if truth.balls:
                    raise ValueError(f"{session.kind}: {name} was hit and is not in the chart")
                continue
            line: dict[str, float | str] = {
                "session": number,
                "swing": truth.swing,
                "club": f"club {truth.club_rank + 1}",
            }
            line["rank"] = f"steady {ranks[truth.club]}"
            line |= _line(truth, answer.cells[name], np.array(reads[name]))
            for key, value in line.items():
                columns[key].append(value)
    return {key: np.array(values) for key, values in columns.items()}


def _ranks(session: Session) -> dict[str, int]:
    spreads: dict[str, list[float]] = defaultdict(list)
    for truth in session.cells.values():
        spreads[truth.club].append(truth.good_sd_m / truth.stock_m)
    return {club: i for i, club in enumerate(sorted(spreads, key=lambda c: np.mean(spreads[c])), 1)}


def _line(truth: CellTruth, said: CellAnswer, reads: NDArray[np.float64]) -> dict[str, float]:
    another = said.another90_m or said.stock90_m
    spread = reads.std(ddof=1) / np.sqrt(len(reads)) if len(reads) > 1 else np.nan
    good = np.interp(said.next90_m, truth.next_good_m, QUANTILES, left=0, right=1)
    elsewhere = said.next_another90_m or said.next90_m
    other = np.interp(
        np.array(elsewhere) * truth.end_m / truth.another_day_m, truth.next_good_m, QUANTILES, left=0, right=1
    )
    rate = said.mishit_rate if said.mishit_rate is not None else np.nan
    return {
        "balls": truth.balls,
        "stock": truth.stock_m,
        "second": truth.second_m or 0.0,
        "off": truth.off,
        "planted": float(truth.planted),
        "error": said.stock_m - truth.stock_m,
        "held": _in(truth.stock_m, said.stock90_m),
        "as_read": _in(truth.stock_read_m, said.stock90_m),
        "half": (said.stock90_m[1] - said.stock90_m[0]) / 2,
        "mean": (reads.mean() if len(reads) else np.nan) - truth.stock_m,
        "median": (np.median(reads) if len(reads) else np.nan) - truth.stock_m,
        "t": float(abs(reads.mean() - truth.stock_m) <= student.ppf(0.95, len(reads) - 1) * spread)
        if len(reads) > 1
        else np.nan,
        "next": float(good[1] - good[0]),
        "next_another": float(other[1] - other[0]),
        "off_chance": np.nan if said.off_chance is None else said.off_chance,
        "another": _in(truth.another_day_m, another),
        "another_said": float(said.another90_m is not None),
        "rate_error": rate - truth.mishit_rate,
        "rate_held": _in(truth.mishit_rate, said.mishit90) if said.mishit90 else np.nan,
        "odd": float("odd" in said.flags),
        "two": float("two swings" in said.flags),
    }


def _in(value: float, bounds: Pair) -> float:
    return float(bounds[0] <= value <= bounds[1])


def _mean(values: NDArray[np.float64]) -> float:
    values = values[np.isfinite(values)]
    return float(values.mean()) if len(values) else np.nan


def _rms(values: NDArray[np.float64]) -> float:
    return float(np.sqrt(_mean(values**2)))


def _error_by_session(table: Mapping[str, NDArray[np.float64]], what: str, at: NDArray[np.bool_]) -> float:
    values, sessions = table[what][at], table["session"][at]
    each = np.array([values[sessions == s].mean() for s in np.unique(sessions)])
    return float(each.std(ddof=1) / np.sqrt(len(each))) if len(each) > 1 else np.nan


def _carry(out: Judged, table: Mapping[str, NDArray[np.float64]], at: NDArray[np.bool_]) -> None:
    out.held_error, out.another_error = _error_by_session(table, "held", at), _error_by_session(table, "another", at)
    out.held, out.held_as_read, out.held_t = (
        _mean(table["held"][at]),
        _mean(table["as_read"][at]),
        _mean(table["t"][at]),
    )
    out.bias = _mean(table["error"][at] / table["stock"][at])
    rmse = _rms(table["error"][at])
    out.rmse_yd, out.half_width_yd = rmse / YARD_M, _mean(table["half"][at]) / YARD_M
    out.over_median, out.over_mean = rmse / _rms(table["median"][at]), rmse / _rms(table["mean"][at])
    out.next_another = _mean(table["next_another"][at])
    out.another, out.another_said = _mean(table["another"][at]), bool(table["another_said"].all())


def _next(out: Judged, table: Mapping[str, NDArray[np.float64]], at: NDArray[np.bool_]) -> None:
    """Coverage of the next good ball. Worst and best are of clubs by loft, of swings, and of clubs ranked in each session by true spread ("steady 1")."""
    shares = {
        str(name): _mean(table["next"][at & (table[by] == name)])
        for by in ("club", "swing", "rank")
        for name in np.unique(table[by][at])
    }
    out.next_held = _mean(table["next"][at])
    out.next_worst, out.next_best = min(shares.items(), key=lambda x: x[1]), max(shares.items(), key=lambda x: x[1])


def _rates(out: Judged, table: Mapping[str, NDArray[np.float64]], hit: NDArray[np.bool_]) -> None:
    out.rate_held, out.rate_error = _mean(table["rate_held"][hit]), _rms(table["rate_error"][hit])


def _balls(out: Judged, both: Sequence[tuple[Session, Answer]]) -> None:
    pairs = [
        (not r.good, 1 - a.good[r.number], r.number in a.called)
        for s, a in both
        for r in s.rows
        if r.number in a.good and r.read_by != "pile"
    ]
    if not pairs:
        return
    bad, said, called = np.array(pairs, float).T
    base = bad.mean()
    out.truly_bad, out.said_bad = float(base), float(said.mean())
    out.brier_skill = float(1 - ((said - bad) ** 2).mean() / (base * (1 - base))) if 0 < base < 1 else np.nan
    out.f1 = float(2 * (bad * called).sum() / (bad.sum() + called.sum())) if bad.sum() + called.sum() else np.nan


def _flags(
    out: Judged,
    table: Mapping[str, NDArray[np.float64]],
    both: Sequence[tuple[Session, Answer]],
    hit: NDArray[np.bool_],
) -> None:
    odd, straight = (
        hit & (np.abs(table["off"]) >= ODD_FROM),
        hit & (np.abs(table["off"]) < STRAIGHT_UNDER) & (table["second"] == 0),
    )
    out.odd_found, out.odd_false = _of(table["odd"], odd), _of(table["odd"], straight)
    out.two_found, out.two_false = (
        _of(table["two"], hit & (table["second"] > 0)),
        _of(table["two"], hit & (table["second"] == 0)),
    )
    _chances(out, table["off_chance"][hit], np.abs(table["off"][hit]) > OFF)
    told = [(s.drift, a.drift90) for s, a in both if a.drift90 is not None]
    out.drift_told = len(told) / len(both)
    if told:
        out.drift_held = float(np.mean([_in(true, said) for true, said in told]))
    out.drift_flagged = sum(not said[0] <= 0 <= said[1] for _, said in told) / len(both)
    out.checked = float(np.mean([bool(a.checks) for _, a in both]))
    out.checks = dict(Counter(name for _, a in both for name in dict.fromkeys(a.checks)))


def _chances(out: Judged, said: NDArray[np.float64], true: NDArray[np.bool_]) -> None:
    if np.isfinite(said).all():
        base = float(true.mean())
        out.off_said, out.off_true = float(said.mean()), base
        out.off_skill = float(1 - ((said - true) ** 2).mean() / (base * (1 - base))) if 0 < base < 1 else np.nan


def _of(values: NDArray[np.float64], among: NDArray[np.bool_]) -> tuple[int, int]:
    return int(values[among].sum()), int(among.sum())


def _odd_cells(out: Judged, table: Mapping[str, NDArray[np.float64]], at: NDArray[np.bool_]) -> None:
    """The cells put off the line on purpose: held, mean error as a share, RMS error of the chart and of the median of the cell's balls."""
    odd = at & (table["planted"] > 0)
    if odd.any():
        out.odd_held, out.odd_error = _mean(table["held"][odd]), _mean(table["error"][odd] / table["stock"][odd])
        out.odd_rms_yd, out.odd_median_rms_yd = _rms(table["error"][odd]) / YARD_M, _rms(table["median"][odd]) / YARD_M
