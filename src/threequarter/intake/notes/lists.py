"""Plain lists in a file: a line a shot with its numbers, "half: 38 - 41 - 40", and the titles above them."""

import re
from dataclasses import replace
from typing import Final

from threequarter.golf.swing_length import parse_swing
from threequarter.intake.notes.read import NoteOptions, read_notes
from threequarter.intake.reading import Reading, SetAside
from threequarter.intake.tables import words
from threequarter.intake.tables.days import names_a_month
from threequarter.intake.tables.decode import fold
from threequarter.intake.tables.labels import is_person
from threequarter.intake.tables.lines import is_shot, is_title
from threequarter.intake.tables.vocabulary import words_of

LIST_FILES: Final = (".txt", ".md", ".csv", ".text", "")
LONGEST: Final = 20_000
"""Letters of a file that may be a list that somebody typed."""
_LISTED: Final = re.compile(r"^\s*(?P<label>[^:\n]*[^\W\d_][^:\n]*?)\s*:\s*(?P<numbers>\d[\d.,]*\D{1,8}\d.*)$")


def read_list(text: str, options: NoteOptions, name: str) -> Reading | None:
    """The balls of a plain list; None where a text is none, or holds a line of numbers that is not understood."""
    lines = text.splitlines()
    listed = [number for number, line in enumerate(lines, start=1) if _LISTED.match(line)]
    if len(text) > LONGEST or len(listed) < 2:
        return None
    reading = read_notes(text, replace(options, listed=True), name)
    if reading.error or any(_holds_balls(row, lines, listed[0]) for row in reading.set_aside):
        return None
    return None if any(_more_than_a_swing(ball.swing) for ball in reading.balls) else reading


def _more_than_a_swing(swing: str) -> bool:
    """Whether a name that is no known swing could be a player, a day, a measure or a mean: "54 Anna: 41, 43", "54 roll: 4, 5"."""
    told = swing.split()
    if parse_swing(swing).kind != "own" or is_shot(swing):
        return False
    meant = any(words_of(one).roles or fold(one) in words.MEANS | words.TITLES for one in (swing, *told))
    return meant or names_a_month(swing) or any(one[:1] != one[:1].casefold() for one in told)


def _holds_balls(row: SetAside, lines: list[str], first: int) -> bool:
    """Whether a line that was not understood could hold balls, or tell whose they are: then this is no list that can be read."""
    line = lines[(row.place.row or 1) - 1]
    label = fold(line).split(":")[0].strip()
    if label in words.MEANS or label.split(" ")[0] in words.MEANS:
        return False
    numbers = re.findall(r"\d+", line)
    late = (row.place.row or 0) > first
    return (
        len(numbers) > 3
        or bool(late and numbers)
        or bool(_LISTED.match(line))
        or (is_person(line.strip()) and not is_title(line))
    )
