"""Second look at the columns of a table with a row a ball: what was left out, signs, units, marks and remarks."""

import re
from collections.abc import Iterator
from typing import Final

import numpy as np
from numpy.typing import NDArray

from threequarter.golf.message import Message
from threequarter.intake.tables.column import Column
from threequarter.intake.tables.context import Context, Doubt, Part
from threequarter.intake.tables.decide import SAID
from threequarter.intake.tables.decode import fold
from threequarter.intake.tables.evidence import as_carry, beside, both, correlation, shots_spread
from threequarter.intake.tables.labels import Labels
from threequarter.intake.tables.layout import Layout
from threequarter.intake.tables.left_over import PROVED
from threequarter.intake.tables.look_remarks import known
from threequarter.intake.tables.numbers import tidy
from threequarter.intake.tables.questions import shown
from threequarter.intake.tables.unit_lines import unit_told
from threequarter.intake.tables.units import unit_of
from threequarter.intake.tables.vocabulary import words_of

EXPLAINS: Final = 0.5
"""A label that was not used and leaves less than this of the spread within shots is more than a remark."""
LEAST_ROWS: Final = 8
NEAR_THE_LINE: Final = 0.3
"""Spread of distances off the line, without their sign, as a share of their mean: three quarters where they lie about it."""


def carry_of(layout: Layout) -> Column | None:
    """The column of the carry, with what its cells show."""
    named = layout.first("carry") or layout.first("pile")
    return next((c for c in layout.evidence if named and c.at == named.at), None)


def read_places(layout: Layout) -> set[int]:
    """The columns that are read."""
    places = {named.at for several in layout.columns.values() for named in several}
    return places | ({layout.side_column} if layout.side_column is not None else set())


def shots_of(layout: Layout, *more: Column) -> NDArray[np.int64]:
    """A number for each row's shot by club, swing and player, and by more columns."""
    places = [c.at for role in ("club", "swing", "shot_label", "player") for c in layout.columns.get(role, [])]
    columns = [c for c in layout.evidence if c.at in places] + list(more)
    keys: dict[tuple[str, ...], int] = {}
    last: dict[int, str] = {}
    found = []
    for i in range(len(layout.evidence[0].cells)):
        for c in columns:
            if c.cells[i]:
                last[c.at] = fold(c.cells[i])
        key = tuple(last.get(c.at, "") for c in columns)
        found.append(keys.setdefault(key, len(keys)))
    return np.array(found, dtype=np.int64)


def _unread(layout: Layout) -> Iterator[tuple[Column, str | None]]:
    asked = {at for places in layout.decision.asked.values() for at in places}
    read = read_places(layout)
    for column in layout.evidence:
        if column.filled and column.at not in read and column.at not in asked:
            yield column, layout.decision.ignored.get(column.at)


def labels_left_out(context: Context, part: Part) -> Doubt | None:
    """A column of labels that was not read, or only as a remark, and yet tells which balls went far."""
    layout, carry = part.layout, carry_of(part.layout) if part.layout else None
    if layout is None or carry is None or carry.numbers.size < LEAST_ROWS:
        return None
    notes = {named.at for named in layout.columns.get("note", [])}
    told = [(c, why) for c, why in _unread(layout) if why != "said"]
    told += [(c, None) for c in layout.evidence if c.at in notes]
    for column, why in told:
        labels = Labels(column=column)
        if why in PROVED - {"constant"} or not labels.grouped or labels.coverage < 0.5 or labels.remarks > 0.2:
            continue
        if column.numeric and (not column.whole or max(column.words.roles.values(), default=0.0) >= SAID):
            continue
        if column.words.best in ("club", "target", "total", "loft", "condition") and why == column.words.best:
            continue
        round_ = column.numeric and bool(np.all(column.numbers % 5 == 0))
        if round_ and layout.first("swing") and beside(column, "target", carry) > 0:
            continue  # round and as far as the carries: what was aimed at
        if _explains(layout, carry, column):
            return Doubt("swing", Message("intake.look.label", column=shown(layout, column.at)))
    return None


def _explains(layout: Layout, carry: Column, column: Column) -> bool:
    """Whether the spread within shots falls far more than by chance where shots are shared out by a column as well."""
    one, two = shots_of(layout), shots_of(layout, column)
    held = np.isfinite(carry.values)
    n, groups_one, groups_two = int(held.sum()), len(set(one[held].tolist())), len(set(two[held].tolist()))
    if groups_two <= groups_one or n - groups_two < 6:
        return False
    before, after = shots_spread(carry, one), shots_spread(carry, two)
    if before <= 0 or after > EXPLAINS * before:
        return False
    ratio = ((before - after) / (groups_two - groups_one)) / max(after / (n - groups_two), 1e-12)
    return ratio > 8


def numbers_left_out(context: Context, part: Part) -> Doubt | None:
    """A column of numbers that nothing explains, and that could be the carry, or how far off the line a ball was."""
    layout, carry = part.layout, carry_of(part.layout) if part.layout else None
    if layout is None or carry is None:
        return None
    sided = layout.first("offline") is not None or "offline" in layout.decision.asked
    for column, why in _unread(layout):
        by_words = why is not None and column.words.roles.get(why, 0.0) >= SAID
        if not column.numeric or column.running or column.filled < 4 or why in PROVED or by_words:
            continue
        x, c = both(column, carry)
        if x.size < 4:
            continue
        ratio = float(np.median(np.abs(x) / np.maximum(c, 1e-9)))
        several = len(set(x.tolist())) > 0.3 * x.size
        if why != "total" and several and 0.6 < ratio < 1.7 and as_carry(column) > -3 and correlation(x, c) > 0.5:
            return Doubt("carry", Message("intake.look.carry", column=shown(layout, column.at)))
        small = ratio < 0.25 and several and (column.unit is None or column.unit[0] == "length")
        if small and not sided and (column.step < 1 or bool(np.any(x < 0))) and beside(column, "offline", carry) > -3:
            return Doubt("offline", Message("intake.look.side", column=shown(layout, column.at)))
    return None


