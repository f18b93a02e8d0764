"""A file -> balls ready to chart: the one road that the commands, the page and the library take."""

from pathlib import Path

from threequarter.golf.ball import Ball
from threequarter.golf.units import DistanceUnit
from threequarter.intake.answer import sure_balls
from threequarter.intake.measuring import Ground, to_carry
from threequarter.intake.notes import NoteOptions, read_notes
from threequarter.intake.options import ReadOptions
from threequarter.intake.reading import Reading
from threequarter.intake.table import read_file


def read_any(path: Path, options: ReadOptions) -> Reading:
    """A table, or a text file of plain lines ("54 waist 51 53") where no table is found in it. Raises UserError."""
    reading = read_file(path, options)
    if reading.error and path.suffix.casefold() in (".txt", ".md", ""):
        notes = read_notes(
            path.read_text(encoding="utf-8", errors="replace"), NoteOptions(unit=options.unit), path.name
        )
        return reading if notes.error else notes
    return reading


def carries(
    path: Path, options: ReadOptions, ground: Ground = "normal"
) -> tuple[tuple[Ball, ...], DistanceUnit, tuple[str, ...]]:
    """Balls brought to carry, the file's unit, and what was done in words. Raises UserError where a question is open."""
    reading = read_any(path, options)
    balls, said = to_carry(sure_balls(reading), ground)
    return balls, reading.unit, (*reading.plan, *said)
