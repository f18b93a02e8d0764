"""Any table of balls -> a Reading: balls, rows set aside, questions, and the plan in words."""

from collections.abc import Iterable
from dataclasses import replace
from pathlib import Path
from typing import Final

from threequarter.golf.ball import Ball
from threequarter.golf.errors import UserError
from threequarter.golf.language import _, ngettext, number
from threequarter.golf.player import name_key
from threequarter.golf.units import FOOT_M, METRES_PER, YARD_M, DistanceUnit
from threequarter.intake.options import ReadOptions
from threequarter.intake.own_format.columns import balls_of
from threequarter.intake.own_format.files import holds_own, read_own
from threequarter.intake.reading import ColumnSeen, Reading
from threequarter.intake.tables.context import Context
from threequarter.intake.tables.heading import Header, find_header, plain_header
from threequarter.intake.tables.lines import left_is_plus
from threequarter.intake.tables.numbers import decimal_mark, find_number
from threequarter.intake.tables.rows import columns_seen, read_rows
from threequarter.intake.tables.sheets import Row, Sheet, sheets_of
from threequarter.intake.tables.units import unit_in_line
from threequarter.intake.tables.wide import Wide, find_wide, read_wide

MAX_FILE_MB: Final = 200


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
    tables = [(sheet, find_header(sheet.rows, options.header_line)) for sheet in sheets if sheet.rows]
    if not tables:
        raise UserError(_("the file is empty."))
    context.many_sheets = len(tables) > 1
    if options.columns:  # somebody said what the columns are: then their headings need not be known words
        tables = [(sheet, header or plain_header(sheet.rows)) for sheet, header in tables]
    pointed = bool({"carry", "pile"} & set(options.columns))
    wides = {id(sheet): None if pointed else find_wide(sheet, header) for sheet, header in tables}
    _decide_decimal(context, tables)
    _decide_unit(context, tables)
    context.left_plus = (
        options.right == "-" if options.right else any(left_is_plus(line) for line in _loose_lines(tables))
    )
    try:
        _read_each(context, tables, wides, alone=len(sheets) == 1)
        return _finish(context, sheets, name)
    except UserError as error:
        columns = context.columns or _columns_at_least(tables)
        return Reading(error=_in_one_line(name, error), name=name, columns=columns, set_aside=tuple(context.set_aside))


def _read_each(
    context: Context, tables: list[tuple[Sheet, Header | None]], wides: dict[int, Wide | None], *, alone: bool
) -> None:
    for sheet, header in tables:
        wide = wides[id(sheet)]
        if wide is not None:
            read_wide(context, sheet, wide, alone=alone)
        elif header is not None:
            read_rows(context, sheet, header, alone=alone)


def _columns_at_least(tables: list[tuple[Sheet, Header | None]]) -> tuple[ColumnSeen, ...]:
    """The columns of the first sheet where nothing was understood, for a person to say what they are."""
    sheet, found = tables[0]
    header = found or plain_header(sheet.rows)
    return columns_seen(sheet, header, {}) if header else ()


def _loose_lines(tables: Iterable[tuple[Sheet, Header | None]]) -> list[str]:
    """Headings and lines above, and lines of one or two cells anywhere: where remarks about units and sides stand."""
    lines = []
    for sheet, header in tables:
        top = header.last if header else -1
        lines += [" ".join(row.filled) for i, row in enumerate(sheet.rows) if i < top or len(row.filled) <= 2]
        if header:
            lines += [column.heading for column in header.columns if column.heading]
        if sheet.name:
            lines.append(sheet.name)
    return lines


