"""What is asked about the columns of a table, each question with the columns that could answer it and their first values."""

from typing import Final

from threequarter.golf.language import N_, _
from threequarter.intake.tables.context import Context
from threequarter.intake.tables.layout import Layout, letter_of

_TEXTS: Final = {
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
            _(_TEXTS[about]).format(columns=_(" or ").join(_shown(layout, at) for at in places)),
            "--column",
            tuple(f"{letter_of(at)}={answer}" for at in places for answer in _ANSWERS[about]),
        )


def _shown(layout: Layout, at: int) -> str:
    """A column as a question shows it: its letter, its heading, its first different values."""
    column = next(c for c in layout.evidence if c.at == at)
    values = list(dict.fromkeys(cell for cell in column.cells if cell))[:3]
    name = f"{letter_of(at)} “{column.heading}”" if column.heading else letter_of(at)
    return f"{name} ({', '.join(values)})"
