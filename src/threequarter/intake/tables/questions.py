"""What is asked about the columns of a table, each question with the columns that could answer it and their first values."""

from collections.abc import Sequence
from typing import Final

from threequarter.intake.tables.context import Context
from threequarter.intake.tables.layout import Layout, letter_of
from threequarter.language.localize import N_, _

TEXTS: Final = {
    "carry": N_("Which column is the carry: {columns}?"),
    "offline": N_("Which column tells how far off the line a ball was: {columns}?"),
    "swing": N_("Is the swing length in column {columns}?"),
    "club": N_("Is the club in column {columns}?"),
    "player": N_("Is the player in column {columns}?"),
    "rows": N_("Does column {columns} mark the balls to leave out?"),
}
_ANSWERS: Final = {
    "carry": ("carry",), "offline": ("offline", "ignore"), "swing": ("swing", "player", "note"), "club": ("club", "ignore"),
    "player": ("player", "swing", "note"), "rows": ("drop", "use", "note"),
}  # fmt: skip


def ask_about(context: Context, layout: Layout) -> None:
    """Asks what the layout left open."""
    for about, places in layout.decision.asked.items():
        context.ask(
            about,
            _(TEXTS[about]).format(columns=_(" or ").join(_shown(layout, at) for at in places)),
            "--column",
            tuple(f"{letter_of(at)}={answer}" for at in places for answer in _ANSWERS[about]),
        )


def _shown(layout: Layout, at: int) -> str:
    """A column as a question shows it: its letter, its heading, its first different values."""
    column = next(c for c in layout.evidence if c.at == at)
    values = list(dict.fromkeys(cell for cell in column.cells if cell))[:3]
    name = f"{letter_of(at)} “{column.heading}”" if column.heading else letter_of(at)
    return f"{name} ({', '.join(values)})"


WHY: Final = {
    "number": N_("running number"), "constant": N_("the same in every row"), "time": N_("a time"), "date": N_("a date"),
    "copy": N_("the carry once more"), "total": N_("total"), "target": N_("target"), "deviation": N_("deviation from a mean or target"),
    "average": N_("a mean"), "club_speed": N_("club speed"), "last": N_("carry of another ball"), "rank": N_("a rank or mark"),
    "height": N_("height"), "descent": N_("landing angle"), "ratio": N_("a ratio"), "roll": N_("run-out"), "spin_axis": N_("spin axis"),
    "attack": N_("how the club came in"), "wind": N_("weather"), "condition": N_("what was hit from"), "count": N_("a count"),
    "said": N_("left out as you said"), "no_role": N_("fits nothing that is read"),
}  # fmt: skip
"""Why a column is not used: a closed list."""

ROW_KINDS: Final = {
    "ball": N_("with balls: {count}"), "aside": N_("set aside: {count}"), "mean": N_("means or sums: {count}"),
    "heading": N_("headings: {count}"), "above": N_("above the table: {count}"), "line": N_("lines of words: {count}"),
}  # fmt: skip


def why_words(why: str) -> str:
    """Why a column is not used, in words."""
    return _(WHY.get(why, why))


def not_used(layout: Layout) -> str:
    """The columns that are not used and why, in one line; nothing where all are. What becomes of dates is told with the days."""
    told = [
        f"{letter_of(c.at)} “{c.heading}” ({why_words(layout.decision.ignored[c.at])})" if c.heading
        else f"{letter_of(c.at)} ({why_words(layout.decision.ignored[c.at])})"
        for c in layout.evidence
        if c.filled and layout.decision.ignored.get(c.at, "date") != "date" and c.at not in {n.at for ns in layout.columns.values() for n in ns}
    ]  # fmt: skip
    return _("not used: {columns}").format(columns=", ".join(told)) if told else ""


def rows_words(rows: Sequence[tuple[str, int]]) -> str:
    """What the rows of a file are, in one line."""
    told = ", ".join(_(ROW_KINDS[kind]).format(count=count) for kind, count in rows)
    return _("{count} rows in the file: {told}").format(count=sum(count for _kind, count in rows), told=told)
