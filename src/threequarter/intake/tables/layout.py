"""The columns of a long table that matter, and the labels written above it or in its sheet's name."""

from dataclasses import dataclass, field

from threequarter.golf.errors import UserError
from threequarter.golf.language import _
from threequarter.golf.swing_length import parse_swing
from threequarter.intake.tables.context import Context
from threequarter.intake.tables.decode import fold
from threequarter.intake.tables.heading import Column, Header
from threequarter.intake.tables.lines import Labels, is_club, labels_in, split_club_swing
from threequarter.intake.tables.numbers import find_number, missing
from threequarter.intake.tables.sheets import Row, Sheet, sheet_is_default
from threequarter.intake.tables.units import unit_of
from threequarter.intake.tables.values import side_of


@dataclass(slots=True)
class Layout:
    """The columns of one sheet that matter, and what its unit row or headings say."""

    header: Header
    columns: dict[str, list[Column]] = field(default_factory=dict)
    unit_row: dict[int, tuple[str, float]] = field(default_factory=dict)
    combined: str | None = None
    side_column: int | None = None
    speed_factor: float | None = None
    width: int = 0
    said_units: dict[int, float] = field(default_factory=dict)

    def first(self, role: str) -> Column | None:
        """The first column of a role."""
        found = self.columns.get(role)
        return found[0] if found else None

    def unit(self, column: Column) -> float | None:
        """The SI factor of a column as a person said, by its heading, or by the unit row below it."""
        if column.at in self.said_units:
            return self.said_units[column.at]
        if column.unit:
            return column.unit[1]
        return self.unit_row[column.at][1] if column.at in self.unit_row else None


def make_layout(context: Context, sheet: Sheet, header: Header) -> Layout:
    layout = Layout(header=header)
    body = [row for row in sheet.rows[header.last + 1 :] if len(row.filled) > 1]
    for column in header.columns:
        if column.role:
            layout.columns.setdefault(column.role, []).append(column)
    _apply_options(context, layout)
    if body:
        _unit_row(layout, body[0])
    _content_roles(layout, body)
    if "carry" not in layout.columns and "pile" not in layout.columns and "distance" in layout.columns:
        layout.columns["carry"] = layout.columns["distance"]
    carries = layout.columns.get("carry", [])
    layout.columns["carry"] = sorted(carries, key=lambda column: layout.unit(column) is None) if carries else carries
    if not carries:
        del layout.columns["carry"]
    widths = [len(row.cells) for row in body]
    layout.width = max(set(widths), key=widths.count) if widths else 0
    return layout


def _apply_options(context: Context, layout: Layout) -> None:
    """What a person said of the columns: ignored ones first, then what each is, then its unit. Raises UserError."""
    gone = {c.at for wanted in context.options.ignore for c in _named(context, layout, wanted, "ignore")}
    for columns in layout.columns.values():
        columns[:] = [c for c in columns if c.at not in gone]
    for role, wanted in context.options.columns.items():
        for column in _named(context, layout, wanted, role)[:1]:
            for others in layout.columns.values():
                others[:] = [c for c in others if c.at != column.at]
            layout.columns[role] = [column]
    layout.columns = {role: columns for role, columns in layout.columns.items() if columns}
    for wanted, unit in context.options.units.items():
        told = unit_of(unit)
        for column in _named(context, layout, wanted, "unit") if told else ():
            layout.said_units[column.at] = told[1] if told else 1.0


def _named(context: Context, layout: Layout, wanted: str, role: str) -> list[Column]:
    """The columns of a heading or number. Raises UserError where the only sheet has none."""
    columns = layout.header.columns
    found = [c for c in columns if fold(c.heading) == fold(wanted)] or [
        c for c in columns if str(c.at + 1) == wanted.strip()
    ]
    if not found and not context.many_sheets:
        headings = ", ".join(repr(c.heading) for c in columns if c.heading)
        raise UserError(
            _("no column is headed {wanted!r} ({option}); the headings are: {headings}.").format(
                wanted=wanted, option=f"--{role.replace('_', '-')}", headings=headings
            )
        )
    return found


def _unit_row(layout: Layout, row: Row) -> None:
    """A row of units under the headings: every filled cell is a unit or no number, and one at least is a unit."""
    units = {at: unit for at, cell in enumerate(row.cells) if cell.strip() and (unit := unit_of(cell))}
    numbers = [cell for cell in row.filled if find_number(cell) and not unit_of(cell)]
    if units and not numbers:
        layout.unit_row = {at: (quantity, factor) for at, (quantity, factor) in units.items()}


def _content_roles(layout: Layout, body: list[Row]) -> None:
    """Roles that only the cells settle: a shot column that numbers or names, a column of sides, clubs with swings."""

    def cells(column: Column) -> list[str]:
        return [row.cells[column.at] for row in body if column.at < len(row.cells) and row.cells[column.at].strip()]

    for role in ("shot_label", "club", "swing"):
        for column in layout.columns.get(role, [])[:1]:
            texts = cells(column)
            both = sum(split_club_swing(text) is not None for text in texts)
            if texts and both > 0.5 * len(texts) and not ({"club", "swing"} <= set(layout.columns)):
                layout.combined = role
            elif role == "shot_label" and texts:
                swings = sum(parse_swing(text).kind != "own" for text in texts)
                clubs = sum(is_club(text) for text in texts)
                if "swing" not in layout.columns and swings > 0.6 * len(texts) and swings >= clubs:
                    layout.columns["swing"] = [column]
                elif "club" not in layout.columns and clubs > 0.6 * len(texts):
                    layout.columns["club"] = [column]
    sides = layout.columns.get("offline", []) + layout.columns.get("side_word", [])
    for column in sides:
        texts = [text for text in cells(column) if not missing(text)]
        if texts and sum(side_of(text) is not None for text in texts) > 0.6 * len(texts):
            layout.side_column = column.at
    numeric = [c for c in layout.columns.get("offline", []) if c.at != layout.side_column]
    if numeric:
        layout.columns["offline"] = numeric
    else:
        layout.columns.pop("offline", None)
    for column in layout.header.columns:
        if column.role is None and layout.side_column is None and "offline" in layout.columns:
            texts = [text for text in cells(column) if not missing(text)]
            if len(texts) >= 3 and all(side_of(text) is not None for text in texts):
                layout.side_column = column.at


def labels_above(sheet: Sheet, header: Header) -> tuple[Labels, list[str]]:
    labels, lines = Labels(), []
    for row in sheet.rows[: header.first]:
        told = labels_in(row.cells, bare=False)
        if told.empty and len(row.filled) == 1 and (is_club(row.filled[0]) or _plain_swing(row.filled[0])):
            told = labels_in(row.cells, bare=True)
        labels = Labels(told.player or labels.player, told.club or labels.club, told.swing or labels.swing)
        lines.append(" ".join(row.filled))
    return labels, lines


def _plain_swing(text: str) -> bool:
    return parse_swing(text).kind in ("level", "clock", "fraction") and len(text) < 25


def sheet_labels(sheet: Sheet, layout: Layout, above: Labels, alone: bool) -> Labels:
    """What a sheet's name tells where neither a column nor a line does."""
    if sheet.name is None or sheet_is_default(sheet.name):
        return Labels()
    told = labels_in([sheet.name], bare=True)
    club = told.club if "club" not in layout.columns and not layout.combined and above.club is None else None
    swing = told.swing if "swing" not in layout.columns and not layout.combined and above.swing is None else None
    player = told.player if "player" not in layout.columns and above.player is None and not alone else None
    return Labels(player=player, club=club, swing=swing)
