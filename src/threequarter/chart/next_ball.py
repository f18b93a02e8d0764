"""What to hit next and when to stop: the one answer that commands, keys, chart, lesson and JSON give.

Stopping is judged by all shots of the plan together, never shot by shot: stopping each when it looks sure picks those that look surer
than they are. What is asked for is a block of balls with one shot; a change of club is weighed, and each shot is come back to, since a
shot hit in one go cannot be told from getting tired or getting better.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final, Literal

import numpy as np
from numpy.typing import NDArray

from threequarter.chart.design import LEAST_BALLS, Design, tail_cost
from threequarter.chart.goal import OF_SPREAD, OF_SPREAD_STRIKE_FIRST, PROMISE_M, goals_m
from threequarter.chart.mishits import pooled_share
from threequarter.chart.result import Cell, Chart
from threequarter.golf.ball import Ball, MeasuredBy, shot_key
from threequarter.golf.message import Message

Floats = NDArray[np.float64]
Shot = tuple[str, str]
Shots = frozenset[Shot]
State = Literal["hit", "enough", "strike", "limit", "check", "measure", "moved"]

SECONDS_A_BALL: Final = 40
CHANGE_S: Final = 45
"""A change of club: the walk to the bag, a practice swing or two. Both common practice, no source."""
MOST_BALLS: Final = 400
SHOWN: Final = 3
BLOCK: Final = 5
AIMED: Final = 0.9
"""A little less of the spread is aimed at than is promised: the charts of the wildest simulated players are a little too sure
(`benchmarks/advice.py`, wild_15)."""
MANY_SHOTS: Final = 4
MANY_MISHITS: Final = 0.25
JUDGED_BALLS: Final = 12
"""So many balls seen one by one before the strike is judged."""
STAY: Final = 0.6
"""Stay with the club while its best shot still gives this share of the best gain: on simulated players a seventh of the club changes
for the same chart (`benchmarks/advice.py`)."""
SETTLES: Final = (0.85, 0.8)
"""Balls reckoned with the doubt as it is over those really hit, where the chart's uncertainty is r times its goal: the first times r to the
power of the second. Spread, strikes and cells become surer as balls come, so the further it is to go the fewer are left. Set by
`benchmarks/advice.py` (the sums of balls at the start, a quarter, half way; 12 tuned kinds, 10 players each, seed 0)."""
CHILD_BALLS: Final = 60
"""Most full-effort balls of a child in one session. Common practice, no source: when in doubt, fewer."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Limits:
    """What a session may take: balls and minutes still to spend are counted from its start. None: no limit."""

    balls: int | None = None
    minutes: float | None = None
    child: bool = False

    @property
    def most(self) -> int:
        """Balls of the whole session."""
        by_time = MOST_BALLS if self.minutes is None else int(self.minutes * 60 / SECONDS_A_BALL)
        return min(self.balls or MOST_BALLS, by_time, CHILD_BALLS if self.child else MOST_BALLS)


@dataclass(frozen=True, slots=True, kw_only=True)
class Next:
    """One block: so many balls with one shot, why, and half of the range (m) of its stock carry now, after one ball, after the block."""

    cell: Cell
    balls: int
    why: Message
    halfwidth_now_m: float
    expected_halfwidth_after_m: float
    halfwidth_after_block_m: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Advice:
    """Blocks, best first; the state of the chart and what is said of it; balls and minutes to get there.

    `doubt_ratio`: the chart's uncertainty over its goal (root mean square over the plan's shots), 1 or less is good enough. `enough`: the
    promise is kept; `stop`: it is, or strike or limit say stop. `goals_m`: for each shot of the plan how near it is to be known.
    """

    state: State
    suggestions: tuple[Next, ...]
    doubt_ratio: float
    balls_to_go: int
    minutes_to_go: int
    plan: tuple[Cell, ...]
    goals_m: tuple[float, ...]
    messages: tuple[Message, ...]

    @property
    def enough(self) -> bool:
        """Whether the numbers are known as well as promised."""
        return self.state in ("enough", "strike")

    @property
    def stop(self) -> bool:
        """Whether to stop for today."""
        return self.state in ("enough", "strike", "limit")

    @property
    def endless(self) -> bool:
        """Whether balls alone never get there."""
        return self.state == "measure"


