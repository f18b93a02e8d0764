"""The balls of a wide table: a column a ball, or a column a swing (or club) and a row a ball."""

import re

from threequarter.golf.ball import Ball, MeasuredBy, Place
from threequarter.golf.club import parse_club
from threequarter.golf.message import Message
from threequarter.golf.swing_length import parse_swing
from threequarter.intake.reading import SetAside
from threequarter.intake.tables.context import Context, Doubt, Draft, Part
from threequarter.intake.tables.decode import fold
from threequarter.intake.tables.layout import letter_of
from threequarter.intake.tables.lines import Labels, is_club, is_mean_row, labels_in, name_like, split_club_swing
from threequarter.intake.tables.means import ask_ball_or_mean
from threequarter.intake.tables.numbers import find_number, missing
from threequarter.intake.tables.shape import kind_of
from threequarter.intake.tables.sheets import Row, Sheet, of_sheet, sheet_is_default
from threequarter.intake.tables.unit_lines import unit_above, unit_told
from threequarter.intake.tables.values import label_text, measure, possible_carry, strike_of, struck_out
from threequarter.intake.tables.vocabulary import words_of
from threequarter.intake.tables.wide_checks import (
    Runs,
    ask_about_labels,
    columns_left_out,
    heads_again,
    names_people,
    pile_count,
)
from threequarter.intake.tables.wide_layout import Wide


def read_wide(context: Context, sheet: Sheet, wide: Wide, *, alone: bool) -> None:
    """Adds the balls of a wide sheet to the context."""
    labels = _told_above(sheet, wide)
    doubtful = _settled_above(sheet, wide) if labels.swing else wide.doubtful
    ask_about_labels(context, sheet.rows[wide.head].cells, wide.columns, wide.label_columns, doubtful)
    named = Labels()
    if sheet.name and not sheet_is_default(sheet.name):
        named = labels_in([sheet.name], bare=True)
    _doubt_columns(context, sheet, wide)
    set_above = None if context.options.unit else unit_above(sheet, wide.head)
    unit = wide.unit_m if wide.unit_m is not None else set_above or context.unit_m
    piles = pile_count(sheet.rows[: wide.head])
    above: dict[str, str] = {}
    runs = Runs(wide.columns)
    before = len(context.drafts)
    for row in sheet.rows[wide.head + 1 :]:
        if (
            is_mean_row(row.cells)
            or not row.filled
            or [fold(c) for c in row.cells] == [fold(c) for c in sheet.rows[wide.head].cells]
        ):
            continue
        if len(row.filled) == 1 and not any(at < len(row.cells) and find_number(row.cells[at]) for at in wide.columns):
            told = labels_in(row.cells, bare=True)
            if told.empty:
                context.unexplained.append((sheet.name, row.number, row.filled[0]))
            labels = Labels(told.player or labels.player, told.club or labels.club, told.swing or labels.swing)
            above.clear()
            runs.clear()
            if wide.unit_m is None and not context.options.unit:
                unit = unit_told(row.filled[0]) or unit
            continue
        if not (told := _told_by_keys(row)).empty:
            labels = Labels(told.player or labels.player, told.club or labels.club, told.swing or labels.swing)
            continue
        if wide.kind == "labels" and runs.sums_up(row, *_numbers(context, row, wide)):
            context.row(sheet.name, row.number, "mean")
            continue
        _doubt_row(context, row, wide, runs)
        mine = _of_row(row, wide, above)
        for at in wide.columns:
            cell = row.cells[at] if at < len(row.cells) else ""
            if missing(cell):
                continue
            column = wide.labels.get(at, Labels())
            if (
                labels.swing
                and column.swing
                and not mine.player
                and name_like(column.swing)
                and parse_swing(column.swing).kind == "own"
            ):
                column = Labels(column.swing, column.club)  # the swing is told above: the columns are players
            club = mine.club or column.club or labels.club or named.club or context.options.club
            swing = mine.swing or column.swing or labels.swing or named.swing or context.options.swing
            player = (
                mine.player
                or column.player
                or labels.player
                or (named.player if not alone else None)
                or context.options.player
            )
            _cell(context, sheet, row, at, cell, unit, (club, swing, player), piles)
    drafts = context.drafts[before:]
    context.parts.append(Part(sheet=sheet, wide=wide, drafts=drafts))
    if drafts and not any(draft.ball.club for draft in drafts):
        context.ask("club", Message("intake.ask.no_club"), "--club")
        context.hold_back = True
    context.plan.append(of_sheet(sheet, Message(f"intake.wide.{wide.kind}", line=sheet.rows[wide.head].number)))


def _doubt_columns(context: Context, sheet: Sheet, wide: Wide) -> None:
    """Asks about headings that speak of means, and doubts columns that stand beside those that are read."""
    lines = [row.filled[0] for row in sheet.rows[: wide.head] if row.filled]
    heads = [cell for cell in (*lines, sheet.rows[wide.head].cells[0]) if words_of(cell).best == "average"]
    if heads:
        ask_ball_or_mean(context, Message("intake.ask.means", columns_or=(heads[0][:60],)))
    if left_out := columns_left_out(sheet, wide.head, wide.columns, tuple(wide.label_columns.values())):
        heads_of = tuple(f"“{sheet.rows[wide.head].cells[at]}”" for at in left_out)
        places = tuple(letter_of(at) for at in left_out)
        context.doubts.append(Doubt("swing", Message("intake.look.columns", columns=places, texts=heads_of)))