def _decide_decimal(context: Context, tables: list[tuple[Sheet, Header | None]]) -> None:
    digits = []
    for sheet, header in tables:
        left_out = (
            {
                c.at
                for c in header.columns
                if c.role
                in (
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
            }
            if header
            else set()
        )
        for row in sheet.rows[(header.last + 1) if header else 0 :]:
            for at, cell in enumerate(row.cells):
                if at not in left_out and (written := find_number(cell)):
                    digits.append(written.digits)
    settled = context.options.decimal or decimal_mark(digits)
    context.decimal = settled or "."
    context.plan.append(_("decimal comma") if context.decimal == "," else _("decimal point"))
    if settled is None:
        _ask_decimal_in_cm(context, tables)
    _ask_decimal_in_raw_commas(context, tables)


def _ask_decimal_in_cm(context: Context, tables: list[tuple[Sheet, Header | None]]) -> None:
    """A side in centimetres where every number looks like 1.049 may be a millimetre or ten metres off the line."""
    for sheet, header in tables:
        if header is None:
            continue
        for column in header.with_role("offline"):
            if column.unit != ("length", 0.01):
                continue
            cells = [row.cells[column.at] for row in sheet.rows[header.last + 1 :] if column.at < len(row.cells)]
            marked = [w.digits for cell in cells if (w := find_number(cell)) and ("." in w.digits or "," in w.digits)]
            if marked:
                context.ask(
                    "decimal",
                    _("Is {digits!r} in column {heading!r} a number with a decimal mark or with a thousands mark?").format(
                        digits=marked[0], heading=column.heading
                    ),
                    "--decimal", (".", ","),
                )  # fmt: skip


def _ask_decimal_in_raw_commas(context: Context, tables: list[tuple[Sheet, Header | None]]) -> None:
    """Commas that part the cells and the decimals too: rows are longer than their heading, each in its own way.

    No option answers that: 30,2,1 is 30.2 and 1 as well as 30 and 2.1. Only a file saved anew does.
    """
    for sheet, header in tables:
        if header is None or sheet.delimiter != ",":
            continue
        width = len(header.columns)
        rows = [row for row in sheet.rows[header.last + 1 :] if len(row.filled) > 1]
        longer = [
            row for row in rows if len(row.cells) > width and all(cell.strip() for cell in row.cells[width - 1 :])
        ]
        if rows and len(longer) > 0.3 * len(rows):
            context.ask(
                "decimal",
                _(
                    "Commas part the cells and are decimal marks too (line {line}: {cells}), so that numbers can be read in two"
                    " ways. Save the file again with semicolons or tabs between the cells."
                ).format(line=longer[0].number, cells=",".join(longer[0].cells)),
                "",
            )


def _decide_unit(context: Context, tables: list[tuple[Sheet, Header | None]]) -> None:
    """The unit of lengths that bear none of their own: by option, a line, or another column of lengths."""
    if context.options.unit:
        context.unit_m = {"yd": YARD_M, "m": 1.0, "ft": FOOT_M}[context.options.unit]
        return
    for line in _loose_lines(tables):
        if unit := unit_in_line(line):
            context.unit_m = unit
            return
    for role in ("carry", "distance", "pile", "total", "target", "deviation", "average", "offline"):
        for _sheet, header in tables:
            for column in header.with_role(role) if header else []:
                if column.unit and column.unit[0] == "length" and (role != "offline" or column.unit[1] >= YARD_M):
                    context.unit_m = column.unit[1]
                    return


def _finish(context: Context, sheets: list[Sheet], name: str) -> Reading:
    if not context.drafts:
        raise UserError(_why_nothing(context, sheets))
    if any(draft.unit_unknown for draft in context.drafts):
        context.ask(
            "unit",
            _("No unit of length is written in this file. Are the distances yards, metres or feet?"),
            "--unit",
            ("yd", "m", "ft"),
        )
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
    balls = tuple(replace(draft.ball, number=i) for i, draft in enumerate(drafts, start=1))
    aside = len(context.set_aside)
    said = ngettext("{balls} balls read; {count} row set aside", "{balls} balls read; {count} rows set aside", aside)
    context.plan.append(said.format(balls=len(balls), count=aside))
    return Reading(
        balls=balls,
        set_aside=tuple(context.set_aside),
        questions=tuple(context.questions.values()),
        plan=tuple(dict.fromkeys(context.plan)),
        unit=_reader_unit(context),
        name=name,
        columns=_with_first_ball(context.columns, balls, sheets),
    )


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
    factors = [draft.unit_m for draft in context.drafts]
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
