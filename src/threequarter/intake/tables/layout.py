"""A block and the evidence in it -> a layout: which column is read as what, and what is asked."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from threequarter.golf.errors import UserError
from threequarter.golf.message import Message
from threequarter.golf.swing_length import parse_swing
from threequarter.intake.reading import ColumnSeen
from threequarter.intake.tables.column import SAMPLE, Column, column_of
from threequarter.intake.tables.context import Context
from threequarter.intake.tables.days import names_a_month
from threequarter.intake.tables.decide import SAID, Decision, decide_numbers
from threequarter.intake.tables.decide_labels import decide_labels
from threequarter.intake.tables.decode import fold
from threequarter.intake.tables.distrust import carry_of_any, distrust, heads_nothing
from threequarter.intake.tables.evidence import shots_spread
from threequarter.intake.tables.labels import Labels as LabelTexts
from threequarter.intake.tables.labels import is_person
from threequarter.intake.tables.left_over import ask_for_the_rest
from threequarter.intake.tables.lines import Labels, is_club, is_mean_row, labels_in, split_club_swing
from threequarter.intake.tables.numbers import find_number
from threequarter.intake.tables.shape import Block
from threequarter.intake.tables.sheets import Row, Sheet, sheet_is_default
from threequarter.intake.tables.sides import other_side, side_of_a_word
from threequarter.intake.tables.units import Quantity, unit_of
from threequarter.intake.tables.vocabulary import Words, words_of


@dataclass(frozen=True, slots=True, kw_only=True)
class Named:
    """A column that is read: its place from 0, heading as written, role, and unit by its heading."""

    at: int
    heading: str
    role: str | None
    unit: tuple[Quantity, float] | None = None


@dataclass(slots=True, kw_only=True)
class Layout:
    """The columns of a block by role, what its unit row says, and how the columns were decided."""

    block: Block
    decision: Decision
    evidence: tuple[Column, ...] = ()
    columns: dict[str, list[Named]] = field(default_factory=dict)
    unit_row: dict[int, tuple[Quantity, float]] = field(default_factory=dict)
    combined: str | None = None
    side_column: int | None = None
    speed_factor: float | None = None
    width: int = 0
    said_units: dict[int, float] = field(default_factory=dict)
    side_words: dict[str, float] = field(default_factory=dict)
    """Words for a side that the other side's known word explains."""

    def first(self, role: str) -> Named | None:
        """The first column of a role."""
        found = self.columns.get(role)
        return found[0] if found else None

    def evidence_cells(self, at: int) -> tuple[str, ...]:
        """The cells of a column in the rows looked at."""
        return next((c.cells for c in self.evidence if c.at == at), ())

    def unit(self, column: Named) -> float | None:
        """The SI factor of a column as a person said, by its heading, or by the unit row below it."""
        if column.at in self.said_units:
            return self.said_units[column.at]
        if column.unit:
            return column.unit[1]
        return self.unit_row[column.at][1] if column.at in self.unit_row else None


def make_layout(context: Context, block: Block, known: Mapping[str, bool]) -> Layout:
    """The layout of a block. Raises UserError where an option names a column that is not there."""
    units = unit_row(block)
    rows = sample_of(block)
    columns = [
        column_of(at, heading, _words(context, block, at), rows, context.decimal, units.get(at))
        for at, heading in enumerate(_headings(block))
    ]
    fixed = _fixed(context, columns)
    gone = {c.at for wanted in context.options.ignore for c in _named(context, columns, wanted, "ignore")}
    columns = [c for c in columns if (c.filled or c.heading) and not _runs_over(block, c)]
    asked = [c for c in columns if c.at not in gone]
    labels = decide_labels(asked, fixed, known)
    groups = _shots(rows, labels.roles)
    numbers = decide_numbers(
        asked, fixed, groups, set(labels.roles) | set(labels.ignored) | {a for p in labels.asked.values() for a in p}
    )
    _swing_and_club(labels, numbers, asked, rows, fixed)
    ask_for_the_rest(labels, numbers, columns, known, gone)
    side_of_a_word(labels, numbers, asked, fixed)
    distrust(labels, numbers, asked, fixed)
    if numbers.at("carry") not in fixed and (_worthless(labels, numbers) or heads_nothing(block.headings)):
        _carry_first(labels, numbers, asked, fixed)
        context.hold_back = True
    layout = Layout(block=block, decision=_together(labels, numbers, gone), evidence=tuple(columns), unit_row=units)
    _columns(layout, columns)
    for wanted, unit in context.options.units.items():
        told = unit_of(unit)
        for column in _named(context, columns, wanted, "unit") if told else ():
            layout.said_units[column.at] = told[1] if told else 1.0
    _side_words(layout, context, fixed)
    widths = [len(row.cells) for row in rows]
    layout.width = max(set(widths), key=widths.count) if widths else 0
    return layout


