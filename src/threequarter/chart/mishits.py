"""Mishits as far as the balls go: what was noted apart from what is inferred, by shot, and shares that add up."""

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from threequarter.chart.result import Cell, Chart, Interval, Verdict
from threequarter.golf.ball import Ball, Strike, shot_key
from threequarter.golf.message import Message

KINDS: Final = ("fat", "thin", "toe")
NOTED: Final = tuple(strike.value for strike in Strike if strike is not Strike.GOOD)
STANDS_OUT: Final = 2.0
"""A shot is named where so many times more of its balls are mishits than of the others', and three at least."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ShotMishits:
    """The mishits of one shot: balls seen one by one, what was noted, and what is called of the others by its likeliest kind."""

    cell: Cell
    balls: int
    noted: Mapping[str, int]
    inferred: Mapping[str, int]
    doubtful: int

    @property
    def mishits(self) -> int:
        """Noted or called; heavy strikes are usable and not among them."""
        return sum(n for kind, n in self.noted.items() if kind != Strike.HEAVY) + sum(self.inferred.values())


@dataclass(frozen=True, slots=True, kw_only=True)
class Mishits:
    """Counts that add up: `read` = `charted` + `unused`; of the charted `seen` one by one, the others in piles. `share` is what is to be
    expected of all balls, with its range; None where only piles were read, from which nobody can tell."""

    read: int
    charted: int
    unused: int
    seen: int
    by_shot: tuple[ShotMishits, ...]
    share: float | None
    share90: Interval | None

    @property
    def noted(self) -> Mapping[str, int]:
        """All that was noted, by strike."""
        return _sum(one.noted for one in self.by_shot)

    @property
    def inferred(self) -> Mapping[str, int]:
        """All that is called from distance, side, launch or spin, by kind."""
        return _sum(one.inferred for one in self.by_shot)

    @property
    def called(self) -> int:
        """Mishits, noted or called."""
        return sum(one.mishits for one in self.by_shot)

    @property
    def doubtful(self) -> int:
        """Balls that may be mishits, and are not called."""
        return sum(one.doubtful for one in self.by_shot)


def mishits(chart: Chart, balls: Sequence[Ball]) -> Mishits:
    """Counts the mishits of a chart; `balls` are all that were read, those not used among them."""
    verdicts = {verdict.number: verdict for verdict in chart.verdicts}
    shots: dict[tuple[str, str], list[Verdict]] = {}
    read = charted = seen = 0
    for ball in balls:
        read += ball.count
        verdict = verdicts.get(ball.number)
        if not ball.use or verdict is None:
            continue
        charted += ball.count
        if ball.count == 1:
            seen += 1
            shots.setdefault(ball.shot, []).append(verdict)
    rows = [(cell, shots.get(shot_key(cell.club, cell.swing, cell.loft_deg))) for cell in chart.cells]
    by_shot = tuple(_shot(cell, found) for cell, found in rows if found)
    share, share90 = _share(chart, by_shot)
    return Mishits(
        read=read, charted=charted, unused=read - charted, seen=seen, by_shot=by_shot, share=share, share90=share90
    )


def _shot(cell: Cell, verdicts: Sequence[Verdict]) -> ShotMishits:
    noted = Counter(v.noted for v in verdicts if v.noted in NOTED)
    open_ones = [v for v in verdicts if v.noted is None]
    inferred = Counter(likeliest(v) for v in open_ones if v.sign == "called")
    return ShotMishits(
        cell=cell,
        balls=len(verdicts),
        noted={str(k): n for k, n in noted.items()},
        inferred=dict(inferred),
        doubtful=sum(v.sign == "doubtful" for v in open_ones),
    )


def likeliest(verdict: Verdict) -> str:
    """The likeliest kind of mishit of a ball."""
    return max(KINDS, key=lambda kind: float(getattr(verdict, kind)))


def pooled_share(chart: Chart) -> float | None:
    """The player's share of mishits over the shots whose balls were seen one by one, by how many there were; None where there are
    only piles, from which nobody can tell."""
    seen = np.array([cell.balls if cell.balls == cell.readings else 0 for cell in chart.cells], dtype=float)
    if not seen.sum():
        return None
    return float(chart.draws_mishit_rate.mean(axis=0) @ (seen / seen.sum()))


def counted(chart: Chart) -> tuple[int, int]:
    """Mishits, noted or called, and of how many balls that were seen one by one, where the chart alone is at hand."""
    seen = sum(cell.balls for cell in chart.cells if cell.balls == cell.readings)
    return sum(verdict.mishit for verdict in chart.verdicts), seen


def _share(chart: Chart, by_shot: Sequence[ShotMishits]) -> tuple[float | None, Interval | None]:
    if not by_shot:
        return None, None
    weight = np.array(
        [next((one.balls for one in by_shot if one.cell is cell), 0) for cell in chart.cells], dtype=float
    )
    draws = chart.draws_mishit_rate @ (weight / weight.sum())
    low, high = np.quantile(draws, [0.05, 0.95]).tolist()
    return float(draws.mean()), Interval(low, high)


def _sum(parts: Iterable[Mapping[str, int]]) -> Mapping[str, int]:
    total: Counter[str] = Counter()
    for part in parts:
        total.update(part)
    return dict(total)


def told(found: Mishits) -> tuple[Message, ...]:
    """The counts in lines: of how many, what was noted, what is called, with which shot."""
    lines = []
    if found.unused:
        lines.append(Message("mishits.read", read=found.read, charted=found.charted, unused=found.unused))
    if found.share is None or found.share90 is None:
        lines.append(Message("mishits.piles"))
        return tuple(lines)
    lines.append(
        Message(
            "mishits.share",
            called=found.called,
            seen=found.seen,
            called_share=found.called / found.seen,
            mishit_share=found.share,
            low_share=found.share90.low,
            high_share=found.share90.high,
        )
    )
    if found.noted:
        lines.append(Message("mishits.noted", kinds=_kinds(found.noted)))
    if found.inferred:
        lines.append(Message("mishits.called", kinds=_kinds(found.inferred)))
    if found.doubtful:
        lines.append(Message("mishits.doubtful", doubtful=found.doubtful))
    worst = _stands_out(found)
    if worst is not None:
        shot = f"{worst.cell.club} {worst.cell.swing}".strip()
        lines.append(Message("mishits.most_with", shot=shot, mishits=worst.mishits, balls=worst.balls))
    return tuple(lines)


def _kinds(counts: Mapping[str, int]) -> tuple[Message, ...]:
    order = sorted(counts, key=lambda kind: -counts[kind])
    return tuple(Message(f"mishits.{kind}", number=counts[kind]) for kind in order)


def _stands_out(found: Mishits) -> ShotMishits | None:
    if len(found.by_shot) < 2:
        return None
    worst = max(found.by_shot, key=lambda one: one.mishits / one.balls)
    others, balls = found.called - worst.mishits, found.seen - worst.balls
    if worst.mishits < 3 or not balls or worst.mishits / worst.balls < STANDS_OUT * others / balls:
        return None
    return worst
