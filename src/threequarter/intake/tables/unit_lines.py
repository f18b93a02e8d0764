"""Lines that set a unit of length: for a whole file, or for the balls between them and the next such line."""

from threequarter.intake.tables.sheets import Sheet
from threequarter.intake.tables.units import split_heading, unit_in_line
from threequarter.intake.tables.vocabulary import words_of


def unit_told(line: str) -> float | None:
    """Metres of the unit that a line sets: in words, or in brackets behind a word for how far a ball goes."""
    if unit := unit_in_line(line):
        return unit
    bracketed = split_heading(line)[1] if "(" in line or "[" in line else None
    if bracketed and bracketed[0] == "length" and words_of(line).best in ("carry", "distance", "pile"):
        return bracketed[1]
    return None


def unit_above(sheet: Sheet, before: int) -> float | None:
    """Metres of the unit that the nearest line above a place of a sheet sets, for the balls below it only."""
    lines = (" ".join(row.filled) for row in reversed(sheet.rows[:before]) if 0 < len(row.filled) <= 2)
    return next((unit for line in lines if (unit := unit_told(line))), None)
