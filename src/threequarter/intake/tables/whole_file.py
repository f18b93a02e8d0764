"""What holds for a whole file: its decimal mark, and the unit of lengths that bear none of their own."""

from collections.abc import Iterable
from typing import Final

from threequarter.golf.message import Message
from threequarter.golf.units import FOOT_M, YARD_M
from threequarter.intake.tables.context import Context
from threequarter.intake.tables.layout import unit_row
from threequarter.intake.tables.numbers import decimal_mark, find_number
from threequarter.intake.tables.shape import Block, kind_of
from threequarter.intake.tables.sheets import Sheet
from threequarter.intake.tables.unit_lines import unit_told
from threequarter.intake.tables.vocabulary import words_of

_NO_DECIMALS: Final = (
    "spin",
    "number",
    "date",
    "count",
    "time",
    "club",
    "swing",
    "player",
    "note",
    "shot_label",
    "loft",
    "spin_axis",
)
Table = tuple[Sheet, list[Block]]


def loose_lines(tables: Iterable[Table]) -> list[str]:
    """Headings and lines above, and lines of one or two cells anywhere: where remarks about units and sides stand."""
    lines = []
    for sheet, blocks in tables:
        top = blocks[0].last if blocks else -1
        lines += [" ".join(row.filled) for i, row in enumerate(sheet.rows) if i < top or len(row.filled) <= 2]
        lines += [heading for block in blocks for heading in block.headings if heading]
        if sheet.name:
            lines.append(sheet.name)
    return lines


def decide_decimal(context: Context, tables: list[Table]) -> None:
    digits = []
    for sheet, blocks in tables:
        for block in blocks or [Block(sheet=sheet, first=0, last=-1, headings=())]:
            left_out = {at for at in range(len(block.headings)) if block.words(at).best in _NO_DECIMALS}
            for row in block.body[:5000]:
                for at, cell in enumerate(row.cells):
                    if at not in left_out and kind_of(cell) in ("n", "x") and (written := find_number(cell)):
                        digits.append(written.digits)
    settled = context.options.decimal or decimal_mark(digits)
    context.decimal = settled or "."
    context.plan.append(Message("intake.decimal_comma") if context.decimal == "," else Message("intake.decimal_point"))
    if settled is None:
        _ask_decimal_in_cm(context, tables)
    _ask_decimal_in_raw_commas(context, tables)


def _ask_decimal_in_cm(context: Context, tables: list[Table]) -> None:
    """A side in centimetres where every number looks like 1.049 may be a millimetre or ten metres off the line."""
    for _sheet, blocks in tables:
        for block in blocks:
            for at, heading in enumerate(block.headings):
                said = words_of(heading)
                if said.best != "offline" or said.unit != ("length", 0.01):
                    continue
                cells = [row.cells[at] for row in block.body if at < len(row.cells)]
                marked = [
                    w.digits for cell in cells if (w := find_number(cell)) and ("." in w.digits or "," in w.digits)
                ]
                if marked:
                    text = Message("intake.ask.decimal", digits=marked[0], heading=heading)
                    context.ask("decimal", text, "--decimal", (".", ","))


def _ask_decimal_in_raw_commas(context: Context, tables: list[Table]) -> None:
    """Commas that part the cells and the decimals too: rows are longer than their heading, each in its own way.

    No option answers that: 30,2,1 is 30.2 and 1 as well as 30 and 2.1. Only a file saved anew does.
    """
    for sheet, blocks in tables:
        if not blocks or sheet.delimiter != ",":
            continue
        width = len(blocks[0].headings)
        rows = [row for row in blocks[0].body if len(row.filled) > 1]
        longer = [
            row
            for row in rows
            if len(row.cells) > width
            and all(cell.strip() for cell in row.cells[width - 1 :])
            and any(
                letter.isdigit() for cell in row.cells[width - 1 :] for letter in cell
            )  # else a remark with a comma
        ]
        if width and rows and len(longer) > 0.3 * len(rows):
            text = Message("intake.ask.commas", line=longer[0].number, cells=",".join(longer[0].cells))
            context.ask("decimal", text, "")


def decide_unit(context: Context, tables: list[Table]) -> None:
    """The unit of lengths that bear none of their own: by option, a line, or another column of lengths."""
    if context.options.unit:
        context.unit_m = {"yd": YARD_M, "m": 1.0, "ft": FOOT_M}[context.options.unit]
        return
    for line in loose_lines(tables):
        if unit := unit_told(line):
            context.unit_m = unit
            return
    for wanted in ("carry", "distance", "pile", "total", "target", "deviation", "average"):
        for _sheet, blocks in tables:
            for block in blocks:
                if unit := _unit_of_a_column(block, wanted):
                    context.unit_m = unit
                    return


def _unit_of_a_column(block: Block, wanted: str | None) -> float | None:
    for at in range(len(block.headings)):
        said = block.words(at)
        unit = said.unit or unit_row(block).get(at)
        if unit and unit[0] == "length" and said.best == wanted and (wanted != "offline" or unit[1] >= FOOT_M):
            return unit[1]
    return None
