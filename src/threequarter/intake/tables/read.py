"""Any table of balls -> a Reading: balls, rows set aside, questions, and the plan in words."""

from collections.abc import Iterable
from dataclasses import replace
from pathlib import Path
from typing import Final

import numpy as np

from threequarter.golf.ball import Ball
from threequarter.golf.errors import UserError
from threequarter.golf.player import name_key
from threequarter.golf.units import FOOT_M, METRES_PER, YARD_M, DistanceUnit
from threequarter.intake.options import ReadOptions
from threequarter.intake.own_format.columns import balls_of
from threequarter.intake.own_format.files import holds_own, read_own
from threequarter.intake.reading import ROWS, ColumnSeen, Reading, SetAside
from threequarter.intake.tables.checks import check
from threequarter.intake.tables.context import Context
from threequarter.intake.tables.days import find_days
from threequarter.intake.tables.layout import unit_row
from threequarter.intake.tables.lines import labels_in, left_is_plus, name_like
from threequarter.intake.tables.numbers import decimal_mark, find_number
from threequarter.intake.tables.questions import rows_words
from threequarter.intake.tables.rows import read_rows
from threequarter.intake.tables.shape import Block, blocks_of, kind_of
from threequarter.intake.tables.sheets import Row, Sheet, sheet_is_default, sheets_of
from threequarter.intake.tables.turned import upright
from threequarter.intake.tables.units import unit_in_line
from threequarter.intake.tables.vocabulary import words_of
from threequarter.intake.tables.wide import read_wide
from threequarter.intake.tables.wide_layout import Wide, find_wide
from threequarter.language.localize import _, ngettext, number

MAX_FILE_MB: Final = 200
_NO_DECIMALS: Final = (
    "spin",
    "number",
    "date",
    "count",
    "time",
    "club",
    "swing",
    "player",
    "note",
    "shot_label",
    "loft",
    "spin_axis",
)
Table = tuple[Sheet, list[Block]]


def read_file(path: Path, options: ReadOptions | None = None) -> Reading:
    """The balls of a file. Raises UserError where the file itself cannot be opened; see `read_table` for the rest."""
    return read_table(file_bytes(path), path.name, options)


def file_bytes(path: Path) -> bytes:
    """What a file holds. Raises UserError where it cannot be opened or is larger than is read."""
    try:
        size_mb = path.stat().st_size / 2**20
        if path.is_dir():
            raise UserError(_("{file} is a folder. Name a file in it.").format(file=path))
        if size_mb > MAX_FILE_MB:
            raise UserError(
                _("{file} holds {size} MB; up to {most} MB are read. Split it by session.").format(
                    file=path.name, size=number(size_mb), most=MAX_FILE_MB
                )
            )
        return path.read_bytes()
    except FileNotFoundError:
        raise UserError(_("There is no file {file}. Check its name and folder.").format(file=path)) from None
    except PermissionError:
        raise UserError(
            _("{file} may not be read. Change its permissions or copy it elsewhere.").format(file=path)
        ) from None
    except OSError as error:
        raise UserError(_("{file} cannot be read: {why}.").format(file=path, why=error.strerror)) from None


def read_table(content: bytes, name: str, options: ReadOptions | None = None) -> Reading:
    """The balls of a table. Never raises for what the table holds: `error` says why there are no balls."""
    options = options or ReadOptions()
    try:
        if not options.columns and holds_own(content, name):
            return _own(content, name, options)
        sheets = sheets_of(content, name, encoding=options.encoding, delimiter=options.delimiter)
        if options.sheet is not None:
            sheets = _chosen_sheet(sheets, options.sheet)
        return _read_sheets(sheets, name, options)
    except UserError as error:
        return Reading(error=_in_one_line(name, error), name=name)


def _in_one_line(name: str, error: UserError) -> str:
    """Words for the user, whatever line ends a cell in them held."""
    return " ".join(f"{name}: {error}".split())


def _own(content: bytes, name: str, options: ReadOptions) -> Reading:
    """A table of our own: every column is known, nothing is asked."""
    rows = read_own(content, name) or []
    balls = tuple(
        ball for ball in balls_of(rows) if not options.player or name_key(ball.player or "") == name_key(options.player)
    )
    if not balls:
        raise UserError(_("there is no ball in this table of threequarter's own."))
    units = [row["unit"] for row in rows if row["unit"]]
    return Reading(
        balls=balls, name=name, unit="m" if options.unit == "m" or (not options.unit and "m" in units[:1]) else "yd",
        plan=("a table of threequarter's own: every column is known",),
    )  # fmt: skip