def _runs_over(block: Block, column: Column) -> bool:
    """Whether a column holds what commas parted from the remarks, the last heading."""
    last = len(block.headings) - 1
    return 0 < last < column.at and not column.numeric and block.words(last).best == "note"


LEARNED: Final = 3.5
"""Log odds of a heading that this coach has explained: as good as a plain word for it, no better."""


def _words(context: Context, block: Block, at: int) -> Words:
    """What a heading says: to this coach, else to anybody. Not where it stands over several columns."""
    words, heading = block.words(at), fold(block.headings[at]) if at < len(block.headings) else ""
    role = context.options.learned.get(heading) if heading else None
    if role is None or sum(fold(one) == heading for one in block.headings) > 1:
        return words
    weaker = {other: min(score, SAID) for other, score in words.roles.items()}
    return replace(words, roles={**weaker, role: LEARNED})


def _carry_first(labels: Decision, numbers: Decision, columns: Sequence[Column], fixed: Mapping[int, str]) -> None:
    """Where headings stand over the wrong columns all along the row the carry is asked about before anything else."""
    labels.asked.clear()
    places = (*numbers.asked.pop("carry", ()), *carry_of_any(columns, fixed))
    numbers.asked.clear()
    numbers.ask("carry", *tuple(dict.fromkeys(places))[:4])


def _worthless(labels: Decision, numbers: Decision) -> bool:
    """Whether headings stand over the wrong columns all along the row."""
    return len(labels.belied | numbers.belied) > 2 or bool(labels.belied and numbers.belied)


def _swing_and_club(
    labels: Decision, numbers: Decision, columns: Sequence[Column], rows: Sequence[Row], fixed: Mapping[int, str]
) -> None:
    """Asks where neither names anything that is known and the "club" explains the carry far better than the "swing"."""
    club, swing, carry = labels.at("club"), labels.at("swing"), numbers.at("carry")
    by_place = {c.at: c for c in columns}
    if swing is None:
        swing = next((at for at in labels.asked.get("swing", ()) if at != club and at in by_place), None)
    if club is None or swing is None or carry is None or {club, swing} & set(fixed):
        return
    one, two = LabelTexts(column=by_place[club]), LabelTexts(column=by_place[swing])
    if (one.club >= 0.8 and not one_letter(one)) or one.lofts > 0 or two.swing > 0 or one.different < 2:
        return
    if two.different < 2:  # one "swing" for all balls and several "clubs", all of them names of the player's own
        labels.ask("club", club, swing)
        labels.ask("swing", swing, club)
        return
    by_club = shots_spread(by_place[carry], _shots(rows, {club: "club"}))
    by_swing = shots_spread(by_place[carry], _shots(rows, {swing: "swing"}))
    if by_club < 0.7 * by_swing:
        labels.ask("club", club, swing)
        labels.ask("swing", swing, club)


def _side_words(layout: Layout, context: Context, fixed: Mapping[int, str]) -> None:
    """The one unknown word of a side column is the other side of the one that is known; where none is known it is asked."""
    column = layout.first("offline")
    if column is not None:
        layout.side_words, doubtful = other_side(layout.evidence_cells(column.at), context.decimal)
        if doubtful and column.at not in fixed:
            layout.decision.ask("offline", column.at)


