"""A second look at what was read, before anything is charted: checks that know nothing of how it was decided.

Each check holds the balls against the file once more; what does not fit is asked about, in one line. A person who has looked
says so ("--as-read"), and that check is still.
"""

from collections.abc import Callable, Iterator
from typing import Final

from threequarter.intake.tables import look_columns, look_lines, look_parts, look_remarks
from threequarter.intake.tables.context import Context, Doubt, Part
from threequarter.intake.tables.sheets import Sheet

_OF_A_PART: Final[tuple[Callable[[Context, Part], Doubt | None], ...]] = (
    look_columns.labels_left_out,
    look_columns.numbers_left_out,
    look_columns.unit_by_another,
    look_columns.unit_by_speed,
    look_columns.unit_against_lines,
    look_columns.rest_for_carry,
    look_columns.side_without_sign,
    look_columns.marks_unknown,
    look_lines.told_twice,
    look_lines.key_of_a_player,
    look_parts.labels_missing,
    look_parts.means_among_balls,
)
_OF_ALL: Final[tuple[Callable[[Context, list[Sheet]], Doubt | None], ...]] = (
    look_parts.twice,
    look_parts.means_beside,
    look_lines.name_above,
    look_lines.lines_between,
    look_lines.rows_told,
    look_lines.sign_told,
    look_parts.unlabelled,
    look_parts.no_swing,
    look_parts.means_of_shots,
    look_parts.against_golf,
    look_remarks.remarks_against,
)
_HOLDS_BACK: Final = frozenset(("sheet", "rows", "unit", "carry"))
"""Doubts about which balls there are, and how far they went: none is shown before they are settled."""


def look_again(context: Context, sheets: list[Sheet]) -> None:
    """Asks about what the checks find, once a subject."""
    for doubt in context.doubts:
        _ask(context, doubt, hold_back=True)  # what the lines between the balls mean is not known
    for doubt in _doubts(context, sheets):
        _ask(context, doubt, hold_back=doubt.about in _HOLDS_BACK)


def _ask(context: Context, doubt: Doubt, *, hold_back: bool) -> None:
    about = doubt.about
    settled = doubt.option != "--remarks" and (about in context.options.as_read or about in context.options.columns)
    if not settled and about not in context.questions:
        context.ask(about, doubt.text, doubt.option, doubt.choices or (about,))
        context.hold_back |= hold_back


def _doubts(context: Context, sheets: list[Sheet]) -> Iterator[Doubt]:
    for part in context.parts:
        if part.drafts and part.layout is not None:
            yield from (found for check in _OF_A_PART if (found := check(context, part)))
    if context.drafts:
        yield from (found for check in _OF_ALL if (found := check(context, sheets)))
