"""Ways to practise with a chart, each scored by the player's own spread: a ladder of lengths, three in a row, a game, homework.

A ball counts as inside where it ends no further from the number than half of the band in which nine good balls in ten of
that shot land: the player's own band, never another's.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from threequarter.chart.result import Cell, Chart, Interval
from threequarter.golf.errors import UserError
from threequarter.golf.message import Message
from threequarter.golf.swing_length import parse_swing
from threequarter.practice.call import Target, call_numbers, target_for

RUNGS: Final = 3
IN_A_ROW: Final = 3
MOST_IN_A_ROW_BALLS: Final = 15
HOMEWORK_BALLS: Final = 10
HOMEWORK_SHOTS: Final = 3
PASSES: Final = 0.75
"""A pass mark is what the player's own chart reaches in about three tries of four: a reason to practise, not to despair."""
LEAST_HIT: Final = 3
MOST_IN_GAME: Final = 8


@dataclass(frozen=True, slots=True, kw_only=True)
class Call:
    """A number to hit: `half_m` either side of it is the player's own band, `inside` the chance that a ball, good or not,
    ends in there."""

    target: Target
    half_m: float
    inside: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Homework:
    """So many balls of one shot, where a good one lands (m), and how many must land there."""

    club: str
    swing: str
    band_m: Interval
    balls: int
    pass_mark: int


def call_of(chart: Chart, target: Target) -> Call:
    """A called number with the player's own band around it."""
    cell = chart.cell(target.club, target.swing)
    half = cell.next90_m.half
    sd, off = float(np.hypot(cell.good_sd_m, cell.stock90_m.half / 1.645)), cell.stock_carry_m - target.carry_m
    from scipy.special import ndtr

    good = float(ndtr((half - off) / sd) - ndtr((-half - off) / sd))
    return Call(target=target, half_m=half, inside=good * (1 - cell.mishit_rate))


def ladder(chart: Chart, balls: int) -> tuple[Call, ...]:
    """Up and down three swing lengths of one wedge, its partial ones where there are three. Raises UserError where no wedge has three
    lengths."""
    for club in sorted(chart.clubs, key=lambda name: -sum(cell.balls for cell in chart.cells if cell.club == name)):
        cells = sorted((cell for cell in chart.cells if cell.club == club), key=lambda one: one.stock_carry_m)
        partial = [cell for cell in cells if parse_swing(cell.swing).kind != "full"]
        rungs = (partial if len(partial) >= RUNGS else cells)[:RUNGS]
        if len(rungs) == RUNGS:
            climb = [0, 1, 2, 1]
            return tuple(_stock(chart, rungs[climb[i % len(climb)]]) for i in range(balls))
    raise UserError(Message("practice.no_ladder"))


def in_a_row(chart: Chart, club: str = "", swing: str = "") -> tuple[Call, ...]:
    """One shot again and again until three in a row are inside: the shot named, or the partial one that was hit most."""
    named = [cell for cell in chart.cells if (cell.club, cell.swing) == (club, swing)]
    if not named:
        partial = [cell for cell in chart.cells if parse_swing(cell.swing).kind != "full"] or list(chart.cells)
        named = [max(partial, key=lambda cell: cell.balls)]
    return (_stock(chart, named[0]),) * MOST_IN_A_ROW_BALLS


def homework(chart: Chart) -> tuple[Homework, ...]:
    """Up to three shots for the next days, the partial ones hit most first; band and pass mark from the player's own spread and mishits,
    on another day."""
    hit = [cell for cell in chart.cells if cell.balls >= LEAST_HIT]
    order = sorted(hit, key=lambda cell: (parse_swing(cell.swing).kind == "full", -cell.balls, cell.stock_carry_m))
    chosen = sorted(order[:HOMEWORK_SHOTS], key=lambda cell: cell.stock_carry_m)
    return tuple(
        Homework(
            club=cell.club,
            swing=cell.swing,
            band_m=cell.next_another_day90_m,
            balls=HOMEWORK_BALLS,
            pass_mark=pass_mark(_inside_on_another_day(cell), HOMEWORK_BALLS),
        )
        for cell in chosen
    )