def advise(
    chart: Chart, balls: Sequence[Ball] = (), *, plan: Sequence[Cell] | None = None, limits: Limits | None = None
) -> Advice:
    """What to hit next with the `plan`'s shots (None: all of the chart), from its `balls` in the order hit.

    Without `balls` nothing is known of their order, and every block stands for itself.
    """
    limits = limits or Limits()
    places = [i for i, cell in enumerate(chart.cells) if plan is None or cell in plan]
    share, of_spread = _mishit_share(chart), _of_spread(chart)
    strike_first = of_spread == OF_SPREAD_STRIKE_FIRST
    design, goals = _design(chart, places, of_spread)
    had = np.array([chart.cells[i].balls for i in places])
    least = np.where((had > 0) | (plan is not None), had, LEAST_BALLS)  # shots that nobody planned need not be hit
    needs = design.needs(least, MOST_BALLS)
    spent = sum(ball.count for ball in balls) or int(had.sum())
    ratio = design.ratio()
    state = _state(chart, design, needs, strike_first, spent >= limits.most)
    cells = tuple(chart.cells[i] for i in places)
    left = limits.most - spent
    blocks = _blocks(cells, design, needs, _visits(cells, balls), left if left > 0 else MOST_BALLS)
    to_go = 0 if state in ("enough", "strike") else _to_go(needs, int(np.maximum(LEAST_BALLS - least, 0).sum()), ratio)
    advice = Advice(
        state=state,
        suggestions=blocks,
        doubt_ratio=ratio,
        balls_to_go=to_go,
        minutes_to_go=_minutes(cells, needs, to_go) if to_go else 0,
        plan=cells,
        goals_m=tuple(goals),
        messages=(),
    )
    return _said(advice, chart, balls, share, limits, spent)


def after_a_move(advice: Advice) -> Advice:
    """The same advice where the newest day went against the days before: the numbers lie between the two, however many balls they
    rest on, so it is not enough. Another day with every shot tells form from a change."""
    to_go = max(advice.balls_to_go, LEAST_BALLS * len(advice.plan))
    told = [Message("advice.moved", balls=to_go)]
    for one in advice.messages:
        if one.code == "advice.strike_enough":
            told.append(Message("advice.strike", **one.values))
        elif one.code not in _OF_ONE_DAY:
            told.append(one)
    if advice.suggestions and not any(one.code == "advice.next" for one in told):
        told.append(_next_message(advice.suggestions[0]))
    minutes = max(advice.minutes_to_go, round(to_go * SECONDS_A_BALL / 60))
    return replace(advice, state="moved", balls_to_go=to_go, minutes_to_go=minutes, messages=tuple(told))


_OF_ONE_DAY: Final = frozenset(
    (
        "advice.enough",
        "advice.less_sure",
        "advice.to_go",
        "advice.to_go_beyond",
        "advice.limit",
        "advice.limit_child",
        "advice.another_time",
    )
)
"""What is no longer said of a chart that moved: that it is enough, or how far it is if nothing changes."""


def less_sure(chart: Chart) -> Shots:
    """The shots (club and swing) whose number is known less well than the goal that ends a session: what a "?" says on card, chart and
    keys. A chart may be good enough, taken together, while some of its shots are less sure."""
    goals = goals_m(chart, _of_spread(chart))
    return frozenset((c.club, c.swing) for c, goal in zip(chart.cells, goals, strict=True) if c.stock90_m.half > goal)


def after_one_more(chart: Chart) -> tuple[float, ...]:
    """For each cell, in the order of `chart.cells`: half of the 90 % range (m) of its stock carry after one more ball with it."""
    design, _goals = _design(chart, list(range(len(chart.cells))), OF_SPREAD)
    return tuple(float(design.after(i)[i]) * cell.stock_carry_m for i, cell in enumerate(chart.cells))


