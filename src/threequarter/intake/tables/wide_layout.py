"""Where a wide table kept by hand is found: a column a ball, or a column a swing (or club) and a row a ball."""

import re
from dataclasses import dataclass
from typing import Final, Literal

from threequarter.golf.swing_length import parse_swing
from threequarter.intake.tables import words
from threequarter.intake.tables.decode import fold
from threequarter.intake.tables.lines import (
    Labels,
    is_club,
    is_mean_row,
    labels_in,
    split_club_own_swing,
    split_club_swing,
)
from threequarter.intake.tables.numbers import find_number
from threequarter.intake.tables.shape import Block, kind_of
from threequarter.intake.tables.sheets import Row, Sheet
from threequarter.intake.tables.units import split_heading
from threequarter.intake.tables.values import label_text
from threequarter.intake.tables.vocabulary import roles_of, words_of
from threequarter.intake.tables.wide_checks import (
    counted,
    doubtful_labels,
    holds_numbers,
    measured_again,
    tells_a_shot,
    varies,
)

KEY_ROLES: Final = frozenset(
    "carry distance total target deviation offline ball_speed club_speed launch spin height club swing player shot_label pile average".split()
)
_ORDINALS: Final = (
    "st",
    "nd",
    "rd",
    "th",
    "er",
    "re",
    "e",
    "eme",
    "ème",
    "º",
    "ª",
    "a",
    "o",
    "de",
    "ste",
    "te",
    "ter",
    "º bola",
)
_BALL = re.compile(r"^(?P<word>[^\d\s]*)\s*[.#°]?\s*(?P<number>\d{1,3})\.?$")


@dataclass(frozen=True, slots=True, kw_only=True)
class Wide:
    """A wide table: its heading row (index), the columns that hold carries and what each is for.

    `kind` "balls": a column a ball, labels in `label_columns` (role -> place). `kind` "labels": a column a shot, with
    `labels` telling its club and swing. `unit_m` from a corner heading.
    """

    head: int
    kind: Literal["balls", "labels"]
    columns: tuple[int, ...]
    labels: dict[int, Labels]
    label_columns: dict[str, int]
    unit_m: float | None
    doubtful: tuple[int, ...] = ()


def find_wide(sheet: Sheet, block: Block | None) -> Wide | None:
    """The wide layout of a sheet, or None where it is a long table."""
    if block is not None:
        told = [words_of(heading) for heading in block.headings if heading]
        said = {one.best for one in told if one.best and one.roles[one.best] >= 3} & KEY_ROLES
        if len(said) >= 3 and said & {"carry", "pile", "distance"}:
            return None
    for i, row in enumerate(sheet.rows[: block.last + 2 if block else 60]):
        if block is not None and i > block.last >= block.first:
            break  # a row under a heading is data
        if block is not None and i > block.last and not _numbered(row):
            plain = kind_of(row.cells[0] if row.cells else "") in ("n", "m", "")
            if plain or not _corner(row):
                continue  # a row of balls, though "48" and "41.5" could be clubs
        if (
            wide := _clubs_under(sheet, i, row)
            or _two_heads(sheet, i, row)
            or _balls_across(sheet, i, row)
            or _labels_across(sheet, i, row)
        ):
            return wide if measured_again(sheet, wide.head, wide.columns, across=wide.kind == "balls") else None
    return None


def _corner_unit(cells: tuple[str, ...]) -> float | None:
    for cell in cells:
        unit = split_heading(cell)[1] if cell.strip() else None
        if unit and unit[0] == "length":
            return unit[1]
    return None