def one_letter(labels: LabelTexts) -> bool:
    """Whether all texts are single letters: S is a sand wedge, or short."""
    return all(len(text) == 1 for text in labels.texts)


def headings_only(block: Block, columns: Sequence[Column]) -> tuple[ColumnSeen, ...]:
    """The columns of a block before anything is decided of them, for a person to say what they are."""
    return tuple(
        ColumnSeen(
            number=c.at + 1, heading=c.heading, role=None, cells=c.cells[:6], sheet=block.sheet.name, verdict="asked"
        )
        for c in columns[:80]
    )


def _headings(block: Block) -> tuple[str, ...]:
    wide = max((len(row.cells) for row in block.body[:SAMPLE]), default=0)
    return block.headings + ("",) * (min(wide, 200) - len(block.headings))


def sample_of(block: Block) -> list[Row]:
    """Rows of balls that evidence is taken from: those with enough cells that say nothing of means or headings."""
    heads = {fold(heading) for heading in block.headings if heading}
    found: list[Row] = []
    widest = 0
    for row in block.body:
        count = len(row.filled)
        if count < 2 or count < 0.4 * widest or is_mean_row(row.cells):
            continue
        if sum(fold(cell) in heads for cell in row.filled) > 0.5 * count or all(unit_of(cell) for cell in row.filled):
            continue
        widest = max(widest, count)
        found.append(row)
        if len(found) >= SAMPLE:
            break
    return found


def unit_row(block: Block) -> dict[int, tuple[Quantity, float]]:
    """A row of units in or under the headings: every filled cell is a unit or no number, and one at least is a unit."""
    for row in block.sheet.rows[max(block.first, 0) : block.last + 4]:
        units = {at: unit for at, cell in enumerate(row.cells) if cell.strip() and (unit := unit_of(cell))}
        if (
            units
            and len(units) >= 0.5 * len(row.filled)
            and not any(find_number(cell) and not unit_of(cell) for cell in row.filled)
        ):
            return units
    return {}


def _fixed(context: Context, columns: Sequence[Column]) -> dict[int, str]:
    """The columns that a person named, by place."""
    found: dict[int, str] = {}
    for role, wanted in context.options.columns.items():
        for column in _named(context, columns, wanted, role)[:1]:
            found[column.at] = role
    return found


def _named(context: Context, columns: Sequence[Column], wanted: str, role: str) -> list[Column]:
    """The columns of a heading, number or letter. Raises UserError where the only sheet has none."""
    at = place_of(wanted)
    found = [c for c in columns if c.heading and fold(c.heading) == fold(wanted)] or [c for c in columns if c.at == at]
    if not found and not context.many_sheets:
        headings = tuple(f"“{c.heading}”" for c in columns if c.heading)
        option = f"--{role.replace('_', '-')}"
        raise UserError(Message("intake.no_column_is_headed_the", wanted=wanted, option=option, headings=headings))
    return found


def place_of(wanted: str) -> int | None:
    """The place from 0 of a column by its number from 1 or its letter (A, B, ..., AA)."""
    plain = wanted.strip()
    if plain.isdecimal() and len(plain) < 9:
        return int(plain) - 1
    if 1 <= len(plain) <= 3 and plain.isascii() and plain.isalpha():
        number = 0
        for letter in plain.upper():
            number = number * 26 + ord(letter) - 64
        return number - 1
    return None


def letter_of(at: int) -> str:
    """A, B, ..., Z, AA of a column's place from 0."""
    text, number = "", at + 1
    while number:
        number, rest = divmod(number - 1, 26)
        text = chr(65 + rest) + text
    return text


def _shots(rows: Sequence[Row], roles: Mapping[int, str]) -> NDArray[np.int64]:
    """A number for each row's shot by its labels; -1 where a row has none."""
    places = [at for at, role in roles.items() if role in ("club", "swing", "shot_label")]
    last: dict[int, str] = {}
    keys: dict[tuple[str, ...], int] = {}
    found = []
    for row in rows:
        for at in places:
            if at < len(row.cells) and row.cells[at].strip():
                last[at] = fold(row.cells[at])
        key = tuple(last.get(at, "") for at in places)
        found.append(keys.setdefault(key, len(keys)) if places else -1)
    return np.array(found, dtype=np.int64)


