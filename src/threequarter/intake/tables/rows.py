"""Long tables: a row a ball, or a row a pile."""

from dataclasses import dataclass, field, replace

from threequarter.golf.ball import Ball, MeasuredBy, Place
from threequarter.golf.club import parse_club
from threequarter.golf.message import Message
from threequarter.intake.reading import SetAside
from threequarter.intake.tables import words
from threequarter.intake.tables.changes_below import changed_by
from threequarter.intake.tables.columns_told import columns_seen, means_only, tell_columns
from threequarter.intake.tables.context import Context, Doubt, Draft, Part
from threequarter.intake.tables.decode import fold
from threequarter.intake.tables.labels import is_person
from threequarter.intake.tables.layout import (
    Layout,
    Named,
    club_in_title,
    labels_above,
    letter_of,
    make_layout,
    sheet_labels,
)
from threequarter.intake.tables.lines import (
    Labels,
    is_club,
    is_mean_row,
    labels_in,
    note_says,
    split_club_swing,
)
from threequarter.intake.tables.means import sums_up
from threequarter.intake.tables.numbers import find_number, missing
from threequarter.intake.tables.questions import ask_about, ask_about_means
from threequarter.intake.tables.row_cells import LABELLED, RowCells
from threequarter.intake.tables.shape import Block, kind_of
from threequarter.intake.tables.sheets import Row, Sheet
from threequarter.intake.tables.turned import place_in
from threequarter.intake.tables.unit_lines import unit_above
from threequarter.intake.tables.units import speed_unit_from_physics, unit_of
from threequarter.intake.tables.values import Measure, label_text, measure, measure_twins, possible_carry, strike_of
from threequarter.intake.tables.vocabulary import words_of


