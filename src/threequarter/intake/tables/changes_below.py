"""What a heading or a line between the balls changes for those below it."""

from threequarter.golf.message import Message
from threequarter.intake.tables.context import Doubt
from threequarter.intake.tables.decode import fold
from threequarter.intake.tables.layout import Layout
from threequarter.intake.tables.sheets import Row
from threequarter.intake.tables.unit_lines import unit_told
from threequarter.intake.tables.units import unit_of


def changed_by(row: Row, kind: str, layout: Layout) -> tuple[float | None, Doubt | None]:
    """The metres of the unit that a row sets from there on (None: it sets none), and what it leaves in doubt: a unit that is not
    the heading's, headings that are not those above."""
    carry = layout.first("carry") or layout.first("pile")
    named = layout.unit(carry) if carry else None
    unit = unit_told(" ".join(row.filled)) if len(row.filled) <= 2 else None
    if carry and unit and named and abs(unit - named) > 1e-6:
        return unit, Doubt("unit", Message("intake.look.two_units", heading=carry.heading, text=row.filled[0][:60]))
    units = all(unit_of(cell) for cell in row.filled)
    if kind == "heading" and not units and _heads_other(row, layout):
        return unit, Doubt("carry", Message("intake.look.heads", row=row.number))
    return unit, None


def _heads_other(row: Row, layout: Layout) -> bool:
    """Whether headings that come once more head a column that is read with another word."""
    block = layout.block
    heads = [[fold(cell) for cell in one.cells] for one in block.sheet.rows[max(block.first, 0) : block.last + 1]]
    for several in layout.columns.values():
        for named in several:
            now = fold(row.cells[named.at]) if named.at < len(row.cells) else ""
            before = [one[named.at] for one in heads if named.at < len(one) and one[named.at]]
            if now and before and now not in before and not unit_of(now):
                return True
    return False