def _balls_across(sheet: Sheet, i: int, row: Row) -> Wide | None:
    numbered = _numbered(row)
    if not numbered:
        return None
    label_columns: dict[str, int] = {}
    for at, cell in enumerate(row.cells[: numbered[0][0]]):
        for role in roles_of(cell)[0]:
            if role in ("club", "swing", "player", "shot_label"):
                label_columns.setdefault(role, at)
    below = sheet.rows[i + 1 : i + 30]
    if not any(find_number(r.cells[numbered[0][0]]) for r in below if numbered[0][0] < len(r.cells)):
        return None
    unsure: list[int] = []
    for at in range(numbered[0][0]):
        if at in label_columns.values():
            continue
        texts = [r.cells[at] for r in below if at < len(r.cells) and r.cells[at].strip() and not is_mean_row(r.cells)]
        if not texts:
            continue
        if "club" not in label_columns and all(is_club(text) for text in texts):
            label_columns["club"] = at
        elif "swing" not in label_columns and "shot_label" not in label_columns:
            label_columns["shot_label" if all(split_club_swing(t) for t in texts) else "swing"] = at
            if not tells_a_shot(texts) or all(kind_of(text) == "n" for text in texts):
                unsure.append(at)
    only = next(iter(label_columns.items())) if len(label_columns) == 1 else None
    if only and only[0] in ("club", "swing"):  # both labels in one column, whatever its heading says
        texts = [r.cells[only[1]] for r in below if only[1] < len(r.cells) and r.cells[only[1]].strip()]
        if texts and all(split_club_swing(text) for text in texts if fold(text).strip(" .:") not in words.MEANS):
            label_columns = {"shot_label": only[1]}
    columns = tuple(at for at, _ in numbered)
    left = [[r.cells[at] if at < len(r.cells) else "" for r in below] for at in range(numbered[0][0])]
    return Wide(
        head=i,
        kind="balls",
        columns=columns,
        labels={},
        label_columns=label_columns,
        unit_m=_corner_unit(row.cells),
        doubtful=doubtful_labels(left, label_columns) or tuple(unsure),
    )


def _numbered(row: Row) -> list[tuple[int, int]]:
    """Columns whose headings count on from 0 or 1 with the same word, or with none: ball 1, ball 2; 1st, 2nd; 1球目."""
    found: list[tuple[int, int, str]] = []
    for at, cell in enumerate(row.cells):
        name = split_heading(cell)[0] if cell.strip() else ""
        digits = re.findall(r"\d+", name)
        if len(digits) == 1 and len(digits[0]) <= 3 and len(name) <= 24 and "%" not in cell and ":" not in name:
            word = re.sub(r"\d+", "", name).strip(" .#°-_:")
            found.append((at, int(digits[0]), "" if word in _ORDINALS else word))
    best: list[tuple[int, int]] = []
    for begin in range(len(found)):
        if found[begin][1] > 1:
            continue
        run = [found[begin]]
        for one in found[begin + 1 :]:
            if one[2] == run[0][2] and one[1] == run[-1][1] + 1 and one[0] - run[-1][0] <= 2:
                run.append(one)
        if len(run) > len(best) and len(run) >= 3 and not is_club(row.cells[run[-1][0]]):
            best = [(at, number) for at, number, _ in run]
    return best


def _labels_across(sheet: Sheet, i: int, row: Row) -> Wide | None:
    labels: dict[int, Labels] = {}
    corner = False
    for at, cell in enumerate(row.cells):
        text = label_text(cell, swing=True) or ""
        bare = split_heading(text)[0] if text else ""
        if not text or fold(text).strip(" .:") in words.MEANS:
            continue
        if at == _first(row) and (roles_of(text)[0] or not _is_label(text)):
            corner = True
            continue
        if found := _column_label(text) or _column_label(bare):
            labels[at] = found
    if len(labels) < 2 and not corner:
        return None
    rest = [
        at
        for at, cell in enumerate(row.cells)
        if cell.strip() and at != _first(row) and at not in labels and fold(cell).strip(" .:") not in words.MEANS
    ]
    below = [r for r in sheet.rows[i + 1 : i + 40] if len(r.filled) > 1]
    if any(label.club or label.swing for at, label in labels.items() if counted(below, at)):
        return None  # headed like a shot, but it numbers the rows: so do the others' headings tell no shot
    labels = {at: told for at, told in labels.items() if varies(below, at)}
    if len(labels) < 2:
        return _own_names_across(sheet, i, row, rest, below)
    if any(_heads(row.cells[at]) for at in rest) or not all(holds_numbers(below, at) for at in labels):
        return None
    if any(kind_of(row.cells[at]) == "n" for at in rest) or any(
        _measured_alike(row.cells[at], below, at) for at in labels
    ):
        return None  # a row of balls: a heading row has not the types of the rows under it
    above = sheet.rows[i - 1] if i else None
    if above and above.number == row.number - 1 and labels_in(above.cells, bare=False).empty:
        labels = _with_upper(labels, above)
    return Wide(
        head=i,
        kind="labels",
        columns=tuple(labels),
        labels=labels,
        label_columns=_row_labels(row, below, labels),
        unit_m=_corner_unit(row.cells),
    )


