"""A file -> balls ready to chart: the one road that the commands, the page and the library take."""

import datetime
import json
from collections.abc import Mapping
from dataclasses import dataclass, fields
from pathlib import Path
from typing import Any

from threequarter.flight.weather import Weather
from threequarter.golf.ball import Carried, MeasuredBy
from threequarter.golf.message import Message
from threequarter.golf.units import DistanceUnit
from threequarter.intake.answer import sure_balls
from threequarter.intake.notes.read import NoteOptions, read_notes
from threequarter.intake.options import ReadOptions
from threequarter.intake.reading import Reading
from threequarter.intake.tables.read import read_file, read_table
from threequarter.measurement.carry import Ground, to_carry
from threequarter.measurement.errors import StepLength, calibrate_step


def read_any(path: Path, options: ReadOptions) -> Reading:
    """A table, or a text file of plain lines ("54 waist 51 53") where no table is found in it. Raises UserError."""
    reading = read_file(path, options)
    if reading.error and path.suffix.casefold() in (".txt", ".md", ""):
        notes = read_notes(
            path.read_text(encoding="utf-8", errors="replace"), NoteOptions(unit=options.unit), path.name
        )
        return reading if notes.error else notes
    return reading


@dataclass(frozen=True, slots=True, kw_only=True)
class FileBalls:
    """A file's balls as carries. `dates` is the date of each day that `Ball.day` counts, empty where not every ball has one;
    `conditions` as in `Reading`; `said` what was done on the way, `unit` the file's own."""

    balls: tuple[Carried, ...]
    unit: DistanceUnit
    said: tuple[Message | str, ...]
    dates: tuple[datetime.date, ...]
    conditions: Mapping[str, Any]

    @property
    def weather(self) -> Weather:
        """What the file tells of the air its balls were hit in."""
        return Weather(
            **{one.name: self.conditions[one.name] for one in fields(Weather) if one.name in self.conditions}
        )


def file_balls(path: Path, options: ReadOptions, ground: Ground = "normal") -> FileBalls:
    """Balls of a file with the days and conditions that it tells. Raises UserError where a question is open."""
    return balls_of(read_any(path, options), ground)


def balls_of(reading: Reading, ground: Ground = "normal") -> FileBalls:
    """The same of a file that was read. Raises UserError where a question is open."""
    balls, said = to_carry(sure_balls(reading), ground)
    dates = [one for one in reading.days if one]
    return FileBalls(
        balls=balls,
        unit=reading.unit,
        said=(*reading.plan, *said),
        dates=tuple(dates) if len(dates) == len(reading.days) else (),
        conditions=reading.conditions,
    )


def carries(
    path: Path, options: ReadOptions, ground: Ground = "normal"
) -> tuple[tuple[Carried, ...], DistanceUnit, tuple[Message | str, ...]]:
    """Balls brought to carry, the file's unit, and what was done in words. Raises UserError where a question is open."""
    found = file_balls(path, options, ground)
    return found.balls, found.unit, found.said


def read_content(content: bytes, name: str, kind: str, options: ReadOptions) -> Reading:
    """A reading of content that is at hand. `kind` "table"; or "notes": a JSON line with unit, way of measuring and, where
    told, the walk (paces, metres) that gives the step, then the words as typed."""
    if kind != "notes":
        return read_table(content, name, options)
    head, _newline, text = content.decode("utf-8", errors="replace").partition("\n")
    told = json.loads(head)
    by = told.get("by") if told.get("by") in set(MeasuredBy) else MeasuredBy.UNKNOWN
    unit = options.unit or (told.get("unit") if told.get("unit") in ("yd", "m") else None)
    step = calibrate_step([told["walk"][0]], told["walk"][1]) if told.get("walk") else StepLength()
    return read_notes(text, NoteOptions(unit=unit, by=MeasuredBy(by), step=step), name)
