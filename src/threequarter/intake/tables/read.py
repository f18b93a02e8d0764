"""Any table of balls -> a Reading: balls, rows set aside, questions, and the plan in words."""

from dataclasses import replace
from pathlib import Path
from typing import Final

import numpy as np

from threequarter.golf.ball import Ball
from threequarter.golf.errors import UserError
from threequarter.golf.message import Message
from threequarter.golf.player import name_key
from threequarter.golf.units import FOOT_M, METRES_PER, DistanceUnit
from threequarter.intake.changes import key_of
from threequarter.intake.options import ReadOptions
from threequarter.intake.own_format.columns import balls_of, days_of
from threequarter.intake.own_format.files import holds_own, read_own
from threequarter.intake.reading import ROWS, ColumnSeen, Reading, SetAside
from threequarter.intake.tables.across import Across, ask_across, names_across
from threequarter.intake.tables.checks import check
from threequarter.intake.tables.context import Context
from threequarter.intake.tables.days import find_days, names_a_month
from threequarter.intake.tables.legend import explained, legend_of
from threequarter.intake.tables.lines import labels_in, left_is_plus, name_like
from threequarter.intake.tables.look_remarks import leave_out_remarked, remarks_not_understood
from threequarter.intake.tables.means import ask_about_a_grid
from threequarter.intake.tables.questions import rows_told
from threequarter.intake.tables.rows import read_rows
from threequarter.intake.tables.second_look import look_again
from threequarter.intake.tables.shape import Block, blocks_of
from threequarter.intake.tables.sheets import Row, Sheet, sheet_is_default, sheets_of
from threequarter.intake.tables.turned import upright
from threequarter.intake.tables.whole_file import Table, decide_decimal, decide_unit, loose_lines
from threequarter.intake.tables.wide import read_wide
from threequarter.intake.tables.wide_layout import Wide, find_wide

MAX_FILE_MB: Final = 200


def read_file(path: Path, options: ReadOptions | None = None) -> Reading:
    """The balls of a file. Raises UserError where the file itself cannot be opened; see `read_table` for the rest."""
    return read_table(file_bytes(path), path.name, options)


def file_bytes(path: Path) -> bytes:
    """What a file holds. Raises UserError where it cannot be opened or is larger than is read."""
    try:
        size_mb = path.stat().st_size / 2**20
        if path.is_dir():
            raise UserError(Message("intake.is_a_folder_name_a", file=path))
        if size_mb > MAX_FILE_MB:
            raise UserError(Message("intake.holds_mb_up_to_mb", file=path.name, size=round(size_mb), most=MAX_FILE_MB))
        return path.read_bytes()
    except FileNotFoundError:
        raise UserError(Message("intake.there_is_no_file_check", file=path)) from None
    except PermissionError:
        raise UserError(Message("intake.may_not_be_read_change", file=path)) from None
    except OSError as error:
        raise UserError(Message("intake.cannot_be_read", file=path, why=error.strerror)) from None


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
        return Reading(error=_of_file(name, error), name=name)


def _of_file(name: str, error: UserError) -> Message:
    """What is wrong, with the file's name before it."""
    told = error.args[0]
    return Message(
        "intake.of_file", file=" ".join(name.split()), error=told if isinstance(told, Message) else str(told)
    )


def _own(content: bytes, name: str, options: ReadOptions) -> Reading:
    """A table of our own: every column is known, nothing is asked."""
    rows = read_own(content, name) or []
    balls = tuple(
        ball for ball in balls_of(rows) if not options.player or name_key(ball.player or "") == name_key(options.player)
    )
    if not balls:
        raise UserError(Message("intake.there_is_no_ball_in"))
    units = [row["unit"] for row in rows if row["unit"]]
    told = list(days_of(rows).items())
    hit = sorted({ball.day for ball in balls}) if told else []  # a player was not there on every day of the table
    return Reading(
        balls=tuple(replace(ball, day=hit.index(ball.day) + 1) for ball in balls) if told else balls,
        name=name,
        unit="m" if options.unit == "m" or (not options.unit and "m" in units[:1]) else "yd",
        plan=(Message("intake.own_table"),),
        days=tuple(told[day - 1][0] for day in hit),
        of_days=tuple(told[day - 1][1] for day in hit),
    )


def _chosen_sheet(sheets: list[Sheet], name: str) -> list[Sheet]:
    chosen = [sheet for sheet in sheets if sheet.name == name]
    if not chosen:
        raise UserError(
            Message("intake.there_is_no_sheet_it", name=name, sheets=", ".join(str(s.name) for s in sheets))
        )
    return chosen


def _read_sheets(sheets: list[Sheet], name: str, options: ReadOptions) -> Reading:
    context = Context(options=options)
    sheets = [upright(sheet) for sheet in sheets if sheet.rows]
    if not sheets:
        raise UserError(Message("intake.table_is_empty"))
    context.many_sheets = len(sheets) > 1
    tables = [(sheet, blocks_of(sheet, options.header_line)) for sheet in sheets]
    pointed = bool({"carry", "pile"} & set(options.columns))
    wides = {
        id(sheet): None if pointed else find_wide(sheet, blocks[0] if blocks else None) for sheet, blocks in tables
    }
    asked = [] if pointed else _names_over_columns(tables, wides, options)
    decide_decimal(context, tables)
    decide_unit(context, tables)
    context.left_plus = (
        options.right == "-" if options.right else any(left_is_plus(line) for line in loose_lines(tables))
    )
    try:
        _read_each(context, tables, wides, alone=len(sheets) == 1)
        for across in asked:
            ask_across(context, across)
        return _finish(context, sheets, name)
    except UserError as error:
        return Reading(
            error=_of_file(name, error), name=name, columns=context.columns, set_aside=tuple(context.set_aside)
        )


