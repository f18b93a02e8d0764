"""What a wide table must prove before it is believed, and what is asked about its labels."""

import re
from collections.abc import Sequence
from itertools import pairwise
from typing import Final

from threequarter.golf.message import Message
from threequarter.golf.swing_length import parse_swing
from threequarter.intake.tables.context import Context
from threequarter.intake.tables.decode import fold
from threequarter.intake.tables.layout import letter_of, place_of
from threequarter.intake.tables.lines import is_club, is_mean_row, is_shot, name_like, split_club_swing
from threequarter.intake.tables.means import sums_up
from threequarter.intake.tables.numbers import find_number, missing, tidy
from threequarter.intake.tables.shape import kind_of
from threequarter.intake.tables.sheets import Row, Sheet
from threequarter.intake.tables.turned import unlike_sizes
from threequarter.intake.tables.vocabulary import PHRASES, bare, words_of
from threequarter.intake.tables.words import MEANS

_WHOLE: Final = re.compile(r"^[0-9]{1,3}\.?$")


def measured_again(sheet: Sheet, head: int, columns: Sequence[int], *, across: bool) -> bool:
    """Whether the numbers of a line are one shot measured again: of about the same size. `across`: a line is a row."""
    heading = sheet.rows[head].cells
    below = [
        row
        for row in sheet.rows[head + 1 :][:200]
        if len(row.filled) > 1 and not is_mean_row(row.cells) and row.cells != heading
    ]
    if across:
        lines = [[row.cells[at] for at in columns if at < len(row.cells)] for row in below]
    else:
        lines = [[row.cells[at] for row in below if at < len(row.cells)] for at in columns]
    if not across and any(
        sum(bool(row.cells[at].strip()) and not find_number(row.cells[at]) for at in columns if at < len(row.cells))
        > 0.8 * len(columns)
        for row in below
    ):
        return False  # a row of words among the balls: each row is another measure
    told = [line for line in lines if sum(bool(find_number(cell)) for cell in line) > 1]
    if any(len(cell) > 1 and "%" in cell for line in told for cell in line) or _too_small(told):
        return False
    return not told or sum(unlike_sizes(line) for line in told) <= 0.5 * len(told)


def _too_small(lines: Sequence[Sequence[str]]) -> bool:
    """Whether most numbers have one digit before the mark: strokes, marks or counts, not carries."""
    digits = [found.digits for line in lines for cell in line if (found := find_number(cell))]
    return sum(len(re.split(r"[.,]", text)[0]) < 2 for text in digits) > 0.6 * max(1, len(digits))


def counted(below: Sequence[Row], at: int) -> bool:
    """Whether a column counts its rows, from 1 on and anew in each section: it numbers balls, it measures none."""
    told = [
        int(tidy(cell).rstrip("."))
        for row in below
        if at < len(row.cells) and _WHOLE.match(tidy(cell := row.cells[at]))
    ]
    follows = [now in (before + 1, 1) for before, now in pairwise(told)]
    return len(told) >= 3 and min(told) in (0, 1) and sum(follows) > 0.8 * len(follows)


def holds_numbers(below: Sequence[Row], at: int) -> bool:
    """Whether a column's cells are numbers, with or without a remark, and not names in which a number stands ("PW 46")."""
    told = [
        cell for row in below if at < len(row.cells) and (cell := row.cells[at].strip()) and not is_mean_row(row.cells)
    ]
    numbers = [cell for cell in told if find_number(cell) and not (kind_of(cell) == "x" and is_shot(cell))]
    return bool(numbers) and len(numbers) > 0.5 * len(told)


def tells_a_shot(texts: Sequence[str]) -> bool:
    """Whether a column without a heading for it could be the swing: known words, a shot, or a few words each again."""
    known = sum(is_shot(text) or split_club_swing(text) is not None for text in texts)
    different = {fold(text) for text in texts}
    return known > 0.3 * len(texts) or (
        2 <= len(different) <= 0.7 * len(texts) and all(kind_of(text) == "x" for text in texts)
    )


def names_people(cells: Sequence[str]) -> bool:
    """Whether each cell is another name: a row for each player."""
    texts = [text for cell in cells if (text := cell.strip())]
    return (
        len(texts) > 1 and all(name_like(text) for text in texts) and len({fold(text) for text in texts}) == len(texts)
    )


def varies(below: Sequence[Row], at: int) -> bool:
    """Whether a column is more than one number again and again: a loft, a target, a par stands beside balls like that."""
    told = [cell for row in below if at < len(row.cells) and find_number(cell := row.cells[at].strip())]
    return len(told) < 4 or len(set(told)) > 1


def doubtful_labels(left: Sequence[Sequence[str]], label_columns: dict[str, int]) -> tuple[int, ...]:
    """The label columns, where one of them holds what another's heading says or words that none of them explains."""
    texts = {at: [text for cell in cells if (text := cell.strip())] for at, cells in enumerate(left)}
    swing, club = texts.get(label_columns.get("swing", -1), []), texts.get(label_columns.get("club", -1), [])
    swapped = (swing and all(is_club(text) for text in swing)) or (
        club and all(parse_swing(text).kind != "own" and not is_club(text) for text in club)
    )
    words_left = [
        at
        for at, cells in texts.items()
        if at not in label_columns.values() and sum(kind_of(cell) == "x" for cell in cells) > 0.8 * max(1, len(cells))
    ]
    unexplained = [at for at in words_left if 2 <= len({fold(cell) for cell in texts[at]}) < len(texts[at])]
    missing_one = not {"swing", "club"} <= label_columns.keys() and "shot_label" not in label_columns
    if swapped or (unexplained and missing_one):
        return tuple(sorted({*label_columns.values(), *unexplained}))
    return ()


