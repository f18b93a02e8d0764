"""What was found of a table's columns, told: which is read as what, from which heading, in which unit."""

from collections.abc import Container, Mapping
from typing import Final, Literal

from threequarter.golf.message import Message
from threequarter.golf.units import FOOT_M, INCH_M, YARD_M
from threequarter.intake.reading import ColumnSeen
from threequarter.intake.tables.column import Column
from threequarter.intake.tables.context import Context
from threequarter.intake.tables.decide import Decision
from threequarter.intake.tables.decode import fold
from threequarter.intake.tables.layout import Layout
from threequarter.intake.tables.questions import not_used
from threequarter.intake.tables.sheets import Sheet, of_sheet

_UNITS: Final = {YARD_M: "yd", 1.0: "m", FOOT_M: "ft", 0.01: "cm", INCH_M: "inch"}

SHOWN: Final = 6
"""Rows of a file that are shown below its headings."""
MOST_SHOWN: Final = 80
"""Columns that are shown."""
USED: Final = (
    "carry",
    "pile",
    "club",
    "swing",
    "player",
    "offline",
    "note",
    "number",
    "ball_speed",
    "launch",
    "spin",
    "loft",
    "count",
    "use",
    "drop",
)


def columns_seen(layout: Layout) -> tuple[ColumnSeen, ...]:
    """The columns of a table with the first cells below each, and what each was taken for."""
    below = [row.cells for row in layout.block.body if len(row.filled) > 1][:SHOWN]
    roles, told = _roles_used(layout), layout.decision
    asked = {at for places in told.asked.values() for at in places}
    return tuple(
        ColumnSeen(
            number=column.at + 1,
            heading=column.heading,
            role=roles.get(column.at),
            sheet=layout.block.sheet.name,
            cells=tuple(cells[column.at][:60] if column.at < len(cells) else "" for cells in below),
            verdict=_verdict(column, roles, told, asked),
            why=told.ignored.get(column.at, "") if column.at not in roles else "",
        )
        for column in layout.evidence[:MOST_SHOWN]
    )


def _verdict(
    column: Column, roles: Mapping[int, str], told: Decision, asked: Container[int]
) -> Literal["read", "ignored", "asked"]:
    """Nothing is ignored without a reason: a column that has none waits for what is asked of the others."""
    if column.at in asked:
        return "asked"
    if column.at in roles:
        return "read"
    return "asked" if any(column.cells) and not told.ignored.get(column.at) else "ignored"


def _roles_used(layout: Layout) -> dict[int, str]:
    """Which column is read as what."""
    used: dict[int, str] = {}
    for role in USED:
        columns = layout.columns.get(role, [])
        for column in columns if role in ("note", "carry", "pile") else columns[:1]:
            used.setdefault(column.at, role)
    if layout.side_column is not None:
        used.setdefault(layout.side_column, "side_word")
    if layout.combined and (both := layout.first(layout.combined)):
        used[both.at] = "shot_label"
    return used


def means_only(context: Context, layout: Layout) -> bool:
    """Whether a table holds means and no balls: then it is left."""
    if not any(c.words.best == "average" for c in layout.evidence) or len(layout.evidence) > 6:
        return False
    sheet = layout.block.sheet
    if sheet.name:
        context.plan.append(Message("intake.sheet_holds_means_only_and", name=sheet.name))
    else:
        context.plan.append(Message("intake.the_table_holds_means_only"))
    return True


def tell_columns(context: Context, sheet: Sheet, layout: Layout) -> None:
    """Adds to the plan which column is read as what, and which are not used."""
    column = layout.first("carry") or layout.first("pile")
    if column:
        unit = layout.unit(column) or context.unit_m
        said = Message(
            f"intake.from.{column.role}",
            unit=Message(f"intake.unit.{_UNITS.get(unit, 'own') if unit else 'none'}"),
            heading=column.heading,
            line=sheet.rows[max(layout.block.last, 0)].number,
        )
        context.plan.append(of_sheet(sheet, said))
    for role in ("club", "swing", "player", "offline", "ball_speed", "launch", "spin"):
        if (found := layout.first(role)) and role != layout.combined:
            context.plan.append(Message(f"intake.from.{role}", heading=found.heading))
    learned, roles = context.options.learned, layout.decision.roles
    before = [
        c.heading
        for c in layout.evidence
        if learned and roles.get(c.at) and learned.get(fold(c.heading)) == roles[c.at]
    ]
    if before:
        context.plan.append(
            of_sheet(sheet, Message("intake.as_explained_before", headings=tuple(f"“{one}”" for one in before)))
        )
    if unused := not_used(layout):
        context.plan.append(of_sheet(sheet, unused))