def _design(chart: Chart, places: Sequence[int], of_spread: float) -> tuple[Design, list[float]]:
    shared = chart.shared_sd[places]
    draws = chart.draws_log_carry[:, places]
    covariance = np.atleast_2d(np.cov(draws, rowvar=False)) - np.outer(shared, shared)
    covariance += np.diag(np.maximum(1e-8 - np.diagonal(covariance), 0.0))
    spread2 = np.exp(2 * chart.draws_log_sd[:, places]).mean(axis=0)
    good = 1 - chart.draws_mishit_rate[:, places].mean(axis=0)
    every, aimed = goals_m(chart, of_spread), goals_m(chart, AIMED * of_spread)
    goals = [every[i] for i in places]
    relative = np.array([aimed[i] / chart.cells[i].stock_carry_m for i in places])
    return Design(covariance, tail_cost(chart.tail_df) * spread2 / good, relative, shared), goals


def _mishit_share(chart: Chart) -> float | None:
    """The player's share of mishits; None where too few balls were seen one by one."""
    seen = sum(cell.balls for cell in chart.cells if cell.balls == cell.readings)
    return pooled_share(chart) if seen >= JUDGED_BALLS else None


def _of_spread(chart: Chart) -> float:
    """The share of the player's own spread that the goal is: looser where the strike comes first."""
    share = _mishit_share(chart)
    return OF_SPREAD_STRIKE_FIRST if share is not None and share > MANY_MISHITS else OF_SPREAD


def _state(chart: Chart, design: Design, needs: NDArray[np.intp], strike_first: bool, spent: bool) -> State:
    if spent and needs.sum():
        return "limit"
    if chart.checks:
        return "limit" if spent else "check"
    if design.floor() > 1.0:
        return "measure"
    if not needs.sum():
        return "strike" if strike_first else "enough"
    return "hit"


@dataclass(frozen=True, slots=True)
class _Visits:
    """How often each shot was turned to, which was hit last (None: nothing is known of the order), and how many of it in a row."""

    times: tuple[int, ...]
    last: int | None
    run: int


def _visits(cells: Sequence[Cell], balls: Sequence[Ball]) -> _Visits:
    place = {shot_key(c.club, c.swing, c.loft_deg): i for i, c in enumerate(cells)}
    times, last, before, run = [0] * len(cells), None, None, 0
    for ball in sorted(balls, key=lambda one: (one.day, one.number)):
        shot = ball.shot
        last = place.get(shot, last)
        run = run + ball.count if shot == before else ball.count
        if shot != before and shot in place:
            times[place[shot]] += 1
        before = shot
    return _Visits(tuple(times), last, run)


def _blocks(
    cells: Sequence[Cell], design: Design, needs: NDArray[np.intp], visits: _Visits, most: int
) -> tuple[Next, ...]:
    """The first block and two others, each of another shot, none of more than the `most` balls that are left of today's."""
    wanted = [i for i in range(len(cells)) if needs[i]] or list(range(len(cells)))
    gains = design.gains(BLOCK)
    chosen = visits.last
    if chosen is None or _left(len(cells), int(needs[chosen]), visits.times[chosen], visits.run) <= 0:
        first = [i for i in wanted if cells[i].balls < LEAST_BALLS]
        among = first or [i for i in wanted if i != visits.last] or wanted
        chosen = _with_club(cells, among, gains, visits.last, bool(first))
    others = sorted((i for i in wanted if i != chosen), key=lambda i: -gains[i])
    return tuple(_block(cells, design, i, needs, visits, most) for i in (chosen, *others[: SHOWN - 1]))


def _left(shots: int, need: int, visits: int, run: int) -> int:
    """Balls that are left of a block with a shot, `run` of it hit in a row. Where there are many shots the first block is short, so
    that there is time to come back to each."""
    first = LEAST_BALLS if shots > MANY_SHOTS else BLOCK
    return min((first if visits <= 1 else BLOCK) - run, need)


def _with_club(cells: Sequence[Cell], among: Sequence[int], gains: Floats, last: int | None, first_round: bool) -> int:
    """The shot that takes most away, or the best one with the club in hand where that is nearly as good."""
    best = max(among, key=lambda i: gains[i])
    if last is None:
        return int(best)
    mine = [i for i in among if cells[i].club == cells[last].club]
    if not mine:
        return int(best)
    own = max(mine, key=lambda i: float(gains[i]))
    chosen = own if first_round or gains[own] >= STAY * gains[best] else best
    return int(chosen)


