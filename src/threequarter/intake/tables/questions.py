"""What is asked about the columns of a table, each question with the columns that could answer it and their first values."""

from collections.abc import Sequence
from typing import Final

from threequarter.golf.ball import Ball
from threequarter.golf.message import Message
from threequarter.intake.tables.column import Column
from threequarter.intake.tables.context import Context
from threequarter.intake.tables.layout import Layout, letter_of
from threequarter.intake.tables.means import ask_ball_or_mean, once_each

_ANSWERS: Final = {
    "carry": ("carry",),
    "offline": ("offline", "ignore"),
    "swing": ("swing", "player", "note"),
    "club": ("club", "ignore"),
    "player": ("player", "swing", "note"),
    "rows": ("drop", "use", "note"),
}


def ask_about(context: Context, layout: Layout) -> None:
    """Asks what the layout left open."""
    for about, places in layout.decision.asked.items():
        context.ask(
            about,
            Message(f"intake.ask.{about}", columns_or=tuple(shown(layout, at) for at in places)),
            "--column",
            tuple(f"{letter_of(at)}={answer}" for at in places for answer in _ANSWERS[about]),
        )


def shown(layout: Layout, at: int) -> str:
    """A column as a question shows it: its letter, its heading, its first different values."""
    column = next(c for c in layout.evidence if c.at == at)
    values = list(dict.fromkeys(cell for cell in column.cells if cell))[:3]
    name = f"{letter_of(at)} “{column.heading}”" if column.heading else letter_of(at)
    return f"{name} ({', '.join(values)})"


def not_used(layout: Layout) -> Message | None:
    """The columns that are not used and why, in one line; None where all are. What becomes of dates is told with the days."""
    read = {named.at for several in layout.columns.values() for named in several}
    told = [
        Message(
            "intake.column_not_used",
            column=f"{letter_of(c.at)} “{c.heading}”" if c.heading else letter_of(c.at),
            why=Message(f"intake.why.{why}"),
        )
        for c in layout.evidence
        if c.filled and c.at not in read and (why := layout.decision.ignored.get(c.at, "date")) != "date"
    ]
    return Message("intake.columns_not_used", columns=tuple(told)) if told else None


def rows_told(rows: Sequence[tuple[str, int]]) -> Message:
    """What the rows of a file are, in one line."""
    told = tuple(Message(f"intake.row.{kind}", count=count) for kind, count in rows)
    return Message("intake.rows", count=sum(count for _kind, count in rows), told=told)


LEAST_SHOTS: Final = 3


def ask_about_means(context: Context, layout: Layout, balls: Sequence[Ball]) -> None:
    """Asks whether rows are balls where each shot stands once beside a spread or a count: they look like means."""
    if "pile" in layout.columns or len(balls) < LEAST_SHOTS or not once_each(balls):
        return
    why = layout.decision.ignored
    told = [c.at for c in layout.evidence if c.at in why and _sums_balls_up(c)]
    if told and "said" not in {why[at] for at in told}:  # who says to ignore one of them says that rows are balls
        ask_ball_or_mean(context, Message("intake.ask.means", columns_or=tuple(shown(layout, at) for at in told)))


def _sums_balls_up(column: Column) -> bool:
    """A spread, or how many balls there were: not beside single balls."""
    counts = column.words.best == "count" and column.whole and not column.running and column.numbers.min() > 1
    return column.filled > 0 and (column.words.best == "average" or bool(counts))