def _chosen_sheet(sheets: list[Sheet], name: str) -> list[Sheet]:
    chosen = [sheet for sheet in sheets if sheet.name == name]
    if not chosen:
        raise UserError(
            _("there is no sheet {name!r}; it has: {sheets}. Name one with --sheet.").format(
                name=name, sheets=", ".join(str(s.name) for s in sheets)
            )
        )
    return chosen


def _read_sheets(sheets: list[Sheet], name: str, options: ReadOptions) -> Reading:
    context = Context(options=options)
    sheets = [upright(sheet) for sheet in sheets if sheet.rows]
    if not sheets:
        raise UserError(_("the file is empty."))
    context.many_sheets = len(sheets) > 1
    tables = [(sheet, blocks_of(sheet, options.header_line)) for sheet in sheets]
    pointed = bool({"carry", "pile"} & set(options.columns))
    wides = {
        id(sheet): None if pointed else find_wide(sheet, blocks[0] if blocks else None) for sheet, blocks in tables
    }
    _decide_decimal(context, tables)
    _decide_unit(context, tables)
    context.left_plus = (
        options.right == "-" if options.right else any(left_is_plus(line) for line in _loose_lines(tables))
    )
    try:
        _read_each(context, tables, wides, alone=len(sheets) == 1)
        return _finish(context, sheets, name)
    except UserError as error:
        return Reading(
            error=_in_one_line(name, error), name=name, columns=context.columns, set_aside=tuple(context.set_aside)
        )


def _read_each(context: Context, tables: list[Table], wides: dict[int, Wide | None], *, alone: bool) -> None:
    for sheet, blocks in tables:
        wide = wides[id(sheet)]
        if wide is not None:
            read_wide(context, sheet, wide, alone=alone)
            continue
        for block in blocks:
            read_rows(context, block, known_around(context, block, alone=alone), alone=alone)


def known_around(context: Context, block: Block, *, alone: bool) -> dict[str, bool]:
    """Which of club, swing and player the lines around a table tell: above it, between its rows, in the sheet's name."""
    told = [labels_in(row.cells, bare=False) for row in block.sheet.rows[: block.first]]
    told += [labels_in(row.cells, bare=False) for row in block.body[:2000] if 1 <= len(row.filled) <= 2]
    named = list(told)
    told += [labels_in(row.cells, bare=True) for row in block.body[:2000] if 1 <= len(row.filled) <= 2]
    told += [
        labels_in(row.cells, bare=True)
        for row in block.sheet.rows[: block.first]
        if len(row.filled) == 1 and not name_like(row.filled[0])
    ]
    if block.sheet.name and not sheet_is_default(block.sheet.name):
        told.append(labels_in([block.sheet.name], bare=True))
        named.append(told[-1])
    options = context.options
    return {
        "club": bool(options.club) or any(one.club for one in told),
        "swing": bool(options.swing) or any(one.swing for one in told),
        "player": bool(options.player) or any(one.player for one in named),
    }


def _loose_lines(tables: Iterable[Table]) -> list[str]:
    """Headings and lines above, and lines of one or two cells anywhere: where remarks about units and sides stand."""
    lines = []
    for sheet, blocks in tables:
        top = blocks[0].last if blocks else -1
        lines += [" ".join(row.filled) for i, row in enumerate(sheet.rows) if i < top or len(row.filled) <= 2]
        lines += [heading for block in blocks for heading in block.headings if heading]
        if sheet.name:
            lines.append(sheet.name)
    return lines


def _decide_decimal(context: Context, tables: list[Table]) -> None:
    digits = []
    for sheet, blocks in tables:
        for block in blocks or [Block(sheet=sheet, first=0, last=-1, headings=())]:
            left_out = {at for at in range(len(block.headings)) if block.words(at).best in _NO_DECIMALS}
            for row in block.body[:5000]:
                for at, cell in enumerate(row.cells):
                    if at not in left_out and kind_of(cell) in ("n", "x") and (written := find_number(cell)):
                        digits.append(written.digits)
    settled = context.options.decimal or decimal_mark(digits)
    context.decimal = settled or "."
    context.plan.append(_("decimal comma") if context.decimal == "," else _("decimal point"))
    if settled is None:
        _ask_decimal_in_cm(context, tables)
    _ask_decimal_in_raw_commas(context, tables)


