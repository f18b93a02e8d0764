"""A file -> balls ready to chart: the one road that the commands, the page and the library take."""

import datetime
import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final, get_args

from threequarter.flight.weather import Weather
from threequarter.golf.ball import Ball, Carried, MeasuredBy
from threequarter.golf.message import Message
from threequarter.golf.units import DistanceUnit
from threequarter.intake.answer import sure_balls
from threequarter.intake.notes.lists import LIST_FILES, LONGEST, read_list
from threequarter.intake.notes.read import NoteOptions, read_notes
from threequarter.intake.options import ReadOptions
from threequarter.intake.reading import Reading
from threequarter.intake.tables.read import read_file, read_table
from threequarter.measurement.carry import Ground, to_carry
from threequarter.measurement.errors import StepLength, calibrate_step

_AIR: Final = {
    "temp_c": "temp_c",
    "altitude_m": "altitude_m",
    "humidity_pct": "humidity",
    "pressure_hpa": "pressure_hpa",
    "wind_mps": "wind_mps",
    "wind_from_deg": "wind_from_deg",
}
"""What is told of a day's air, by its names among the facts of a day, and those of `Weather`."""


def read_any(path: Path, options: ReadOptions) -> Reading:
    """A table, or a text file of plain lines ("54 waist 51 53") where no table is found in it. Raises UserError."""
    if path.suffix.casefold() in LIST_FILES and path.is_file() and (found := _list_of(path, None, options)):
        return found
    reading = read_file(path, options)
    if reading.error and path.suffix.casefold() in (".txt", ".md", ""):
        notes = read_notes(
            path.read_text(encoding="utf-8", errors="replace"), NoteOptions(unit=options.unit), path.name
        )
        return reading if notes.error else notes
    return reading


def _list_of(path: Path, content: bytes | None, options: ReadOptions) -> Reading | None:
    """The balls of a file that is a plain list of shots with their numbers; None where it is a table."""
    if options.columns or path.suffix.casefold() not in LIST_FILES:
        return None
    if content is None:
        if path.stat().st_size > 4 * LONGEST:
            return None
        content = path.read_bytes()
    if len(content) > 4 * LONGEST:
        return None
    return read_list(content.decode("utf-8-sig", errors="replace"), NoteOptions(unit=options.unit), path.name)


@dataclass(frozen=True, slots=True, kw_only=True)
class FileBalls:
    """A file's balls as carries. `dates` is the date of each day that `Ball.day` counts, empty where not every ball has one, `of_days`
    what the file tells of each; `weathers` the air of each day, of all balls where there is none; `conditions` as in `Reading`; `said` what was done on the way, `unit` the file's own."""

    balls: tuple[Carried, ...]
    unit: DistanceUnit
    said: tuple[Message | str, ...]
    dates: tuple[datetime.date, ...]
    conditions: Mapping[str, Any]
    of_days: tuple[Mapping[str, Any], ...] = ()
    weathers: tuple[Weather, ...]


def _weather_of(told: Mapping[str, Any]) -> Weather:
    """The air among what is told of a day."""
    named = {_AIR[name]: value for name, value in told.items() if name in _AIR}
    return Weather(**named)


def file_balls(path: Path, options: ReadOptions, ground: Ground | None = None) -> FileBalls:
    """Balls of a file with the days and conditions that it tells; without a `ground` told they ran out on that of the file, else on a
    normal one. Raises UserError where a question is open."""
    return balls_of(read_any(path, options), ground)


def balls_of(reading: Reading, ground: Ground | None = None) -> FileBalls:
    """The same of a file that was read. Raises UserError where a question is open."""
    dates = [one for one in reading.days if one]
    dated = len(dates) == len(reading.days)
    of_days = reading.of_days or tuple(reading.conditions for _one in dates)
    balls, said = _carried(sure_balls(reading), ground, of_days if dated else ())
    return FileBalls(
        balls=balls,
        unit=reading.unit,
        said=(*reading.plan, *said),
        dates=tuple(dates) if dated else (),
        conditions=reading.conditions,
        of_days=of_days if dated else (),
        weathers=tuple(map(_weather_of, of_days if dates and dated else (reading.conditions,))),
    )


def _carried(
    balls: Sequence[Ball], ground: Ground | None, of_days: Sequence[Mapping[str, Any]]
) -> tuple[tuple[Carried, ...], tuple[Message, ...]]:
    """Balls as carries, those of each ground together, in the order they had."""
    grounds = [ground or _ground_of(of_days[ball.day - 1] if of_days else {}) for ball in balls]
    moved: dict[int, Carried] = {}
    said: list[Message] = []
    for one in dict.fromkeys(grounds):
        mine = [i for i, where in enumerate(grounds) if where == one]
        carried, told = to_carry([balls[i] for i in mine], one)
        moved |= zip(mine, carried, strict=True)
        said += told
    return tuple(moved[i] for i in range(len(balls))), tuple(said)


def _ground_of(told: Mapping[str, Any]) -> Ground:
    ground: Ground = told.get("ground", "normal")
    return ground if ground in get_args(Ground) else "normal"


def carries(
    path: Path, options: ReadOptions, ground: Ground | None = None
) -> tuple[tuple[Carried, ...], DistanceUnit, tuple[Message | str, ...]]:
    """Balls brought to carry, the file's unit, and what was done in words. Raises UserError where a question is open."""
    found = file_balls(path, options, ground)
    return found.balls, found.unit, found.said


def read_content(content: bytes, name: str, kind: str, options: ReadOptions) -> Reading:
    """A reading of content that is at hand. `kind` "table"; or "notes": a JSON line with unit, way of measuring and, where
    told, the walk (paces, metres) that gives the step, then the words as typed."""
    if kind != "notes":
        return _list_of(Path(name), content, options) or read_table(content, name, options)
    head, _newline, text = content.decode("utf-8", errors="replace").partition("\n")
    told = json.loads(head)
    by = told.get("by") if told.get("by") in set(MeasuredBy) else MeasuredBy.UNKNOWN
    unit = options.unit or (told.get("unit") if told.get("unit") in ("yd", "m") else None)
    step = calibrate_step([told["walk"][0]], told["walk"][1]) if told.get("walk") else StepLength()
    return read_notes(text, NoteOptions(unit=unit, by=MeasuredBy(by), step=step), name)
