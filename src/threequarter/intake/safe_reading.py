"""Reads one file in a process of its own with limits and prints the reading as JSON: `python -m threequarter.intake.safe_reading MB S ABOUT`.

A large text may keep a reader busy for long or swell; small ones are read at once, where they come in.
"""

import dataclasses
import datetime
import json
import sys
from typing import Any, Final

from threequarter.fence import fence
from threequarter.golf.ball import Place
from threequarter.golf.ball_codec import ball_from, ball_to
from threequarter.golf.errors import UserError
from threequarter.intake.load import read_content
from threequarter.intake.options import ReadOptions
from threequarter.intake.reading import ColumnSeen, Question, Reading, SetAside
from threequarter.intake.sandbox import lines_of
from threequarter.intake.tables.sheets import is_workbook, sheets_of
from threequarter.intake.tables.spreadsheet import refuse
from threequarter.language.localize import N_, locale
from threequarter.languages import language

SMALL: Final = 64 * 1024
"""Bytes of text up to which reading takes well under a second."""
MOST_BALLS: Final = 100_000
MOST_LETTERS: Final = 1_000_000
"""In the cells of a workbook that is read at once."""


def read_safely(content: bytes, name: str, kind: str, options: ReadOptions) -> Reading:
    """A reading of content from anybody; never raises for what the content holds, never takes the program along.

    A workbook's cells are taken out by a child anyway; a large text, and a workbook with much in it, is read by one.
    """
    small = _letters(content, name) <= MOST_LETTERS if is_workbook(content, name) else len(content) <= SMALL
    if small:
        return read_content(content, name, kind, options)
    about = json.dumps({"name": name, "kind": kind, "options": options.to_json(), "locale": locale()})
    try:
        (told,) = lines_of(content, "threequarter.intake.safe_reading", about)
        return reading_from(told)
    except (UserError, ValueError) as error:
        return Reading(error=f"{name}: {error}", name=name)


def _letters(content: bytes, name: str) -> int:
    try:
        return sum(len(cell) for sheet in sheets_of(content, name) for row in sheet.rows for cell in row.cells)
    except UserError:
        return 0  # it says so again when it is read


def reading_to(reading: Reading) -> dict[str, Any]:
    """A reading as plain JSON; fields at their default are left out of balls."""
    told = {field.name: getattr(reading, field.name) for field in dataclasses.fields(reading)}
    for name in ("set_aside", "questions", "columns"):
        told[name] = [dataclasses.asdict(one) for one in told[name]]
    told["days"] = [day.isoformat() if day else None for day in reading.days]
    return told | {"balls": [ball_to(ball) for ball in reading.balls]}


def reading_from(told: dict[str, Any]) -> Reading:
    """The reading that `reading_to` told."""
    return Reading(
        **told
        | {
            "balls": tuple(ball_from(one) for one in told["balls"]),
            "set_aside": tuple(SetAside(**one | {"place": Place(**one["place"])}) for one in told["set_aside"]),
            "questions": tuple(Question(**one | {"choices": tuple(one["choices"])}) for one in told["questions"]),
            "columns": tuple(ColumnSeen(**one | {"cells": tuple(one["cells"])}) for one in told["columns"]),
            "plan": tuple(told["plan"]),
            "days": tuple(datetime.date.fromisoformat(day) if day else None for day in told.get("days", ())),
            "rows": tuple((str(kind), int(count)) for kind, count in told.get("rows", ())),
        }
    )


def main() -> None:
    """Reads what stands on standard input."""
    fence(int(sys.argv[1]), int(sys.argv[2]))
    about = json.loads(sys.argv[3])
    try:
        with language(about["locale"]):
            options = ReadOptions.from_json(about["options"])
            reading = read_content(sys.stdin.buffer.read(), about["name"], about["kind"], options)
        if len(reading.balls) > MOST_BALLS:
            text = N_("There are {count} balls in it; up to {most} are read at once. Split it by session.")
            refuse(text, count=len(reading.balls), most=MOST_BALLS)
        sys.stdout.write(json.dumps(reading_to(reading)) + "\n")
    except MemoryError:
        refuse(N_("The file needs more memory than is given to reading one. Split it by session."))


if __name__ == "__main__":
    main()