def _inside_on_another_day(cell: Cell) -> float:
    """The chance that a ball of another day ends in the band of that day."""
    from scipy.special import ndtr

    band, sd = cell.next_another_day90_m, float(np.hypot(cell.good_sd_m, cell.another_day90_m.half / 1.645))
    ends = ndtr((np.array([band.low, band.high]) - cell.stock_carry_m) / sd)
    return float(ends[1] - ends[0]) * (1 - cell.mishit_rate)


def pass_mark(inside: float, balls: int) -> int:
    """The most balls inside that a player whose balls are inside with this chance reaches in three tries of four, at least one."""
    from scipy.special import bdtrc

    reached = [count for count in range(1, balls + 1) if bdtrc(count - 1, balls, inside) >= PASSES]
    return max(reached, default=1)


def usual_inside(calls: Sequence[Call]) -> float:
    """How many of the called balls are inside on average."""
    return float(sum(call.inside for call in calls))


@dataclass(frozen=True, slots=True, kw_only=True)
class Turn:
    """Whose turn it is, and the number called from that player's own chart."""

    who: str
    call: Call


@dataclass(frozen=True, slots=True, kw_only=True)
class Placed:
    """A player at the end of a game: balls hit, how many were `inside` the own band, and how many usually are."""

    who: str
    balls: int
    inside: int
    usual: float

    @property
    def ahead(self) -> float:
        """Balls inside beyond the player's own usual: what the game is won by, so that a wild player can beat a tight one."""
        return self.inside - self.usual


def game(charts: Mapping[str, Chart], balls: int, rng: np.random.Generator, step_m: float = 1.0) -> tuple[Turn, ...]:
    """So many called numbers for each player, one after the other in turn, each from the own chart and whole in steps of `step_m` (a
    yard, a metre). Raises UserError for fewer than two
    players, for more than `MOST_IN_GAME`, and for fewer than one ball."""
    if not 2 <= len(charts) <= MOST_IN_GAME:
        raise UserError(Message("practice.game_players", most=MOST_IN_GAME))
    called = {
        who: [_whole(chart, target, step_m) for target in call_numbers(chart, balls, rng)]
        for who, chart in charts.items()
    }
    return tuple(Turn(who=who, call=calls[k]) for k in range(balls) for who, calls in called.items())


def _whole(chart: Chart, target: Target, step_m: float) -> Call:
    cell = chart.only(target.club, target.swing)
    return call_of(chart, target_for(cell, round(target.carry_m / step_m) * step_m))


def placed(turns: Sequence[Turn], ended_m: Sequence[float | None]) -> tuple[Placed, ...]:
    """Who is how far ahead of the own usual, the furthest first; `ended_m` is where the ball of each turn carried, None where none
    was hit. Raises UserError without a ball."""
    hit = [(turn, ended) for turn, ended in zip(turns, ended_m, strict=False) if ended is not None]
    if not hit:
        raise UserError(Message("practice.not_hit"))
    found = []
    for who in dict.fromkeys(turn.who for turn, _ended in hit):
        mine = [(turn.call, ended) for turn, ended in hit if turn.who == who]
        inside = sum(abs(ended - call.target.carry_m) <= call.half_m for call, ended in mine)
        found.append(
            Placed(who=who, balls=len(mine), inside=inside, usual=usual_inside([call for call, _ended in mine]))
        )
    return tuple(sorted(found, key=lambda one: -one.ahead))


def _stock(chart: Chart, cell: Cell) -> Call:
    return call_of(chart, _target(chart, cell))


def _target(chart: Chart, cell: Cell) -> Target:
    return target_for(chart.only(cell.club, cell.swing), cell.stock_carry_m)