def _names_over_columns(tables: list[Table], wides: dict[int, Wide | None], options: ReadOptions) -> list[Across]:
    """Makes wide what a person said has a player (or a swing) in each column; gives what is to be asked."""
    asked = []
    for sheet, blocks in tables:
        found = names_across(blocks[0], options.learned) if len(blocks) == 1 and wides[id(sheet)] is None else None
        if options.across == "measures":
            continue
        if found and options.across:
            wides[id(sheet)] = found.as_wide(options.across)
        elif found:
            asked.append(found)
    return asked


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
    if block.sheet.name and not sheet_is_default(block.sheet.name) and not names_a_month(block.sheet.name):
        told.append(labels_in([block.sheet.name], bare=True))
        named.append(told[-1])
    options = context.options
    return {
        "club": bool(options.club) or any(one.club for one in told),
        "swing": bool(options.swing) or any(one.swing for one in told),
        "player": bool(options.player) or any(one.player for one in named),
    }


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
        context.set_aside.append(SetAside(place=place, why=Message("intake.no_wedge_carries_this_far", text=text)))


def _finish(context: Context, sheets: list[Sheet], name: str) -> Reading:
    _set_slips_aside(context)
    _leave_out_told(context)
    _explain_labels(context, sheets)
    if context.options.each == "mean":
        raise UserError(Message("intake.means_are_no_balls"))
    if not context.drafts and not context.questions:
        raise UserError(_why_nothing(context, sheets))
    ask_about_a_grid(context)
    leave_out_remarked(context)
    if told := remarks_not_understood(context):
        context.plan.insert(0, told)
    look_again(context, sheets)
    if any(draft.unit_unknown for draft in context.drafts):
        context.ask(
            "unit",
            Message("intake.ask.unit"),
            "--unit",
            ("yd", "m", "ft"),
        )
    if stuck := {about: q for about, q in context.questions.items() if not q.option}:
        if "carry" in context.questions:
            context.drafts = []  # not even the columns are certain
        context.questions = stuck  # nothing else is worth asking before the file is saved anew
    asked = {about for about, question in context.questions.items() if question.option == "--column"}
    context.hold_back |= "carry" in asked or {"club", "swing"} <= asked  # what would be shown is a guess
    _ask_few(context)
    drafts = context.drafts
    if context.options.player:
        wanted = context.options.player.casefold()
        drafts = [draft for draft in drafts if (draft.ball.player or "").casefold() == wanted]
        if not drafts:
            players = sorted({d.ball.player for d in context.drafts if d.ball.player})
            named = ", ".join(players) or Message("intake.not_named")
            raise UserError(Message("intake.no_ball_is_by_the", player=context.options.player, players=named))
    dated = find_days([replace(draft.ball, number=i) for i, draft in enumerate(drafts, start=1)], sheets, name)
    balls = dated.balls
    context.plan.append(Message("intake.balls_read", balls=len(balls), count=len(context.set_aside)))
    context.plan += (*dated.said, *check(balls))
    rows = _rows_told(context, sheets)
    context.plan.append(rows_told(rows))
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


def _leave_out_told(context: Context) -> None:
    """Sets aside the balls that a person said are none."""
    told = set(context.options.no_balls)
    for draft in [one for one in context.drafts if told and one.ball.place and key_of(one.ball.place) in told]:
        place = draft.ball.place
        assert place is not None
        context.drafts.remove(draft)
        text = f"{draft.ball.club} {draft.ball.swing} {draft.ball.distance_m / draft.unit_m:g}".strip()
        context.set_aside.append(SetAside(place=place, why=Message("intake.no_ball_as_told"), text=text))
        if not any(one.ball.place and one.ball.place.row == place.row for one in context.drafts):
            context.rows[place.sheet, place.row or 0] = "aside"


def _explain_labels(context: Context, sheets: list[Sheet]) -> None:
    """Puts what a legend beside the table says in the place of its labels."""
    beside = [
        (sheet.name, row)
        for sheet in sheets
        for row in sheet.rows
        if context.rows.get((sheet.name, row.number)) != "ball" and any("=" in c or "→" in c for c in row.filled)
    ]
    if not beside:
        return
    context.drafts, used = explained(context.drafts, legend_of(cell for _name, row in beside for cell in row.filled))
    if not used:
        return
    context.plan.append(Message("intake.legend", pairs=tuple(f"{one} = {two}" for one, two in sorted(used.items()))))
    lines = {(name, row.number) for name, row in beside}
    context.set_aside = [one for one in context.set_aside if (one.place.sheet, one.place.row) not in lines]
    context.rows |= dict.fromkeys(lines & context.rows.keys(), "line")


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


def _why_nothing(context: Context, sheets: list[Sheet]) -> Message:
    if context.set_aside:
        first = context.set_aside[0]
        return Message("intake.all_set_aside", count=len(context.set_aside), row=first.place.row, why=first.why)
    rows: list[Row] = [row for sheet in sheets for row in sheet.rows]
    widest = max(rows, key=lambda row: len(row.filled)).filled[:6] if rows else ()
    cells = ", ".join(f"“{cell}”" for cell in widest) or Message("intake.nothing")
    return Message("intake.no_distance", cells=cells)