def unit_by_another(context: Context, part: Part) -> Doubt | None:
    """A carry whose heading holds a word in brackets, where its unit stands, that is none of the known units."""
    layout = part.layout
    named = (layout.first("carry") or layout.first("pile")) if layout else None
    if layout is None or named is None or layout.unit(named) is not None or context.options.unit:
        return None
    carry = carry_of(layout)
    told = re.findall(r"[(\[{]\s*([^\W\d]+)\.?\s*[)\]}]", named.heading)
    if (
        carry is not None
        and not carry.cell_units
        and any(not words_of(word).roles and not unit_of(word) for word in told)
    ):
        return Doubt("unit", Message("intake.look.unit_word", heading=named.heading), "--unit", ("yd", "m", "ft"))
    return None


def unit_against_lines(context: Context, part: Part) -> Doubt | None:
    """A carry whose heading names one unit below a line that names another for all distances."""
    layout = part.layout
    named = (layout.first("carry") or layout.first("pile")) if layout else None
    unit = layout.unit(named) if layout and named else None
    if layout is None or named is None or unit is None or context.options.unit or named.at in layout.said_units:
        return None
    carry = carry_of(layout)
    if carry is not None and any(abs(told - unit) > 1e-6 for told in carry.cell_units):
        return Doubt("unit", Message("intake.look.cell_units", column=shown(layout, carry.at)))
    for row in part.sheet.rows[: max(layout.block.first, 0)]:
        line = " ".join(row.filled)
        told = unit_told(line) if len(row.filled) <= 2 else None
        if told and abs(told - unit) > 1e-6:
            return Doubt("unit", Message("intake.look.two_units", heading=named.heading, text=line[:60]))
    return None


def rest_for_carry(context: Context, part: Part) -> Doubt | None:
    """A "distance" beside the run, or below a line that speaks of totals: it may be where the ball came to rest."""
    layout, carry = part.layout, carry_of(part.layout) if part.layout else None
    if layout is None or carry is None or carry.words.best != "distance" or "carry" in context.options.columns:
        return None
    rolls = any(c.words.best == "roll" and c.numeric for c in layout.evidence)
    totals = any(c.words.best == "total" and c.numeric for c in layout.evidence)
    lines = [" ".join(row.filled) for row in part.sheet.rows[: max(layout.block.first, 0)] if len(row.filled) <= 2]
    said = any({"total", "roll"} & words_of(line).roles.keys() for line in lines)
    if (rolls or said) and not totals:
        return Doubt("carry", Message("intake.look.rest", column=shown(layout, carry.at)))
    return None


def unit_by_speed(context: Context, part: Part) -> Doubt | None:
    """Ball speeds, or the size of the carries, that do not go with the unit of the carries."""
    far = sorted(draft.ball.distance_m for draft in part.drafts if draft.ball.use)
    if len(far) < 6 or context.options.unit or part.drafts[0].unit_unknown:
        return None
    fast = sorted(
        d.ball.ball_speed_mps / (26.3 * (d.ball.distance_m / 50) ** 0.48)
        for d in part.drafts
        if d.ball.use and d.ball.ball_speed_mps and d.ball.distance_m > 5
    )
    middle = far[len(far) // 2]
    if (len(fast) >= 6 and not 0.72 < fast[len(fast) // 2] < 1.4) or not 9 < middle < 260:
        return Doubt("unit", Message("intake.look.unit", carry=round(middle, 1)))
    return None


def side_without_sign(context: Context, part: Part) -> Doubt | None:
    """Distances off the line that are all on one side: more likely they bear no sign."""
    layout = part.layout
    named = layout.first("offline") if layout else None
    if layout is None or named is None or layout.side_column is not None or context.options.right:
        return None
    column = next(c for c in layout.evidence if c.at == named.at)
    told = np.array([d.ball.offline_m for d in context.drafts if d.ball.offline_m is not None])
    one_sided = told.size >= LEAST_ROWS and (np.all(told >= 0) or np.all(told <= 0))
    x = np.abs(column.numbers)
    if one_sided and column.sides == 0 and not layout.side_words and np.std(x) > NEAR_THE_LINE * np.mean(x):
        return Doubt("offline", Message("intake.look.no_sign", column=shown(layout, column.at)))
    return None


def marks_unknown(context: Context, part: Part) -> Doubt | None:
    """A column that says which balls count, in words that are not known."""
    layout = part.layout
    for role in ("use", "drop"):
        named = layout.first(role) if layout else None
        if layout is None or named is None:
            continue
        texts = {fold(tidy(cell)).strip(".") for cell in layout.evidence_cells(named.at) if cell}
        unknown = [t for t in texts if not known(t)]
        everywhere = all(layout.evidence_cells(named.at))  # a yes and a no, not a reason here and there
        if unknown and len(texts) > 1 and (role == "use" or everywhere):
            return Doubt("rows", Message("intake.look.marks", column=shown(layout, named.at)))
    return None