def _two_heads(sheet: Sheet, i: int, row: Row) -> Wide | None:
    """Clubs in one heading row, each written once for the columns to its right, and swings of any name below them."""
    if i + 2 >= len(sheet.rows) or sheet.rows[i + 1].number != row.number + 1:
        return None
    lower, first = sheet.rows[i + 1], _first(row)
    clubs = {at: cell.strip() for at, cell in enumerate(row.cells) if is_club(cell)}
    others = [cell for at, cell in enumerate(row.cells) if cell.strip() and at not in clubs and at != first]
    if (
        not clubs
        or (len(row.filled) == 1 and len(clubs) == 1 and first in clubs)
        or any(fold(cell).strip(" .:") not in words.MEANS for cell in others)
    ):
        return None
    below = [r for r in sheet.rows[i + 2 : i + 40] if len(r.filled) > 1]
    swings = {
        at: cell.strip()
        for at, cell in enumerate(lower.cells)
        if at >= min(clubs) and cell.strip() and fold(cell).strip(" .:") not in words.MEANS and not counted(below, at)
    }
    if len(swings) < 2 or len(swings) <= len(clubs) or not all(holds_numbers(below, at) for at in swings):
        return None
    if any(find_number(text) and parse_swing(text).kind == "own" for text in swings.values()):
        return None
    if any(is_club(text) or _heads(text) for text in swings.values()):
        return None
    over = clubs if len(clubs) > 1 else {}  # one club alone is told for the rows below, until the next is
    labels = {
        at: Labels(None, clubs[max(c for c in clubs if c <= at)] if over else None, swing)
        for at, swing in swings.items()
    }
    unit = _corner_unit(row.cells) or _corner_unit(lower.cells)
    return Wide(head=i + 1, kind="labels", columns=tuple(labels), labels=labels, label_columns={}, unit_m=unit)


def _clubs_under(sheet: Sheet, i: int, row: Row) -> Wide | None:
    """Swings of any name in one heading row, each again for every club, and the clubs in the row below."""
    if i + 2 >= len(sheet.rows) or sheet.rows[i + 1].number != row.number + 1:
        return None
    lower = sheet.rows[i + 1]
    clubs = {at: cell.strip() for at, cell in enumerate(lower.cells) if at and is_club(cell)}
    swings = {at: cell.strip() for at, cell in enumerate(row.cells) if at in clubs and cell.strip()}
    others = [cell for at, cell in enumerate(lower.cells) if cell.strip() and at not in clubs and at != _first(lower)]
    if not swings or swings.keys() != clubs.keys() or others or len(set(swings.values())) == len(swings):
        return None
    if any(find_number(text) or is_club(text) or _heads(text) for text in swings.values()):
        return None
    below = [r for r in sheet.rows[i + 2 : i + 40] if len(r.filled) > 1]
    labels = {at: Labels(None, club, swings[at]) for at, club in clubs.items()}
    if len(set(labels.values())) < len(labels) or not all(holds_numbers(below, at) for at in labels):
        return None
    unit = _corner_unit(row.cells) or _corner_unit(lower.cells)
    return Wide(head=i + 1, kind="labels", columns=tuple(labels), labels=labels, label_columns={}, unit_m=unit)