def _doubt_row(context: Context, row: Row, wide: Wide, runs: Runs) -> None:
    """Doubts a row that a word begins where numbers begin the others, and one that looks like headings."""
    if wide.kind == "labels" and runs.odd and _numbers(context, row, wide)[0]:
        text = Message("intake.look.word_row", row=row.number, text=row.filled[0])
        context.doubts.append(Doubt("rows", text))
    if heads_again(row, wide.columns):
        text = Message("intake.look.heads", row=row.number)
        context.doubts += [Doubt("swing", text), Doubt("rows", text)]


def _told_above(sheet: Sheet, wide: Wide) -> Labels:
    """What the lines above the headings tell of all balls."""
    labels = Labels()
    for row in sheet.rows[: wide.head]:
        told = labels_in(row.cells, bare=False)
        if told.empty and len(row.filled) == 1 and is_club(row.filled[0]):
            told = Labels(club=row.filled[0])
        labels = Labels(told.player or labels.player, told.club or labels.club, told.swing or labels.swing)
    return labels


def _numbers(context: Context, row: Row, wide: Wide) -> tuple[dict[int, float], float]:
    """The numbers of a row by column, and the step of the finest of them."""
    told = {at: row.cells[at] for at in wide.columns if at < len(row.cells)}
    found = {at: value.value for at, cell in told.items() if (value := measure(cell, context.decimal))}
    digits = [len(match[1]) for cell in told.values() if (match := re.search(r"\d[.,](\d+)", cell))]
    return found, 10.0 ** -max(digits, default=0)


def _settled_above(sheet: Sheet, wide: Wide) -> tuple[int, ...]:
    """The columns still in doubt where a line above tells the swing: names are players, numbers (an age) are no label."""
    at = wide.label_columns.get("swing")
    if at is None or wide.doubtful != (at,):
        return wide.doubtful
    cells = [row.cells[at] for row in _body(sheet, wide) if at < len(row.cells)]
    if names_people(cells) and "player" not in wide.label_columns:
        wide.label_columns["player"] = at
    elif not all(kind_of(cell) in ("n", "") for cell in cells):
        return wide.doubtful
    del wide.label_columns["swing"]
    return ()


def _body(sheet: Sheet, wide: Wide) -> list[Row]:
    """The rows below the heading that hold balls."""
    return [row for row in sheet.rows[wide.head + 1 :] if len(row.filled) > 1 and not is_mean_row(row.cells)]


def _told_by_keys(row: Row) -> Labels:
    """What a line of keys with their values tells: "Club", "52", "Swing", "chest"; nothing in a row of balls."""
    keys, values = row.filled[::2], row.filled[1::2]
    if len(keys) != len(values) or any(letter.isdigit() for key in keys for letter in key):
        return Labels()
    told = labels_in(row.cells, bare=False)
    alone = len(keys) == 1 and not (told.club and is_club(told.club))
    return Labels() if alone else told


def _of_row(row: Row, wide: Wide, above: dict[str, str]) -> Labels:
    told: dict[str, str | None] = {}
    for role, at in wide.label_columns.items():
        text = label_text(row.cells[at], swing=role == "swing") if at < len(row.cells) else None
        if text:
            above[role] = text
        told[role] = text or above.get(role)
    if both := told.get("shot_label"):
        pair = split_club_swing(both) or (both, None)
        return Labels(told.get("player"), pair[0], pair[1])
    return Labels(told.get("player"), told.get("club"), told.get("swing"))


def _cell(
    context: Context,
    sheet: Sheet,
    row: Row,
    at: int,
    cell: str,
    unit: float | None,
    labels: tuple[str | None, str | None, str | None],
    piles: int | None,
) -> None:
    club, swing, player = labels
    place = Place(sheet=sheet.name, row=row.number, col=at + 1)
    value = measure(cell, context.decimal)
    if value is None:
        why = Message("intake.carry_is_no_number", text=cell[:40])
        context.set_aside.append(SetAside(place=place, why=why, text=cell[:200]))
        context.row(sheet.name, row.number, "aside")
        return
    factor = value.factor or unit
    carry_m = value.value * (factor or 0.9144)
    if not possible_carry(carry_m):
        why = Message("intake.no_wedge_carries_this_far", text=cell[:20])
        context.set_aside.append(SetAside(place=place, why=why, text=cell[:200]))
        return
    ball = Ball(
        number=len(context.drafts) + 1,
        club=club or "",
        swing=swing or "",
        distance_m=carry_m,
        loft_deg=parse_club(club or "").loft_deg,
        player=player,
        strike=strike_of(value.rest),
        use=not struck_out(cell),
        note=value.rest or None,
        place=place,
        count=piles or 1,
        measured_by=MeasuredBy.PILE if piles else MeasuredBy.UNKNOWN,
    )
    context.row(sheet.name, row.number, "ball")
    context.drafts.append(Draft(ball=ball, unit_m=factor or 1.0, unit_unknown=factor is None))