@dataclass(slots=True)
class _State:
    """Walks down a sheet: what was told for the rows to come, and what was written once for a run of rows."""

    context: Context
    sheet: Sheet
    layout: Layout
    labels: Labels
    named: Labels
    above: dict[str, str | None] = field(default_factory=dict)
    run: list[float] = field(default_factory=list)
    summed: bool = False
    named_by_key: bool = False
    """Whether a key told the player: a lone capital word between the balls ("Session") is then no other one."""
    left_out: bool = False
    """Whether the line above says that the balls below it do not count: "Warm-up"."""
    unit_m: float | None = None
    """Metres of the unit that the nearest line above sets; a file may change its unit from one section to the next."""

    def take(self, row: Row) -> None:
        """One row: a heading again, a mean, a section line, a ball, or a row set aside; it is told which."""
        if not row.filled:
            return
        drafts, aside = len(self.context.drafts), len(self.context.set_aside)
        kind = self._kind(row)
        if kind == "ball":
            self._ball(row, self._cells(row).carry())
            kind = (
                "ball"
                if len(self.context.drafts) > drafts
                else "aside"
                if len(self.context.set_aside) > aside
                else "line"
            )
        if kind == "ball":
            self.run = [*([] if self.summed else self.run), self.context.drafts[-1].ball.distance_m]
        elif kind in ("heading", "line"):
            self.run = []
            self._left_out(row)
            unit, doubt = changed_by(row, kind, self.layout)
            self.unit_m = self.unit_m if self.context.options.unit else unit or self.unit_m
            self.context.doubts += [doubt] if doubt else []
        self.summed = kind == "mean" or (self.summed and kind != "ball")
        self.context.row(self.sheet.name, row.number, kind)

    def _left_out(self, row: Row) -> None:
        """A line that names warm-up balls holds until a line that tells neither club nor swing."""
        line = " ".join(row.filled)
        if len(row.filled) == 1 and (note_says(line, words.WARM_UP) or note_says(line, words.LEAVE_OUT)):
            self.left_out = True
        elif len(row.filled) == 1 and not (told := labels_in(row.cells, bare=True)).club and not told.swing:
            self.left_out = False

    def _cells(self, row: Row) -> RowCells:
        return RowCells(self.context, self.layout, row)

    def _kind(self, row: Row) -> str:
        if self._is_heading(row) or self._is_units(row):
            return "heading"
        player = self.layout.first("player")
        if (
            is_mean_row(row.cells, skip=player.at if player else None)
            or self._sums_up(row)
            or self._cells(row).statistic()
        ):
            return "mean"
        return "line" if self._is_section(row, self._cells(row).carry()) else "ball"

    def _sums_up(self, row: Row) -> bool:
        """A row without club and swing, with a word where the others count, whose carry is the mean or sum of those above."""
        labels = [c.at for role in ("club", "swing", "shot_label") for c in self.layout.columns.get(role, [])]
        if not labels or len(self.run) < 3 or any(at < len(row.cells) and row.cells[at].strip() for at in labels):
            return False
        told = self._cells(row).measured("carry")
        words = [cell for at, cell in enumerate(row.cells) if kind_of(cell) == "x" and self._counts(at)]
        if told is None or not (words or self._always_labelled(labels)):
            return False
        if words and told[1].value == len(self.run):
            return True  # how many balls there were
        unit = told[1].factor or self._unit(told[0]) or 0.9144
        return sums_up(told[1].value * unit, self.run, 0.11 * unit, ends=bool(words))

    def _always_labelled(self, labels: list[int]) -> bool:
        """Whether every ball has its labels in its own row, so that a row without them is no ball that takes those above."""
        filled = [c.filled / len(c.cells) for c in self.layout.evidence if c.at in labels and c.cells]
        return bool(filled) and min(filled) > LABELLED

    def _counts(self, at: int) -> bool:
        """Whether a column holds numbers or nothing in the rows of balls."""
        column = next((c for c in self.layout.evidence if c.at == at), None)
        return column is None or column.filled == 0 or column.numeric or column.at == 0

    def _is_heading(self, row: Row) -> bool:
        headings = {at: fold(heading) for at, heading in enumerate(self.layout.block.headings) if heading}
        same = sum(fold(row.cells[at]) == text for at, text in headings.items() if at < len(row.cells))
        if same >= max(2, 0.5 * len(headings)):
            return True
        folded = [fold(cell) for cell in row.filled]
        above = self.sheet.rows[self.layout.block.first : self.layout.block.last + 1]
        return bool(any(len(head.filled) > 1 and [fold(cell) for cell in head.filled] == folded for head in above))

    def _is_units(self, row: Row) -> bool:
        if len(row.filled) < 2 and not (self.layout.unit_row and len(row.filled) == 1):
            return False
        units = sum(unit_of(cell) is not None for cell in row.filled)
        return (
            units > 0
            and not any(find_number(cell) and not unit_of(cell) for cell in row.filled)
            and units >= 0.5 * len(row.filled)
        )

    def _is_section(self, row: Row, cell: tuple[Named, str] | None) -> bool:
        if len(row.filled) > 2 or (len(row.filled) == 2 and not _keyed(row)):
            return False
        measured = cell is not None and find_number(cell[1]) is not None
        if (
            measured
            and len(row.filled) == 2
            and max(words_of(row.filled[0].rstrip(":：")).roles.values(), default=0) < 3.5
        ):
            return False  # a label and a carry: a ball
        told = labels_in(row.cells, bare=True)
        if self.named_by_key and told.player and labels_in(row.cells, bare=False).player is None:
            told = replace(told, player=None)
        if (
            len(row.filled) == 1
            and cell is not None
            and find_number(cell[1])
            and (told.empty or not is_club(row.filled[0]))
        ):
            return False
        if len(row.filled) == 1 and (self._in_a_label_column(row) or self._in_the_carry_column(row, cell)):
            return False
        number = self.layout.first("number")
        if (
            len(row.filled) == 1
            and number
            and number.at < len(row.cells)
            and find_number(row.cells[number.at])
            and not is_club(row.filled[0])
        ):
            return False
        if told.empty:
            alone = len(row.filled) == 1 and find_number(row.filled[0]) is None
            if alone and not self.left_out:
                self.context.unexplained.append((self.sheet.name, row.number, row.filled[0]))
            return alone
        if told.player and not told.club and labels_in(row.cells, bare=False).player is None:
            self._doubt_a_name(row)
        self.labels = Labels(
            told.player or self.labels.player, told.club or self.labels.club, told.swing or self.labels.swing
        )
        if told.player:
            self.above.pop("player", None)
        if told.club:
            self.above.pop("club", None)
        if told.swing:
            self.above.pop("swing", None)
        return True

    def _doubt_a_name(self, row: Row) -> None:
        """A lone capital word between the balls may be a player, or the time of day."""
        if len(row.filled) == 1 and not is_person(row.filled[0]):
            self.context.doubts.append(
                Doubt("player", Message("intake.look.name_line", text=row.filled[0], row=row.number))
            )

    @staticmethod
    def _in_the_carry_column(row: Row, cell: tuple[Named, str] | None) -> bool:
        """A lone number below the carry, right of the labels, is a ball, though 52.3 could be a club and its bounce."""
        return bool(cell and cell[0].at > 0 and cell[1] == row.filled[0].strip() and kind_of(cell[1]) == "n")

    def _in_a_label_column(self, row: Row) -> bool:
        """A lone label below its own heading is a ball that breaks off, not a line for the rows below."""
        at = next(at for at, cell in enumerate(row.cells) if cell.strip())
        labels = [c.at for role in ("club", "swing", "shot_label", "player") for c in self.layout.columns.get(role, [])]
        if at not in labels or (at == 0 and len(labels) == 1 and self.above.get("club", "") != row.cells[at].strip()):
            return False
        again = sum(fold(row.cells[at]) == fold(cell) for cell in self.layout.evidence_cells(at))
        return again > (len(row.cells) > 1)  # its own cell is among them where lines are as wide as the table

    def _aside(self, row: Row, why: Message) -> None:
        place = Place(sheet=self.sheet.name, row=row.number)
        if self.sheet.turned and (column := self.layout.first("carry") or self.layout.first("pile")):
            place = place_in(self.sheet, row.number, column.at)
        self.context.set_aside.append(SetAside(place=place, why=why, text=" | ".join(row.filled)[:200]))

    def _label(self, row: Row, role: str) -> str | None:
        column = self.layout.first(role)
        text = (
            label_text(row.cells[column.at], swing=role == "swing") if column and column.at < len(row.cells) else None
        )
        if column:
            if text is None:
                text = self.above.get(role)
            else:
                self.above[role] = text
        told: str | None = getattr(self.labels, role)
        named: str | None = getattr(self.named, role)
        return text or told or named or getattr(self.context.options, role)

    def _club_and_swing(self, row: Row) -> tuple[str | None, str | None]:
        if self.layout.combined:
            column = self.layout.first(self.layout.combined)
            text = (
                (label_text(row.cells[column.at]) if column and column.at < len(row.cells) else None)
                or self.above.get("both")
                or ""
            )
            self.above["both"] = text
            if pair := split_club_swing(text):
                return pair
            return text or None, None
        return self._label(row, "club"), self._label(row, "swing")

    def _unit(self, column: Named) -> float | None:
        return self.layout.unit(column) or self.unit_m or self.context.unit_m

    def _measured(self, column: Named, text: str) -> Measure | None:
        """The number of a carry cell; two in one cell are asked about, and until then taken in the middle."""
        if value := measure(text, self.context.decimal):
            return value
        found = measure_twins(text, self.context.decimal, self.context.options.twins or "middle")
        if found and self.context.options.twins is None:
            asked = Message("intake.ask.twins", cell=text[:20], heading=column.heading or letter_of(column.at))
            self.context.ask("carry", asked, "--twins", ("first", "last", "middle"))
        return found

    def _ball(self, row: Row, cell: tuple[Named, str] | None) -> None:
        cells = self._cells(row)
        club, swing = self._club_and_swing(row)
        player = self._label(row, "player")
        if cells.broken_off():
            self._aside(row, Message("intake.too_few_cells"))
            return
        if cell is None or missing(cell[1]):
            self._aside(row, Message("intake.no_carry"))
            return
        column, text = cell
        value = self._measured(column, text)
        if value is None or (
            value.rest and strike_of(value.rest) is None and value.factor is None and len(value.rest) > 12
        ):
            self._aside(row, Message("intake.carry_is_no_number", text=text[:40]))
            return
        unit = value.factor or self._unit(column)
        carry_m = value.value * (unit or 0.9144)
        if not possible_carry(carry_m) and not (unit is None and cells.may_be_feet(column, value.value)):
            self._aside(row, Message("intake.no_wedge_carries_this_far", text=text[:20]))
            return
        if cells.disagrees(carry_m):
            self._aside(row, Message("intake.the_two_carries_of_this", text=text[:20]))
            return
        note = cells.note()
        count = cells.count() if column.role == "pile" or "pile" in self.layout.columns else 1
        loft = cells.loft()
        ball = Ball(
            number=len(self.context.drafts) + 1,
            club=club or "",
            swing=swing or "",
            distance_m=carry_m,
            loft_deg=loft if loft is not None else parse_club(club or "").loft_deg,
            player=player,
            measured_by=MeasuredBy.PILE if column.role == "pile" else MeasuredBy.UNKNOWN,
            offline_m=cells.offline(unit),
            ball_speed_mps=cells.number("ball_speed", self.layout.speed_factor),
            launch_deg=cells.number("launch", 1.0),
            backspin_rpm=cells.number("spin", 1.0) or None,
            strike=strike_of(note) or strike_of(value.rest),
            use=cells.counts(note) and not self.left_out,
            count=count,
            note=note or None,
            place=place_in(self.sheet, row.number, column.at),
        )
        self.context.drafts.append(Draft(ball=ball, unit_m=unit or 1.0, unit_unknown=unit is None))


