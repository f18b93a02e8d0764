"""Balls -> arrays: one row a reading, each tied to its cell and day."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from threequarter.chart import priors
from threequarter.golf.ball import Ball, MeasuredBy, Strike
from threequarter.golf.club import club_key, parse_club
from threequarter.golf.errors import UserError
from threequarter.golf.message import Message
from threequarter.golf.swing_length import SwingLength, parse_swing
from threequarter.golf.units import YARD_M

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]

Also = tuple[str, str] | tuple[str, str, float | None]
"""A shot to chart without a ball: club, swing length and, where more than its label tells is known, the club's loft in degrees."""

LEAST_CARRY_M: Final = 0.5
MOST_CARRY_M: Final = 350.0
STEPS_M: Final = (5 * YARD_M, 5.0, YARD_M, 1.0, 0.5 * YARD_M, 0.5, 0.1 * YARD_M, 0.1)


@dataclass(frozen=True, slots=True, kw_only=True)
class CellName:
    """A club and a swing length, as first written, and what their labels tell."""

    club: str
    swing: str
    loft_deg: float | None
    loft_prior_deg: tuple[float, float]
    length: SwingLength


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Readings:
    """A session as arrays. `names` holds every club by every swing, clubs from least loft, swings from shortest.

    Rows are readings in the order hit: `log_carry`, `cell` (index into names), `day` (from 0), `order` (balls before
    it that day), `side` (offline over carry, nan where unread), `launch_deg` and `log_spin` (log rpm; nan where unread), `noise` (relative variance of the reading itself), `shared` (relative SD of the error it shares with all the others),
    `count` (balls of a pile), `known` (-1 unknown, 0 noted as good or heavy, 1 fat, 2 thin, 3 toe or heel).
    `numbers` are the ball numbers of each row; a pile typed ball by ball has several.
    """

    names: tuple[CellName, ...]
    clubs: tuple[str, ...]
    swings: tuple[str, ...]
    log_carry: Floats
    cell: Ints
    day: Ints
    days: int
    order: Floats
    side: Floats
    launch_deg: Floats
    log_spin: Floats
    noise: Floats
    shared: Floats
    count: Ints
    known: Ints
    heavy: NDArray[np.bool_]
    numbers: tuple[tuple[int, ...], ...]
    piles: frozenset[int]

    def without(self, cell: int) -> "Readings":
        """The same session without the readings of a cell."""
        keep = self.cell != cell
        rows = (
            "log_carry",
            "cell",
            "day",
            "order",
            "side",
            "launch_deg",
            "log_spin",
            "noise",
            "shared",
            "count",
            "known",
            "heavy",
        )
        left = {name: getattr(self, name)[keep] for name in rows}
        return replace(self, **left, numbers=tuple(n for n, kept in zip(self.numbers, keep, strict=True) if kept))

    def doubted(self, doubt: dict[int, float]) -> "Readings":
        """The same session with the balls of some cells made less sure, by a relative SD each."""
        extra = np.zeros(len(self.names))
        extra[list(doubt)] = list(doubt.values())
        return replace(self, noise=self.noise + extra[self.cell] ** 2)

    def balls_in(self, cell: int) -> int:
        """Balls of a cell, all of a pile counted."""
        return int(self.count[self.cell == cell].sum())


def prepare(balls: Sequence[Ball], also: Sequence[Also] = ()) -> Readings:
    """Arrays of the balls that are to be used; `also` names further (club, swing) to chart without a ball.

    Raises UserError where no ball is left, or a distance is not one of a golf shot.
    """
    used = [ball for ball in balls if ball.use]
    if not used:
        raise UserError(Message("chart.no_ball"))
    for ball in used:
        _check(ball)
    names, clubs, swings, place = _cells(used, also)
    rows = _merge_piles(used, [place[_key(ball)] for ball in used])
    step = _rounding_m([ball.distance_m for ball in used])
    days = sorted({ball.day for ball in used})
    first, log_carry = [row[0] for row in rows], np.log([row[0].distance_m for row in rows])
    seen: dict[int, int] = {}
    before = {}
    for ball in sorted(balls, key=lambda b: b.number):
        before[ball.number, ball.day] = seen.get(ball.day, 0)
        seen[ball.day] = seen.get(ball.day, 0) + 1
    count = np.array([len(row) if len(row) > 1 else row[0].count for row in rows])
    return Readings(
        names=names,
        clubs=clubs,
        swings=swings,
        log_carry=log_carry,
        cell=np.array([place[_key(ball)] for ball in first]),
        day=np.array([days.index(ball.day) for ball in first]),
        days=len(days),
        order=np.array([before[ball.number, ball.day] for ball in first], dtype=float),
        side=np.array([_side(ball) for ball in first]),
        launch_deg=np.array([np.nan if ball.launch_deg is None else ball.launch_deg for ball in first]),
        log_spin=np.log(
            [ball.backspin_rpm if ball.backspin_rpm and ball.backspin_rpm > 0 else np.nan for ball in first]
        ),
        noise=np.array([_noise(ball, n, step) for ball, n in zip(first, count, strict=True)]),
        shared=np.array([(ball.shared_sd_m or 0.0) / ball.distance_m for ball in first]),
        count=count,
        known=np.array([_known(ball) for ball in first]),
        heavy=np.array([ball.strike is Strike.HEAVY for ball in first]),
        numbers=tuple(tuple(ball.number for ball in row) for row in rows),
        piles=frozenset(int(place[_key(row[0])]) for row, n in zip(rows, count, strict=True) if n > 1),
    )