def ask_about_labels(
    context: Context,
    headings: Sequence[str],
    columns: Sequence[int],
    label_columns: dict[str, int],
    doubtful: Sequence[int],
) -> None:
    """Takes the label columns that a person named, and asks about those in doubt."""
    for role in ("club", "swing", "player"):
        at = place_of(context.options.columns.get(role, ""))
        if at is not None and at not in columns:
            for other in [name for name, place in label_columns.items() if place == at]:
                del label_columns[other]
            label_columns[role] = at
    for about in ("club", "swing"):
        if doubtful and about not in context.options.columns and getattr(context.options, about) is None:
            names = [f"{letter_of(at)} “{headings[at]}”" if headings[at].strip() else letter_of(at) for at in doubtful]
            context.ask(
                about,
                Message(f"intake.ask.{about}", columns_or=tuple(names)),
                "--column",
                tuple(f"{letter_of(at)}={about}" for at in doubtful),
            )


def heads_again(row: Row, columns: Sequence[int]) -> bool:
    """Whether a row below the headings looks like other headings: words where the carries stand, or clubs all along."""
    told = [cell for at in columns if at < len(row.cells) and (cell := row.cells[at].strip()) and not missing(cell)]
    texts = [cell for cell in told if kind_of(cell) == "x" and not find_number(cell)]
    if len(texts) >= 2 and len(texts) > 0.6 * len(told):
        return True
    if kind_of(next((cell for cell in row.cells[: min(columns)] if cell.strip()), "")) == "n":
        return False  # a numbered row holds balls
    lofts = [cell for cell in told if is_club(cell) and _WHOLE.match(tidy(cell).rstrip("°º "))]
    numbers = [int(re.sub(r"\D", "", tidy(cell))) for cell in lofts]
    return len(told) >= 2 and len(lofts) == len(told) and all(b - a in range(2, 9) for a, b in pairwise(numbers))


def columns_left_out(sheet: Sheet, head: int, columns: Sequence[int], labels: Sequence[int]) -> tuple[int, ...]:
    """Columns with a heading and numbers of the same size beside those that are read: swings of an unknown name?"""
    heads = sheet.rows[head].cells
    below = [row for row in sheet.rows[head + 1 :][:60] if len(row.filled) > 1 and not is_mean_row(row.cells)]
    read = [size for at in columns for size in _sizes(below, at)]
    if not read:
        return ()
    low, high = 0.5 * min(read), 1.5 * max(read)
    found = []
    for at, heading in enumerate(heads):
        name = fold(heading).strip(" .:")
        if at in columns or at in labels or not name or name in MEANS or words_of(heading).best not in (None, "note"):
            continue
        sizes = _sizes(below, at)
        if len(sizes) >= 2 and all(low <= size <= high for size in sizes) and not counted(below, at):
            found.append(at)
    return tuple(found)


def _sizes(below: Sequence[Row], at: int) -> list[float]:
    told = (find_number(row.cells[at]) for row in below if at < len(row.cells))
    return [
        float(re.sub(r"[^\d.]", "", one.digits.replace(",", ".")) or 0)
        for one in told
        if one and one.digits.count(".") + one.digits.count(",") < 2
    ]


LEAST_COUNTED: Final = 3


class Runs:
    """The numbers of each column since the last line of words: a row that holds their means or sums is no row of balls."""

    def __init__(self, columns: Sequence[int]) -> None:
        self.columns = columns
        self.numbers: dict[int, list[float]] = {}
        self.summed = False
        self.counted = 0
        """Rows so far that a number begins."""
        self.odd = False
        """Whether a word begins the last row where numbers begin the others."""

    def clear(self) -> None:
        """A new section begins."""
        self.numbers, self.summed = {}, False

    def sums_up(self, row: Row, values: dict[int, float], step: float) -> bool:
        """Whether each of its numbers, two at least, sums up three and more above it, and words stand before them."""
        told = {at: value for at, value in values.items() if len(self.numbers.get(at, ())) >= 3}
        worded = any(kind_of(cell) == "x" for cell in row.cells[: min(self.columns)])
        first = next((cell for cell in row.cells[: min(self.columns)] if cell.strip()), "")
        counts = kind_of(first) == "n"
        ends = self.counted >= LEAST_COUNTED and not counts
        alike = all(sums_up(value, self.numbers[at], 1.1 * step, ends=ends) for at, value in told.items())
        self.odd = ends and bool(first)
        self.counted += counts
        if worded and len(told) >= 2 and len(told) == len(values) and alike:
            self.summed = True
            return True
        if self.summed:  # the first ball after a mean begins the next run
            self.clear()
        for at, value in values.items():
            self.numbers.setdefault(at, []).append(value)
        return False


def pile_count(above: Sequence[Row]) -> int | None:
    """How many balls each number stands for where a line above says so: "Pile middle, 8 balls in each pile"."""
    for row in above:
        plain = bare(" ".join(row.filled))
        if (
            any(bare(word) in plain for word in PHRASES["pile"] if len(word) > 2)
            and len(found := re.findall(r"\d+", plain)) == 1
        ):
            return max(1, int(found[0]))
    return None