def _together(labels: Decision, numbers: Decision, gone: set[int]) -> Decision:
    both = Decision(
        roles={**numbers.roles, **labels.roles},
        ignored={**numbers.ignored, **labels.ignored},
        likely={**numbers.likely, **labels.likely},
    )
    both.asked = dict(labels.asked)
    for about, places in numbers.asked.items():
        both.asked[about] = tuple(dict.fromkeys((*both.asked.get(about, ()), *places)))
    both.ignored.update(dict.fromkeys(gone, "said"))
    return both


def _columns(layout: Layout, columns: Sequence[Column]) -> None:
    for column in columns:
        role = layout.decision.roles.get(column.at)
        if role == "side_word":
            layout.side_column = column.at
        elif role:
            layout.columns.setdefault(role, []).append(
                Named(at=column.at, heading=column.heading, role=role, unit=column.words.unit)
            )
    if "shot_label" in layout.columns:
        layout.combined = "shot_label"
    if "loft" in layout.columns and not layout.columns.keys() & {"club", "shot_label"}:
        layout.columns["club"] = layout.columns["loft"][:1]  # a wedge that is only known by its loft
    if carries := layout.columns.get("carry"):
        same = [
            c for c in columns if layout.decision.ignored.get(c.at) == "copy" and c.words.best in ("carry", "distance")
        ]
        carries += [Named(at=c.at, heading=c.heading, role="carry", unit=c.words.unit) for c in same]
        carries.sort(key=lambda column: layout.unit(column) is None)


def labels_above(block: Block) -> tuple[Labels, list[str]]:
    labels, lines = Labels(), []
    for row in block.sheet.rows[: block.first]:
        told = labels_in(row.cells, bare=False)
        if (
            told.empty
            and len(row.filled) == 1
            and (is_club(row.filled[0]) or _plain_swing(row.filled[0]) or split_club_swing(row.filled[0]))
        ):
            told = labels_in(row.cells, bare=True)
        labels = Labels(told.player or labels.player, told.club or labels.club, told.swing or labels.swing)
        lines.append(" ".join(row.filled))
    title = block.sheet.rows[block.first - 1].filled if block.first > 0 else ()
    others = [row.filled[0] for row in block.body if len(row.filled) == 1]
    if labels.player is None and len(title) == 1 and is_person(title[0]) and any(is_person(one) for one in others):
        labels = replace(labels, player=title[0])  # a name above each of several sections
    return labels, lines


def club_in_title(block: Block) -> str | None:
    """What a line above a table names after a word for "club": the one club of its balls, or only a title."""
    for row in block.sheet.rows[: block.first]:
        if len(row.filled) != 1:
            continue
        told = _club_behind_words(row.filled[0]) or labels_in(row.cells, bare=True).club
        if told and len(told.split()) <= 2:
            return told
    return None


def _club_behind_words(title: str) -> str | None:
    """ "Which wedge 58", "The wedge was: 50 deg": a club at the end of a title whatever stands before it."""
    tokens = title.split()
    for length in (1, 2):
        if len(tokens) > length and is_club(club := " ".join(tokens[-length:])):
            return club
    return None


def _plain_swing(text: str) -> bool:
    return parse_swing(text).kind in ("level", "clock", "fraction") and len(text) < 25


def sheet_labels(sheet: Sheet, layout: Layout, above: Labels, alone: bool) -> Labels:
    """What a sheet's name tells where neither a column nor a line does."""
    if sheet.name is None or sheet_is_default(sheet.name) or names_a_month(sheet.name):
        return Labels()
    told = labels_in([sheet.name], bare=True)
    club = told.club if "club" not in layout.columns and not layout.combined and above.club is None else None
    swing = told.swing if "swing" not in layout.columns and not layout.combined and above.swing is None else None
    free = "player" not in layout.columns and above.player is None and not alone
    player = told.player if free and not words_of(sheet.name).roles else None
    return Labels(player=player, club=club, swing=swing)