def _check(ball: Ball) -> None:
    if np.isfinite(ball.distance_m) and LEAST_CARRY_M <= ball.distance_m <= MOST_CARRY_M:
        return
    row = ball.place.row if ball.place else None
    limits = {"carry_m": ball.distance_m, "least_m": LEAST_CARRY_M, "most_m": MOST_CARRY_M}
    if row:
        raise UserError(Message("chart.carry_of_row", number=ball.number, row=row, **limits))
    raise UserError(Message("chart.carry", number=ball.number, **limits))


def _key(ball: Ball) -> tuple[str, str]:
    return ball.shot


def cell_names(cells: Sequence[tuple[str, str]]) -> tuple[CellName, ...]:
    """Every club by every swing of some (club, swing) pairs, clubs from least loft, swings from shortest."""
    return _cells([], cells)[0]


def _cells(
    balls: Sequence[Ball], also: Sequence[Also]
) -> tuple[tuple[CellName, ...], tuple[str, ...], tuple[str, ...], dict[tuple[str, str], int]]:
    """Every club by every swing; clubs from least to most loft, swings from short to long."""
    clubs: dict[str, tuple[str, float | None, tuple[float, float]]] = {}
    swings: dict[str, SwingLength] = {}
    told = [(ball.club, ball.swing, ball.loft_deg) for ball in balls] + [
        (one[0], one[1], one[2] if len(one) > 2 else None) for one in also
    ]
    carries: dict[str, list[float]] = {}
    for ball in balls:
        carries.setdefault(parse_swing(ball.swing).key, []).append(np.log(ball.distance_m))
    for club, swing, loft_deg in told:
        parsed = parse_club(club)
        loft = loft_deg if loft_deg is not None else parsed.loft_deg
        clubs.setdefault(
            club_key(club, loft_deg),
            (club, loft, priors.loft_line(loft) if loft is not None else parsed.loft_prior_deg),
        )
        swings.setdefault(parse_swing(swing).key, parse_swing(swing))
    club_order = sorted(clubs, key=lambda key: (clubs[key][2][0], key))
    known = all(length.reach is not None for length in swings.values())
    typical = {key: float(np.median(carries.get(key, [0.0]))) for key in swings}
    swing_order = sorted(swings, key=lambda key: swings[key].order if known else (typical[key], key))
    names = tuple(
        CellName(
            club=clubs[c][0], swing=swings[s].label, loft_deg=clubs[c][1], loft_prior_deg=clubs[c][2], length=swings[s]
        )
        for c in club_order
        for s in swing_order
    )
    place = {(c, s): i for i, (c, s) in enumerate((c, s) for c in club_order for s in swing_order)}
    return names, tuple(clubs[c][0] for c in club_order), tuple(swings[s].label for s in swing_order), place


def _merge_piles(balls: Sequence[Ball], cells: Sequence[int]) -> list[list[Ball]]:
    """One row a reading: a cell whose balls all bear the same number is one reading of a pile, typed ball by ball.

    Three or four equal numbers can be chance; they count as a pile only where most cells of the session look so.
    """
    groups: dict[tuple[int, int], list[Ball]] = {}
    for ball, cell in zip(balls, cells, strict=True):
        groups.setdefault((cell, ball.day), []).append(ball)
    several = [group for group in groups.values() if len(group) >= 3]
    same = [len({round(b.distance_m, 4) for b in group}) == 1 for group in several]
    habit = bool(several) and len(several) > 1 and np.mean(same) > 0.6
    merged = {
        id(ball)
        for group, equal in zip(several, same, strict=True)
        if equal and (habit or len(group) >= 5)
        for ball in group
    }
    rows: list[list[Ball]] = []
    open_piles: dict[tuple[int, int], list[Ball]] = {}
    for ball, cell in zip(balls, cells, strict=True):
        if id(ball) not in merged:
            rows.append([ball])
        elif (cell, ball.day) in open_piles:
            open_piles[cell, ball.day].append(ball)
        else:
            open_piles[cell, ball.day] = [ball]
            rows.append(open_piles[cell, ball.day])
    return rows


def _rounding_m(distances_m: Sequence[float]) -> float:
    """The coarsest step that all distances keep to: 5 yards, 5 m, a yard, ... Rounded to it, they are that unsure."""
    values = np.asarray(distances_m)
    for step in STEPS_M:
        if np.abs(values / step - np.round(values / step)).max() < 1e-3:
            return step if len(values) >= 3 else min(step, 1.0)
    return 0.0


def _noise(ball: Ball, count: int, step_m: float) -> float:
    rounding = ball.rounding_m if ball.rounding_m is not None else step_m
    error = ball.error_sd_m or 0.0
    if count > 1 and not error:
        error = priors.PILE_FINE_M
    return (error**2 + rounding**2 / 12) / ball.distance_m**2


def _side(ball: Ball) -> float:
    return (
        ball.offline_m / ball.distance_m
        if ball.offline_m is not None and ball.measured_by != MeasuredBy.PILE
        else np.nan
    )


def _known(ball: Ball) -> int:
    codes = {Strike.GOOD: 0, Strike.HEAVY: 0, Strike.FAT: 1, Strike.THIN: 2, Strike.TOE: 3, Strike.HEEL: 3}
    return codes.get(ball.strike, -1) if ball.strike is not None else -1
