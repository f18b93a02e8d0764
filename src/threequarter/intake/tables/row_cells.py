"""What the cells of one row say, each by its role: the carry, the side, speeds, a note, whether the ball counts."""

from dataclasses import dataclass
from typing import Final

import numpy as np

from threequarter.golf.units import FOOT_M
from threequarter.intake.tables import words
from threequarter.intake.tables.column import SLIP
from threequarter.intake.tables.context import Context
from threequarter.intake.tables.decode import fold
from threequarter.intake.tables.layout import Layout, Named
from threequarter.intake.tables.lines import is_club, left_is_plus, note_says
from threequarter.intake.tables.numbers import find_number
from threequarter.intake.tables.sheets import Row
from threequarter.intake.tables.values import Measure, measure, possible_carry, says_yes, side_of, struck_out

LABELLED: Final = 0.7
"""Share of the rows from which on labels stand in every row of a ball; sums may be every fifth row."""


@dataclass(frozen=True, slots=True)
class RowCells:
    """The cells of one row of a table whose columns are known."""

    context: Context
    layout: Layout
    row: Row

    def carry(self) -> tuple[Named, str] | None:
        """The first carry (or pile) cell that holds a number, else the first that holds anything."""
        filled = []
        for role in ("carry", "pile"):
            for column in self.layout.columns.get(role, []):
                text = self.row.cells[column.at] if column.at < len(self.row.cells) else ""
                if text.strip() and find_number(text):
                    return column, text
                if text.strip():
                    filled.append((column, text))
        return filled[0] if filled else None

    def statistic(self) -> bool:
        """Whether a word stands for the club where all others are clubs, in a row without the swing all others have: a
        spread, a count, a longest one, whatever its word."""
        club, swing = self.layout.first("club"), self.layout.first("swing")
        if club is None or swing is None or max(club.at, swing.at) >= len(self.row.cells):
            return False
        name, missing_swing = self.row.cells[club.at].strip(), not self.row.cells[swing.at].strip()
        carry = self.carry()
        if not name or not missing_swing or is_club(name) or find_number(name) or carry is None:
            return False
        told = {c.at: c for c in self.layout.evidence}
        clubs = [cell for cell in told[club.at].cells if cell] if club.at in told else []
        swings = told[swing.at].filled / max(1, len(told[swing.at].cells)) if swing.at in told else 0.0
        return swings > LABELLED and sum(is_club(cell) or find_number(cell) is not None for cell in clubs) > 0.8 * len(
            clubs
        )

    def disagrees(self, carry_m: float) -> bool:
        """Whether another column holds the carry once more, and another one."""
        for column in self.layout.columns.get("carry", []):
            told = measure(self.row.cells[column.at], self.context.decimal) if column.at < len(self.row.cells) else None
            unit = (told.factor or self.layout.unit(column)) if told else None
            if told and unit and abs(told.value * unit - carry_m) > 1.0 + 0.03 * carry_m:
                return True
        return False

    def may_be_feet(self, column: Named, number: float) -> bool:
        """Whether a number that is too far in yards may be feet: the others of its column are not a fifth of it."""
        told = next((c.numbers for c in self.layout.evidence if c.at == column.at), None)
        usual = float(np.percentile(told, 75)) if told is not None and told.size else number
        return possible_carry(number * FOOT_M) and number <= SLIP * usual

    def broken_off(self) -> bool:
        """A row that breaks off: fewer cells than the rest, and columns that every other row fills are gone."""
        if (
            self.layout.block.sheet.delimiter in (None, "spaces")
            or not self.layout.width
            or len(self.row.cells) >= self.layout.width
        ):
            return False
        gone = [
            c
            for c in self.layout.evidence
            if c.at >= len(self.row.cells) and c.words.best not in (None, "note", "use", "drop")
        ]
        return len(self.row.cells) < self.layout.width - 1 and bool(gone)

    def note(self) -> str:
        """The remarks of the row; commas of the last one may have parted it."""
        last = len(self.layout.block.headings) - 1
        told = self.text("note")
        ends = any(c.at == last for c in self.layout.columns.get("note", []))
        rest = self.row.cells[last + 1 :] if ends and last > 0 else ()
        more = [text for cell in rest if (text := cell.strip()) and text not in told]
        return ", ".join([told, *more]) if more and told else told

    def text(self, role: str) -> str:
        found = [self.row.cells[c.at].strip() for c in self.layout.columns.get(role, []) if c.at < len(self.row.cells)]
        return " ".join(text for text in found if text)

    def measured(self, role: str) -> tuple[Named, Measure] | None:
        column = self.layout.first(role)
        if column is None or column.at >= len(self.row.cells):
            return None
        value = measure(self.row.cells[column.at], self.context.decimal, spin=role == "spin")
        return (column, value) if value else None

    def number(self, role: str, usual: float | None) -> float | None:
        found = self.measured(role)
        if found is None:
            return None
        factor = found[1].factor or self.layout.unit(found[0]) or usual
        return found[1].value * factor if factor else None

    def loft(self) -> float | None:
        loft = self.number("loft", 1.0)
        return loft if loft is not None and 7 <= loft <= 70 else None

    def count(self) -> int:
        found = self.number("count", 1.0)
        return max(1, round(found)) if found else 1

    def offline(self, carry_unit: float | None) -> float | None:
        found = self.measured("offline")
        if found is None:
            return None
        column, value = found
        factor = value.factor or self.layout.unit(column) or carry_unit or 0.9144
        side = value.side
        if self.layout.side_column is not None and self.layout.side_column < len(self.row.cells):
            side = side_of(self.row.cells[self.layout.side_column]) or side
        if side is not None:
            return side * abs(value.value) * factor
        if any(letter.isalpha() for letter in value.rest):
            sign = self.layout.side_words.get(fold(value.rest))
            return None if sign is None else sign * abs(value.value) * factor
        flipped = (
            self.context.left_plus
            if self.context.options.right
            else (self.context.left_plus or left_is_plus(column.heading))
        )
        return -value.value * factor if flipped else value.value * factor

    def counts(self, note: str) -> bool:
        """Whether the ball is to be used: not struck out, not marked or noted as a warm-up or to be left out."""
        carry = self.carry()
        if carry and struck_out(carry[1]):
            return False
        if note_says(note, words.WARM_UP) or note_says(note, words.LEAVE_OUT):
            return False
        for role in ("drop", "use"):
            column = self.layout.first(role)
            if column is None:
                continue
            text = self.row.cells[column.at] if column.at < len(self.row.cells) else ""
            if note_says(text, words.WARM_UP):
                return False
            if says_yes(text, dropping=role == "drop") == (role == "drop"):
                return False
        return not any(note_says(cell, words.WARM_UP) for cell in self.row.cells)
