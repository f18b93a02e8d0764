"""Second look at the balls of a file as a whole: the same ones twice, means among them, labels missing, golf upside down."""

from collections import Counter
from collections.abc import Sequence
from math import comb
from statistics import mean, median, pstdev
from typing import Final

import numpy as np

from threequarter.golf.ball import Ball
from threequarter.golf.message import Message
from threequarter.intake.tables.checks import golf_doubts
from threequarter.intake.tables.context import Context, Doubt, Part
from threequarter.intake.tables.evidence import correlation
from threequarter.intake.tables.means import once_each
from threequarter.intake.tables.sheets import Sheet

OVERLAP: Final = 0.9
LEAST_SAME: Final = 6
MOST_PARTS: Final = 40
"""Tables of a file that are held against each other."""
TOGETHER: Final = 0.95
"""Correlation of two tables' balls within their shots from which on they are the same balls."""
ONE_SWING: Final = 0.15
"""Spread of a club's balls, as a share of their mean, above which they were hardly hit with one swing."""
BY_CHANCE: Final = 1e-3
"""Likelihood below which numbers that equal the means of others are no chance."""
FEW_BLANK: Final = 0.2
"""Share of rows without a label up to which the label is meant to stand in every row."""


def _balls(part: Part) -> list[Ball]:
    return [draft.ball for draft in part.drafts]


def _named(part: Part) -> str:
    return part.sheet.name or "–"


def _names(one: Part, two: Part) -> dict[str, str]:
    return {"one": _named(one), "two": _named(two)}


def _which(one: Part, two: Part, text: Message) -> Doubt:
    """Asks which of two sheets is to be read; of two tables of one sheet, whether both are."""
    names = tuple(name for part in (one, two) if (name := part.sheet.name))
    return Doubt("sheet", text, "--sheet", names) if len(set(names)) == 2 else Doubt("sheet", text)


def twice(context: Context, sheets: list[Sheet]) -> Doubt | None:
    """Two tables of a file of which one holds the balls of the other once more."""
    if context.options.sheet:
        return None
    held = [(part, [round(b.distance_m, 3) for b in _balls(part)]) for part in context.parts if part.drafts][
        :MOST_PARTS
    ]
    for i, (one, first) in enumerate(held):
        for two, second in held[i + 1 :]:
            short, long = sorted((first, second), key=len)
            if len(short) < LEAST_SAME or len(set(short)) < 0.5 * len(short):
                continue
            same = sum((Counter(short) & Counter(long)).values())
            if _moved(_balls(one), _balls(two)):
                return _which(one, two, Message("intake.look.moved", **_names(one, two), count=len(short)))
            if same < OVERLAP * len(short):
                continue
            sharp = any(abs(far / unit - round(far / unit)) > 0.01 for unit in [one.drafts[0].unit_m] for far in short)
            if sharp or _in_order(short, long):
                return _which(one, two, Message("intake.look.twice", **_names(one, two), count=same))
    return None


def _moved(one: Sequence[Ball], two: Sequence[Ball]) -> bool:
    """Whether two tables hold the same shots in the same order, with carries (or sides) that go together: one is the other put
    right, or in another unit."""
    if len(one) != len(two) or [b.shot for b in one] != [b.shot for b in two]:
        return False
    sides = [(a.offline_m, b.offline_m) for a, b in zip(one, two, strict=True)]
    told = [pair for pair in sides if None not in pair]
    if (
        len(told) >= LEAST_SAME
        and len(set(told)) > 3
        and all(abs(a - b) < 0.02 for a, b in told if a is not None and b is not None)
    ):
        return True
    groups: dict[tuple[str, str], int] = {}
    shots = [groups.setdefault(b.shot, len(groups)) for b in one]
    left = [_from_the_middle([b.distance_m for b in balls], shots) for balls in (one, two)]
    if min(map(pstdev, left)) < 1e-6:
        return False
    return correlation(np.array(left[0]), np.array(left[1])) > TOGETHER


def _from_the_middle(far: Sequence[float], shots: Sequence[int]) -> list[float]:
    """How far each ball went from the mean of its shot."""
    middles = {k: mean(x for x, shot in zip(far, shots, strict=True) if shot == k) for k in set(shots)}
    return [x - middles[k] for x, k in zip(far, shots, strict=True)]


def _in_order(short: Sequence[float], long: Sequence[float]) -> bool:
    """Whether all of the shorter follow in the longer without a gap."""
    return any(list(long[i : i + len(short)]) == list(short) for i in range(len(long) - len(short) + 1))


