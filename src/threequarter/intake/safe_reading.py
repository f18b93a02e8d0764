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
from threequarter.golf.message import Message, from_json, to_json
from threequarter.intake.load import read_content
from threequarter.intake.options import ReadOptions
from threequarter.intake.reading import ColumnSeen, Question, Reading, SetAside
from threequarter.intake.sandbox import lines_of
from threequarter.intake.tables.sheets import is_workbook, sheets_of
from threequarter.intake.tables.spreadsheet import refuse

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
    about = json.dumps({"name": name, "kind": kind, "options": options.to_json()})
    try:
        (told,) = lines_of(content, "threequarter.intake.safe_reading", about)
        return reading_from(told)
    except (UserError, ValueError) as error:
        told = error.args[0] if isinstance(error, UserError) else str(error)
        return Reading(error=Message("intake.of_file", file=name, error=told), name=name)


def _letters(content: bytes, name: str) -> int:
    try:
        return sum(len(cell) for sheet in sheets_of(content, name) for row in sheet.rows for cell in row.cells)
    except UserError:
        return 0  # it says so again when it is read


def reading_to(reading: Reading) -> dict[str, Any]:
    """A reading as plain JSON; fields at their default are left out of balls."""
    told = {field.name: getattr(reading, field.name) for field in dataclasses.fields(reading)}
    for name in ("set_aside", "questions", "columns"):
        told[name] = [_plain(one) for one in told[name]]
    told["plan"] = [to_json(line) for line in reading.plan]
    told["error"] = to_json(reading.error) if reading.error else None
    told["days"] = [day.isoformat() if day else None for day in reading.days]
    return told | {"balls": [ball_to(ball) for ball in reading.balls]}


def _plain(one: Any) -> dict[str, Any]:
    """A row set aside, a question or a column as plain JSON."""
    told = {field.name: getattr(one, field.name) for field in dataclasses.fields(one)}
    told = {name: to_json(value) if isinstance(value, Message) else value for name, value in told.items()}
    return told | ({"place": dataclasses.asdict(told["place"])} if "place" in told else {})


def reading_from(told: dict[str, Any]) -> Reading:
    """The reading that `reading_to` told."""
    return Reading(
        **told
        | {
            "balls": tuple(ball_from(one) for one in told["balls"]),
            "set_aside": tuple(
                SetAside(**one | {"place": Place(**one["place"]), "why": from_json(one["why"])})
                for one in told["set_aside"]
            ),
            "questions": tuple(
                Question(**one | {"choices": tuple(one["choices"]), "text": from_json(one["text"])})
                for one in told["questions"]
            ),
            "columns": tuple(ColumnSeen(**one | {"cells": tuple(one["cells"])}) for one in told["columns"]),
            "plan": tuple(from_json(line) for line in told["plan"]),
            "error": from_json(told["error"]) if told["error"] else None,
            "days": tuple(datetime.date.fromisoformat(day) if day else None for day in told.get("days", ())),
            "of_days": tuple(told.get("of_days", ())),
            "rows": tuple((str(kind), int(count)) for kind, count in told.get("rows", ())),
        }
    )


def main() -> None:
    """Reads what stands on standard input."""
    fence(int(sys.argv[1]), int(sys.argv[2]))
    about = json.loads(sys.argv[3])
    try:
        options = ReadOptions.from_json(about["options"])
        reading = read_content(sys.stdin.buffer.read(), about["name"], about["kind"], options)
        if len(reading.balls) > MOST_BALLS:
            refuse("intake.there_are_balls_in_it", count=len(reading.balls), most=MOST_BALLS)
        sys.stdout.write(json.dumps(reading_to(reading)) + "\n")
    except MemoryError:
        refuse("intake.the_file_needs_more_memory")


if __name__ == "__main__":
    main()
