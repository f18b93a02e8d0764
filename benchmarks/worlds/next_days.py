"""What a chart is used for, played out on the truth: following advice until it says stop, a recheck on another day, one shot on the course.

Only the players and the judging stand here; the advice, the recheck and the choice come as functions.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from .judge import Answer, Pair
from .players import as_session, order_of, play_with, read_session, rng_of
from .players_hit import Player, sample_with_sides
from .players_kinds import KINDS
from .players_law import Law, draw_law
from .players_truth import YARD_M, Row, Session

Name = tuple[str, str]
"""Club and swing."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """The next balls that advice asks for."""

    club: str
    swing: str
    balls: int = 1


Advise = Callable[[Sequence[Row]], Asked | None]
"""From the balls so far to the next ones; None is "stop"."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Followed:
    """A session in which the advice was followed: whether it said stop before `most` balls, and how often the club was changed."""

    session: Session
    stopped: bool
    club_changes: int


def follow(kind: str, number: int, advise: Advise, *, most: int = 200, first: int = 1, seed: int = 0) -> Followed:
    """Hits `first` balls in each cell, then what the advice asks for until it says stop, one day without a break.

    A drift runs its course over 120 balls. Raises KeyError where the advice names a shot the player does not have.
    """
    rng = rng_of(kind, number, seed)
    law = draw_law(replace(KINDS[kind], balls=first, layout="even", days=1), rng)
    player = Player(law, rng, planned=120)
    rows = [player.hit(law.cells[at].club, law.cells[at].swing) for _, at in order_of(law, rng)]
    stopped = False
    while len(rows) < most:
        asked = advise(read_session(law.world, rows, rng_of(kind, number, seed)))  # read out anew, the same each time
        if asked is None:
            stopped = True
            break
        rows += [player.hit(asked.club, asked.swing) for _ in range(min(asked.balls, most - len(rows)))]
    changes = sum(a.club != b.club for a, b in pairwise(rows))
    return Followed(session=as_session(kind, player, rows), stopped=stopped, club_changes=changes)


@dataclass(frozen=True, slots=True, kw_only=True)
class FollowedFigures:
    """Of one kind: balls at the stop (10, 50, 90 %), share that stopped, club changes a ball.

    `held`: share of cells whose interval holds the true stock carry; `kept`: share no further off than the stop promised; `worst`: the error of the
    worst cell over its promise, median of sessions.
    """

    kind: str
    sessions: int
    balls: tuple[float, float, float]
    stopped: float
    changes: float
    held: float
    held_error: float
    kept: float
    kept_error: float
    rmse_yd: float
    worst: float


def judge_followed(
    kind: str, followed: Sequence[Followed], answers: Sequence[Answer], promise: Callable[[float], float]
) -> FollowedFigures:
    """`promise(stock_m)`: how near, in metres, the stop promises the stock carry to be. Cells of two swings are left out."""
    each = []
    for one, said in zip(followed, answers, strict=True):
        cells = [
            (t, said.cells[name]) for name, t in one.session.cells.items() if t.second_m is None and name in said.cells
        ]
        error = np.array([abs(c.stock_m - t.stock_m) for t, c in cells])
        promised = np.array([promise(c.stock_m) for _, c in cells])
        held = np.mean([c.stock90_m[0] <= t.stock_m <= c.stock90_m[1] for t, c in cells])
        each.append((held, np.mean(error <= promised), np.mean(error**2), np.max(error / promised)))
    held, kept, square, worst = np.array(each).T
    balls = np.quantile([len(f.session.rows) for f in followed], [0.1, 0.5, 0.9])
    return FollowedFigures(
        kind=kind,
        sessions=len(followed),
        balls=(balls[0], balls[1], balls[2]),
        stopped=float(np.mean([f.stopped for f in followed])),
        changes=float(np.mean([f.club_changes / len(f.session.rows) for f in followed])),
        held=float(held.mean()),
        held_error=_error(held),
        kept=float(kept.mean()),
        kept_error=_error(kept),
        rmse_yd=float(square.mean() ** 0.5 / YARD_M),
        worst=float(np.median(worst)),
    )


def _error(values: NDArray[np.float64]) -> float:
    return float(values.std(ddof=1) / len(values) ** 0.5) if len(values) > 1 else np.nan


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class RecheckCase:
    """An old session and balls of another day, after the player's long-run carries moved by `shift` (-0.05: 5 % shorter); each day has its own form."""

    old: Session
    new: tuple[Row, ...]
    shift: float