def _block(cells: Sequence[Cell], design: Design, i: int, needs: NDArray[np.intp], visits: _Visits, most: int) -> Next:
    cell = cells[i]
    run, visits_so_far = (visits.run, visits.times[i]) if i == visits.last else (0, visits.times[i] + 1)
    balls = min(most, max(1 if run else 2, _left(len(cells), int(needs[i]), visits_so_far, run)))
    return Next(
        cell=cell,
        balls=balls,
        why=_why(cell, design, i, visits.times[i]),
        halfwidth_now_m=float(design.halves()[i]) * cell.stock_carry_m,
        expected_halfwidth_after_m=float(design.after(i)[i]) * cell.stock_carry_m,
        halfwidth_after_block_m=float(design.after(i, balls)[i]) * cell.stock_carry_m,
    )


def _why(cell: Cell, design: Design, i: int, visits: int) -> Message:
    if cell.balls == 0:
        return Message("advice.never_hit")
    if cell.as_hit:
        return Message("advice.disagrees")
    if cell.balls < LEAST_BALLS:
        return Message("advice.few", balls=cell.balls)
    if visits == 1:
        return Message("advice.come_back")
    if design.halves()[i] > design.goal[i]:
        return Message("advice.least_sure", balls=cell.balls)
    return Message("advice.steadies")


def _to_go(needs: NDArray[np.intp], least: int, ratio: float) -> int:
    """Balls until it is good enough, never fewer than the `least` that each shot takes anyway."""
    total, (times, power) = int(needs.sum()), SETTLES
    if ratio <= 1.0 or total >= MOST_BALLS:
        return total
    shrunk: float = total / (times * ratio**power)
    return max(least, 1, round(shrunk))


def _minutes(cells: Sequence[Cell], needs: NDArray[np.intp], balls: int) -> int:
    clubs = len({cell.club for cell, need in zip(cells, needs, strict=True) if need})
    return max(1, round((balls * SECONDS_A_BALL + clubs * CHANGE_S) / 60))


def _said(
    advice: Advice, chart: Chart, balls: Sequence[Ball], share: float | None, limits: Limits, spent: int
) -> Advice:
    told: list[Message] = []
    if share is not None and share > MANY_MISHITS:
        told.append(Message("advice.strike_enough" if advice.enough else "advice.strike", mishit_one_in=share))
    if advice.enough:
        told += [Message("advice.enough", promise_m=PROMISE_M)] if advice.state == "enough" else []
        told += _less_sure_told(chart)
    elif advice.state == "limit":
        told.append(Message("advice.limit_child" if limits.child else "advice.limit", balls=spent))
        if advice.balls_to_go:
            told.append(Message("advice.another_time", balls=advice.balls_to_go))
    elif advice.state == "measure":
        paced = any(ball.measured_by is MeasuredBy.PACES for ball in balls)
        told.append(Message("advice.measure_paces" if paced else "advice.measure"))
    else:
        told += list(chart.checks)
        told.append(_next_message(advice.suggestions[0]))
        if advice.balls_to_go:
            code = "advice.to_go" if advice.balls_to_go <= limits.most - spent else "advice.to_go_beyond"
            told.append(Message(code, balls=advice.balls_to_go, minutes=advice.minutes_to_go, most=limits.most))
    return replace(advice, messages=tuple(told))


def _less_sure_told(chart: Chart) -> list[Message]:
    """How many shots bear a "?", where the chart as a whole is good enough."""
    shots = len(less_sure(chart))
    return [Message("advice.less_sure", shots=shots)] if shots else []


def _next_message(block: Next) -> Message:
    shot = f"{block.cell.club} {block.cell.swing}".strip()
    return Message(
        "advice.next",
        balls=block.balls,
        shot=shot,
        why=block.why,
        now_m=block.halfwidth_now_m,
        after_m=block.halfwidth_after_block_m,
    )