def _ask_decimal_in_cm(context: Context, tables: list[Table]) -> None:
    """A side in centimetres where every number looks like 1.049 may be a millimetre or ten metres off the line."""
    for _sheet, blocks in tables:
        for block in blocks:
            for at, heading in enumerate(block.headings):
                said = words_of(heading)
                if said.best != "offline" or said.unit != ("length", 0.01):
                    continue
                cells = [row.cells[at] for row in block.body if at < len(row.cells)]
                marked = [
                    w.digits for cell in cells if (w := find_number(cell)) and ("." in w.digits or "," in w.digits)
                ]
                if marked:
                    text = _(
                        "Is {digits!r} in column {heading!r} a number with a decimal mark or with a thousands mark?"
                    )
                    context.ask("decimal", text.format(digits=marked[0], heading=heading), "--decimal", (".", ","))


def _ask_decimal_in_raw_commas(context: Context, tables: list[Table]) -> None:
    """Commas that part the cells and the decimals too: rows are longer than their heading, each in its own way.

    No option answers that: 30,2,1 is 30.2 and 1 as well as 30 and 2.1. Only a file saved anew does.
    """
    for sheet, blocks in tables:
        if not blocks or sheet.delimiter != ",":
            continue
        width = len(blocks[0].headings)
        rows = [row for row in blocks[0].body if len(row.filled) > 1]
        longer = [
            row for row in rows if len(row.cells) > width and all(cell.strip() for cell in row.cells[width - 1 :])
        ]
        if width and rows and len(longer) > 0.3 * len(rows):
            text = _(
                "Commas part the cells and are decimal marks too (line {line}: {cells}), so that numbers can be read in two"
                " ways. Save the file again with semicolons or tabs between the cells."
            )
            context.ask("decimal", text.format(line=longer[0].number, cells=",".join(longer[0].cells)), "")


def _decide_unit(context: Context, tables: list[Table]) -> None:
    """The unit of lengths that bear none of their own: by option, a line, or another column of lengths."""
    if context.options.unit:
        context.unit_m = {"yd": YARD_M, "m": 1.0, "ft": FOOT_M}[context.options.unit]
        return
    for line in _loose_lines(tables):
        if unit := unit_in_line(line):
            context.unit_m = unit
            return
    for wanted in ("carry", "distance", "pile", "total", "target", "deviation", "average", "offline", "height", None):
        for _sheet, blocks in tables:
            for block in blocks:
                if unit := _unit_of_a_column(block, wanted):
                    context.unit_m = unit
                    return


def _unit_of_a_column(block: Block, wanted: str | None) -> float | None:
    for at in range(len(block.headings)):
        said = block.words(at)
        unit = said.unit or unit_row(block).get(at)
        if unit and unit[0] == "length" and said.best == wanted and (wanted != "offline" or unit[1] >= FOOT_M):
            return unit[1]
    return None


FAR_M: Final = 200.0
FAR_BESIDE: Final = 2.0
"""No wedge carries 200 m. One such carry among wedges, twice as far as three in four of them, is a slip of the key;
where many are as far the table is one of long clubs and all are kept."""


def _set_slips_aside(context: Context) -> None:
    """Sets aside single carries that are far beyond all the others of the file."""
    carries = [draft.ball.distance_m for draft in context.drafts]
    if not carries or max(carries) <= FAR_M:
        return
    limit = max(FAR_M, FAR_BESIDE * float(np.percentile(carries, 75)))
    for draft in [one for one in context.drafts if one.ball.distance_m > limit]:
        context.drafts.remove(draft)
        place = draft.ball.place
        if place is None:
            continue
        context.rows[place.sheet, place.row or 0] = "aside"
        text = f"{draft.ball.distance_m / draft.unit_m:g}"
        context.set_aside.append(SetAside(place=place, why=_("no wedge carries this far: {text}").format(text=text)))