@dataclass(frozen=True, slots=True, kw_only=True)
class RecheckSaid:
    """One of "moved", "holds" or "not known", and the 90 % interval of the shift as a share of carry."""

    verdict: str
    shift90: Pair | None = None


def recheck_case(kind: str, number: int, shift: float, *, balls: int = 24, seed: int = 0) -> RecheckCase:
    """The old session as its kind is, then `balls` over all cells in mixed order. The same number is the same player at every shift."""
    rng = rng_of(kind, number, seed)
    law = draw_law(KINDS[kind], rng)
    old, _ = play_with(kind, law, rng)
    moved = moved_law(law, shift)
    player = Player(moved, rng, planned=120)
    cells = [int(i) for _ in range(-(-balls // len(law.cells))) for i in rng.permutation(len(law.cells))][:balls]
    new = as_session(kind, player, [player.hit(law.cells[i].club, law.cells[i].swing) for i in cells])
    return RecheckCase(old=old, new=new.rows, shift=shift)


def moved_law(law: Law, shift: float) -> Law:
    """The same player with every carry moved by a share; on one day."""
    cells = tuple(replace(c, centre_m=c.centre_m * (1 + shift)) for c in law.cells)
    return Law(world=replace(law.world, days=1), cells=cells)


@dataclass(frozen=True, slots=True, kw_only=True)
class RecheckFigures:
    """Of one kind, shift and number of new balls: shares of verdicts, the share of intervals that hold the shift, and how often a plain median of
    log ratios finds as much at the same false alarms (nan at shift 0). `moved_yet`, `holds_yet`: shares that were told so at this look or
    one before."""

    kind: str
    shift: float
    balls: int
    moved: float
    holds: float
    not_known: float
    interval_held: float
    plain_moved: float
    moved_yet: float
    holds_yet: float


def judge_recheck(
    kind: str,
    recheck: Callable[[Sequence[Row], Sequence[Row]], RecheckSaid],
    *,
    players: int = 30,
    shifts: Sequence[float] = (0.0, -0.05, -0.08, 0.08),
    looks: Sequence[int] = (8, 16, 24),
    seed: int = 0,
) -> list[RecheckFigures]:
    """Every shift with the same players, at each look with as many of the new balls. The first shift must be 0: it sets the false alarms."""
    if shifts[0] != 0:
        raise ValueError("the first shift must be 0")
    out, bounds = [], {}
    for shift in shifts:
        cases = [recheck_case(kind, i, shift, balls=max(looks), seed=seed) for i in range(players)]
        yet: list[set[str]] = [set() for _ in cases]
        for look in looks:
            said = [recheck(case.old.rows, case.new[:look]) for case in cases]
            plain = np.abs([plain_shift(case.old.rows, case.new[:look]) for case in cases])
            for before, now in zip(yet, said, strict=True):
                before.add(now.verdict)
            moved = float(np.mean([s.verdict == "moved" for s in said]))
            if shift == 0:
                bounds[look] = float(np.quantile(plain, 1 - max(moved, 1 / players)))
            told = [s.shift90[0] <= shift <= s.shift90[1] for s in said if s.shift90 is not None]
            out.append(
                RecheckFigures(
                    kind=kind,
                    shift=shift,
                    balls=look,
                    moved=moved,
                    holds=float(np.mean([s.verdict == "holds" for s in said])),
                    not_known=float(np.mean([s.verdict == "not known" for s in said])),
                    interval_held=float(np.mean(told)) if told else np.nan,
                    plain_moved=float(np.mean(plain > bounds[look])) if shift else np.nan,
                    moved_yet=float(np.mean(["moved" in verdicts for verdicts in yet])),
                    holds_yet=float(np.mean(["holds" in verdicts for verdicts in yet])),
                )
            )
    return out


def plain_shift(old: Sequence[Row], new: Sequence[Row]) -> float:
    """What a careful person without a model would do: the median over the new balls of the log of each over its old cell's median."""
    medians = {
        name: np.median([r.read_m for r in old if (r.club, r.swing) == name])
        for name in {(r.club, r.swing) for r in old}
    }
    ratios = [np.log(r.read_m / medians[r.club, r.swing]) for r in new if (r.club, r.swing) in medians]
    return float(np.median(ratios)) if ratios else 0.0


Strokes = Callable[[NDArray[np.float64], Name], NDArray[np.float64]]
"""From where balls land, shape (n, 2): carry and offline in metres, and the shot, to strokes still to be played, shape (n,)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ShotCase:
    """A charted player and a number to hit on another day. `options`: every shot of his; `strokes`: what each truly costs, the shot itself counted."""

    session: Session
    to_m: float
    true_strokes: Mapping[Name, float]

    @property
    def best(self) -> float:
        """Strokes of the truly best shot."""
        return min(self.true_strokes.values())


def shot_case(kind: str, number: int, to_m: float, strokes: Strokes, *, seed: int = 0, balls: int = 4000) -> ShotCase:
    """The player after his charting session, on another day, warmed up, mishits and all; `balls` draws a shot price it."""
    rng = rng_of(kind, number, seed)
    law = draw_law(KINDS[kind], rng)
    session, _ = play_with(kind, law, rng)
    true = {}
    for i, cell in enumerate(law.cells):
        name = cell.club, cell.swing
        centre = session.cells[name].another_day_m / law.heavy_mean
        landed = sample_with_sides(law, i, centre, rng, mishits=True, count=balls)
        true[name] = 1 + float(np.mean(strokes(landed, name)))
    return ShotCase(session=session, to_m=to_m, true_strokes=true)


@dataclass(frozen=True, slots=True, kw_only=True)
class ShotSaid:
    """The shots a tool lists, best first, with the strokes it expects; and those it cannot tell from the best."""

    order: tuple[tuple[Name, float], ...]
    tied: frozenset[Name] = frozenset()


@dataclass(frozen=True, slots=True, kw_only=True)
class ShotFigures:
    """Strokes lost on the truth by the tool's first shot, against the best of all and the best it listed; by the nearest median carry; how often the
    first is the best (within 0.005) and the best is first or tied (within 0.01); and how far said strokes lie over the true ones."""

    kind: str
    shots: int
    no_answer: int
    lost: float
    lost_error: float
    lost_of_listed: float
    nearest_lost: float
    first_is_best: float
    best_among_tied: float
    said_over_true: float


def judge_shots(
    kind: str, cases: Sequence[ShotCase], choose: Callable[[Sequence[Row], float], ShotSaid]
) -> ShotFigures:
    """`choose(rows, to_m)`; shots the player does not have (between two swings) are passed over. No listed shot counts as no answer."""
    lost, listed, nearest, first, tied, over = [], [], [], [], [], []
    for case in cases:
        said = choose(case.session.rows, case.to_m)
        known = [(name, strokes) for name, strokes in said.order if name in case.true_strokes]
        if not known:
            continue
        true = [case.true_strokes[name] for name, _ in known]
        lost.append(true[0] - case.best)
        listed.append(true[0] - min(true))
        nearest.append(case.true_strokes[_nearest(case)] - case.best)
        first.append(lost[-1] <= 0.005)
        tied.append(
            min([true[0], *(case.true_strokes[n] for n in said.tied if n in case.true_strokes)]) - case.best <= 0.01
        )
        over.append(np.mean([strokes - t for (_, strokes), t in zip(known, true, strict=True)]))
    if not lost:
        return ShotFigures(kind=kind, shots=len(cases), no_answer=len(cases), **dict.fromkeys(_SHOT_FIGURES, np.nan))
    return ShotFigures(
        kind=kind,
        shots=len(cases),
        no_answer=len(cases) - len(lost),
        lost=float(np.mean(lost)),
        lost_error=_error(np.array(lost)),
        lost_of_listed=float(np.mean(listed)),
        nearest_lost=float(np.mean(nearest)),
        first_is_best=float(np.mean(first)),
        best_among_tied=float(np.mean(tied)),
        said_over_true=float(np.mean(over)),
    )


_SHOT_FIGURES = (
    "lost",
    "lost_error",
    "lost_of_listed",
    "nearest_lost",
    "first_is_best",
    "best_among_tied",
    "said_over_true",
)


def _nearest(case: ShotCase) -> Name:
    rows = case.session.rows
    medians = {
        name: np.median([r.read_m for r in rows if (r.club, r.swing) == name])
        for name in {(r.club, r.swing) for r in rows}
    }
    return min(sorted(medians), key=lambda name: abs(medians[name] - case.to_m))