def read_rows(context: Context, block: Block, known: dict[str, bool], *, alone: bool) -> None:
    """Adds the balls of a block to the context, and what is asked about it."""
    layout = make_layout(context, block, known)
    sheet = block.sheet
    seen = columns_seen(layout)
    if not context.columns or (not context.drafts and not context.questions):
        context.columns = seen
    if not any(role in layout.columns for role in ("carry", "pile")):
        if not means_only(context, layout):
            ask_about(context, layout)
        return
    for row in block.sheet.rows[: block.last + 1]:
        context.row(
            sheet.name, row.number, "heading" if row in block.sheet.rows[block.first : block.last + 1] else "above"
        )
    above, _lines = labels_above(block)
    state = _State(
        context=context,
        sheet=sheet,
        layout=layout,
        labels=above,
        named=sheet_labels(sheet, layout, above, alone),
        named_by_key=any(labels_in(row.cells, bare=False).player for row in sheet.rows[: block.first]),
    )
    if not context.options.unit:
        state.unit_m = unit_above(sheet, block.first)
    titled = club_in_title(block) if not ({"club", "shot_label"} & layout.columns.keys() or above.club) else None
    if titled and not state.named.club and not context.options.club:
        state.labels = replace(state.labels, club=titled)
    _speed_unit(state, context)
    before = len(context.drafts)
    for row in block.body:
        state.take(row)
    if titled and any(draft.ball.club == titled for draft in context.drafts[before:]) and not context.options.club:
        context.ask("club", Message("intake.ask.club_in_title", club=titled), "--club", (titled,))
    context.parts.append(Part(sheet=sheet, layout=layout, drafts=context.drafts[before:]))
    if len(context.drafts) > before:
        ask_about_means(context, layout, [draft.ball for draft in context.drafts[before:]])
        context.columns = context.columns if before else seen
        ask_about(context, layout)
        tell_columns(context, sheet, layout)


def _speed_unit(state: _State, context: Context) -> None:
    column, carry = state.layout.first("ball_speed"), state.layout.first("carry")
    if column is None or carry is None or state.layout.unit(column) is not None:
        return
    speeds, carries = [], []
    for row in state.layout.block.body:
        if max(column.at, carry.at) < len(row.cells):
            speed, distance = (
                measure(row.cells[column.at], context.decimal),
                measure(row.cells[carry.at], context.decimal),
            )
            if speed and distance and speed.factor is None:
                speeds.append(speed.value)
                carries.append(
                    distance.value * (distance.factor or state.layout.unit(carry) or context.unit_m or 0.9144)
                )
    state.layout.speed_factor = speed_unit_from_physics(speeds, carries)
    if speeds and state.layout.speed_factor is None:
        context.plan.append(Message("intake.ball_speed_in_column_bears", heading=column.heading))


def _keyed(row: Row) -> bool:
    return not labels_in(row.filled, bare=False).empty
