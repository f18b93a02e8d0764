"""What was found of a table's columns, told: which is read as what, from which heading, in which unit."""

from typing import Final

from threequarter.golf.language import N_, _
from threequarter.intake.reading import ColumnSeen
from threequarter.intake.tables.context import Context
from threequarter.intake.tables.layout import Layout
from threequarter.intake.tables.questions import not_used
from threequarter.intake.tables.sheets import Sheet, of_sheet

UNIT_WORDS: Final = {
    0.9144: N_("yards"), 1.0: N_("metres"), 0.3048: N_("feet"), 0.01: N_("centimetres"), 0.0254: N_("inches"),
}  # fmt: skip
_FROM_COLUMN: Final = {
    "club": N_("club from column {heading!r}"), "swing": N_("swing from column {heading!r}"),
    "player": N_("player from column {heading!r}"), "offline": N_("offline from column {heading!r}"),
    "ball_speed": N_("ball speed from column {heading!r}"), "launch": N_("launch from column {heading!r}"),
    "spin": N_("spin from column {heading!r}"),
}  # fmt: skip

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
    return tuple(
        ColumnSeen(
            number=column.at + 1, heading=column.heading, role=roles.get(column.at), sheet=layout.block.sheet.name,
            cells=tuple(cells[column.at][:60] if column.at < len(cells) else "" for cells in below),
            verdict="asked" if any(column.at in places for places in told.asked.values())
            else "read" if column.at in roles else "ignored",
            why=told.ignored.get(column.at, "") if column.at not in roles else "",
        )
        for column in layout.evidence[:MOST_SHOWN]
    )  # fmt: skip


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
    text = (
        _("sheet {name!r} holds means only and is not read")
        if sheet.name
        else _("the table holds means only and is not read")
    )
    context.plan.append(text.format(name=sheet.name))
    return True


def tell_columns(context: Context, sheet: Sheet, layout: Layout) -> None:
    column = layout.first("carry") or layout.first("pile")
    if column:
        unit = layout.unit(column) or context.unit_m
        named = UNIT_WORDS.get(round(unit, 4), N_("its own unit")) if unit else N_("unit not written")
        text = (
            _("middle of a pile in {unit} from column {heading!r}, line {line}")
            if column.role == "pile"
            else _("carry in {unit} from column {heading!r}, line {line}")
        )
        said = text.format(unit=_(named), heading=column.heading, line=sheet.rows[max(layout.block.last, 0)].number)
        context.plan.append(of_sheet(sheet, said))
    for role in ("club", "swing", "player", "offline", "ball_speed", "launch", "spin"):
        if (found := layout.first(role)) and role != layout.combined:
            context.plan.append(_(_FROM_COLUMN[role]).format(heading=found.heading))
    if unused := not_used(layout):
        context.plan.append(of_sheet(sheet, unused))