def _measured_alike(label: str, below: list[Row], at: int) -> bool:
    """Whether a label with a decimal mark is one more of the numbers with decimals under it, not a loft and its bounce."""
    told = [row.cells[at] for row in below if at < len(row.cells) and row.cells[at].strip()]
    marked = sum(re.search(r"\d[.,]\d", cell) is not None for cell in told)
    return kind_of(label) == "n" and re.search(r"\d[.,]\d", label) is not None and marked > 0.5 * len(told)


def _own_names_across(sheet: Sheet, i: int, row: Row, rest: list[int], below: list[Row]) -> Wide | None:
    """Columns named with a player's own swings under a corner that says carry: rows count 1, 2, 3."""
    first = _first(row)
    corner = roles_of(row.cells[first])[0] if first is not None else ()
    if first is None or not set(corner) & {"carry", "distance", "number"} or len(rest) < 2 or not below:
        return None
    counted = [r.cells[first].strip() for r in below if first < len(r.cells)]
    numbers = [text for text in counted if _BALL.match(fold(text))]
    if len(numbers) < 2 or _BALL.match(fold(numbers[0]))["number"] != "1":  # type: ignore[index]
        return None
    if any(_heads(row.cells[at]) for at in rest) or not all(
        any(find_number(r.cells[at]) for r in below if at < len(r.cells)) for at in rest
    ):
        return None
    pairs = {at: split_club_own_swing(row.cells[at].strip()) for at in rest}
    whole = all(pairs.values())
    labels = {
        at: Labels(None, pair[0], pair[1]) if whole and pair else Labels(swing=row.cells[at].strip())
        for at, pair in pairs.items()
    }
    return Wide(
        head=i, kind="labels", columns=tuple(rest), labels=labels, label_columns={}, unit_m=_corner_unit(row.cells)
    )


def _corner(row: Row) -> bool:
    """Whether the first cell says what the table holds: "Carry (m)", "Club"."""
    if not row.cells or is_club(row.cells[0]):
        return False
    return words_of(row.cells[0]).best in (*KEY_ROLES, "number")


def _heads(text: str) -> bool:
    """Whether a text names a measure beyond doubt: no name that a player gave a swing."""
    return max(words_of(text).roles.values(), default=0.0) >= 3.5


def _first(row: Row) -> int | None:
    return next((at for at, cell in enumerate(row.cells) if cell.strip()), None)


def _is_label(text: str) -> bool:
    return _column_label(text) is not None


def _column_label(text: str) -> Labels | None:
    if is_club(text):
        return Labels(club=text)
    if parse_swing(text).kind != "own":
        return Labels(swing=text)
    if pair := split_club_swing(text):
        return Labels(club=pair[0], swing=pair[1])
    return None


def _with_upper(labels: dict[int, Labels], above: Row) -> dict[int, Labels]:
    """Labels of a second heading row above, each holding for the columns to its right until the next."""
    current, merged = Labels(), {}
    for at in range(max(labels) + 1):
        text = above.cells[at].strip() if at < len(above.cells) else ""
        if text and (found := _column_label(text)):
            current = found
        if at in labels:
            mine = labels[at]
            merged[at] = Labels(None, mine.club or current.club, mine.swing or current.swing)
    return merged


def _row_labels(row: Row, below: list[Row], labels: dict[int, Labels]) -> dict[str, int]:
    """Columns to the left that name the row's club, swing or player."""
    found: dict[str, int] = {}
    for at in range(min(labels)):
        roles = roles_of(row.cells[at])[0] if row.cells[at].strip() else ()
        texts = [r.cells[at] for r in below if at < len(r.cells) and r.cells[at].strip()]
        if not texts:
            continue
        told = any(label.club for label in labels.values())
        if "player" in roles:
            found["player"] = at
        elif not told and ("club" in roles or all(is_club(text) for text in texts)):
            found["club"] = at
        elif (
            told
            and ("swing" in roles or all(parse_swing(text).kind != "own" for text in texts))
            and "number" not in roles
        ):
            found["swing"] = at
    return found