def means_beside(context: Context, sheets: list[Sheet]) -> Doubt | None:
    """A table of a file with one number for each shot, where another holds several balls of them."""
    if context.options.each:
        return None
    parts = [part for part in context.parts if len(part.drafts) > 1]
    for part in parts:
        mine = _balls(part)
        others = [b for other in parts if other is not part for b in _balls(other)]
        if not once_each(mine) or len({b.shot for b in mine}) < 2:
            continue
        again = Counter(b.shot for b in others)
        if sum(again[b.shot] >= 3 for b in mine) >= 0.6 * len(mine):
            return Doubt("rows", Message("intake.look.means_beside", sheet=_named(part), count=len(mine)))
    return None


def means_among_balls(context: Context, part: Part) -> Doubt | None:
    """Each shot's last (or first) number is the mean of its others."""
    if context.options.each:
        return None
    runs: list[list[Ball]] = []
    for ball in _balls(part):
        if runs and (runs[-1][0].player, runs[-1][0].shot) == (ball.player, ball.shot):
            runs[-1].append(ball)
        else:
            runs.append([ball])
    unit = part.drafts[0].unit_m
    return _means_in([[b.distance_m / unit for b in run] for run in runs if len(run) >= 4], 0.8)


def means_of_shots(context: Context, sheets: list[Sheet]) -> Doubt | None:
    """The last (or first) number of most shots is the mean of the others, wherever they stand in the file."""
    if context.options.each:
        return None
    shots: dict[tuple[str | None, str, str], list[float]] = {}
    for draft in context.drafts:
        ball = draft.ball
        shots.setdefault((ball.player, *ball.shot), []).append(ball.distance_m / draft.unit_m)
    return _means_in([far for far in shots.values() if len(far) >= 4], 0.6)


def _means_in(told: Sequence[Sequence[float]], most: float) -> Doubt | None:
    if len(told) < 2:
        return None
    step = next((10.0**-d for d in range(3) if all(abs(x - round(x, d)) < 1e-6 for run in told for x in run)), 0.001)
    chance = mean(min(1.0, 1.02 * step / (2.5 * max(pstdev(run), 1e-9))) for run in told)
    for at, rest in ((-1, slice(None, -1)), (0, slice(1, None))):
        fits = sum(abs(run[at] - mean(run[rest])) <= 0.51 * step + 1e-9 for run in told)
        if fits > most * len(told) and comb(len(told), fits) * chance**fits < BY_CHANCE:
            return Doubt("rows", Message("intake.look.means_among", count=fits))
    return None


def labels_missing(context: Context, part: Part) -> Doubt | None:
    """Rows that leave a label blank which all other rows hold: a sum, a mean, or a ball of another shot."""
    if part.layout is None or context.options.each:
        return None
    rows = {row.number: row for row in part.sheet.rows}
    numbers = [d.ball.place.row for d in part.drafts if d.ball.place and d.ball.place.row in rows]
    if part.sheet.turned or len(numbers) < LEAST_SAME:
        return None
    for role in ("club", "swing", "shot_label"):
        named = part.layout.first(role)
        if named is None:
            continue
        blank = [n for n in numbers if n and not "".join(rows[n].cells[named.at : named.at + 1]).strip()]
        if 0 < len(blank) <= FEW_BLANK * len(numbers):
            return Doubt(
                "rows", Message("intake.look.blank", row=blank[0], heading=named.heading or "–", count=len(blank))
            )
    return None


def unlabelled(context: Context, sheets: list[Sheet]) -> Doubt | None:
    """Balls without a club, a swing or a player, where others of the file have one."""
    balls = [draft.ball for draft in context.drafts if draft.ball.use]
    for role in ("club", "swing", "player"):
        without = [ball for ball in balls if not getattr(ball, role)]
        if without and len(without) < len(balls) and not getattr(context.options, role):
            row = without[0].place.row if without[0].place else without[0].number
            return Doubt(role, Message(f"intake.look.no_{role}", count=len(without), row=row))
    return None


def no_swing(context: Context, sheets: list[Sheet]) -> Doubt | None:
    """No swing is told of any ball, and the balls of a club differ more than those of one swing."""
    balls = [draft.ball for draft in context.drafts if draft.ball.use]
    if context.options.swing or any(ball.swing for ball in balls):
        return None
    clubs: dict[tuple[str | None, str], list[float]] = {}
    for ball in balls:
        clubs.setdefault((ball.player, ball.club), []).append(ball.distance_m)
    spreads = [pstdev(far) / mean(far) for far in clubs.values() if len(far) >= LEAST_SAME]
    if spreads and median(spreads) > ONE_SWING:
        return Doubt("swing", Message("intake.look.no_swings", percent=round(100 * median(spreads))))
    return None


def against_golf(context: Context, sheets: list[Sheet]) -> Doubt | None:
    """Balls that turn golf upside down: more loft goes further, a longer swing goes less far, one shot goes anywhere."""
    found = golf_doubts([draft.ball for draft in context.drafts])
    return Doubt(*found) if found else None