def _finish(context: Context, sheets: list[Sheet], name: str) -> Reading:
    _set_slips_aside(context)
    if not context.drafts and not context.questions:
        raise UserError(_why_nothing(context, sheets))
    if any(draft.unit_unknown for draft in context.drafts):
        context.ask(
            "unit",
            _("No unit of length is written in this file. Are the distances yards, metres or feet?"),
            "--unit",
            ("yd", "m", "ft"),
        )
    if stuck := {about: q for about, q in context.questions.items() if not q.option}:
        if "carry" in context.questions:
            context.drafts = []  # not even the columns are certain
        context.questions = stuck  # nothing else is worth asking before the file is saved anew
    _ask_few(context)
    drafts = context.drafts
    if context.options.player:
        wanted = context.options.player.casefold()
        drafts = [draft for draft in drafts if (draft.ball.player or "").casefold() == wanted]
        if not drafts:
            players = sorted({d.ball.player for d in context.drafts if d.ball.player})
            raise UserError(
                _("no ball is by {player!r}; the players are: {players}. Name one with --player.").format(
                    player=context.options.player, players=", ".join(players) or _("not named")
                )
            )
    dated = find_days([replace(draft.ball, number=i) for i, draft in enumerate(drafts, start=1)], sheets, name)
    balls = dated.balls
    aside = len(context.set_aside)
    said = ngettext("{balls} balls read; {count} row set aside", "{balls} balls read; {count} rows set aside", aside)
    context.plan.append(said.format(balls=len(balls), count=aside))
    context.plan += (*dated.said, *check(balls))
    rows = _rows_told(context, sheets)
    context.plan.append(rows_words(rows))
    return Reading(
        balls=balls,
        set_aside=tuple(context.set_aside),
        questions=tuple(context.questions.values()),
        plan=tuple(dict.fromkeys(context.plan)),
        unit=_reader_unit(context),
        name=name,
        rows=rows,
        columns=_with_first_ball(dated.mark(context.columns), balls, sheets),
        days=dated.days,
        conditions=dated.conditions,
    )


MOST_ASKED: Final = 3
"""So many questions at once; where there are more, the balls wait until these are answered."""
_FIRST_ASKED: Final = ("sheet", "decimal", "carry", "club", "swing", "rows", "player", "offline", "unit")


def _ask_few(context: Context) -> None:
    """Leaves the questions on which the others hang, where more are open than a person will answer."""
    if len(context.questions) > MOST_ASKED:
        order = sorted(context.questions, key=lambda a: _FIRST_ASKED.index(a) if a in _FIRST_ASKED else 99)
        context.questions = {about: context.questions[about] for about in order[:MOST_ASKED]}
        context.hold_back = True
    if context.hold_back and context.questions:
        context.drafts = []


def _rows_told(context: Context, sheets: list[Sheet]) -> tuple[tuple[str, int], ...]:
    """How many rows were what; the rows of the file that hold something are all among them."""
    counts: dict[str, int] = {}
    for sheet in sheets:
        for row in sheet.rows:
            if row.filled:
                kind = context.rows.get((sheet.name, row.number), "line")
                counts[kind] = counts.get(kind, 0) + 1
    return tuple((kind, counts[kind]) for kind in ROWS if kind in counts)


def _with_first_ball(
    columns: tuple[ColumnSeen, ...], balls: tuple[Ball, ...], sheets: list[Sheet]
) -> tuple[ColumnSeen, ...]:
    """The columns with their cell in the row of the first ball that counts, else of the first."""
    ours = [ball for ball in balls if columns and ball.place and ball.place.sheet == columns[0].sheet]
    first = next((ball for ball in ours if ball.use), ours[0] if ours else None)
    place = first.place if first else None
    if place is None:
        return columns
    row = next(
        (row for sheet in sheets if sheet.name == place.sheet for row in sheet.rows if row.number == place.row), None
    )
    cells = row.cells if row else ()
    return tuple(replace(c, row=place.row, cell=cells[c.number - 1] if c.number <= len(cells) else "") for c in columns)


def _reader_unit(context: Context) -> DistanceUnit:
    """The unit answers are given back in: yards where the file is in yards or feet, else metres."""
    factors = [draft.unit_m for draft in context.drafts] or [context.unit_m or 1.0]
    common = max(set(factors), key=factors.count)
    return "yd" if abs(common - METRES_PER["yd"]) < 1e-9 or abs(common - FOOT_M) < 1e-9 else "m"


def _why_nothing(context: Context, sheets: list[Sheet]) -> str:
    if context.set_aside:
        first = context.set_aside[0]
        return _("no ball can be read: all {count} rows are set aside (row {row}: {why}).").format(
            count=len(context.set_aside), row=first.place.row, why=first.why
        )
    rows: list[Row] = [row for sheet in sheets for row in sheet.rows]
    widest = max(rows, key=lambda row: len(row.filled)).filled[:6] if rows else ()
    return _(
        "no distances are found in it. Its widest line reads {cells}. If one of these is the carry, name it with --carry; a table"
        " needs a column with the carry of each ball."
    ).format(cells=", ".join(repr(cell) for cell in widest) or _("nothing"))
