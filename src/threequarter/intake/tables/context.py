"""What has been decided for a whole file while it is read, and the balls found so far."""

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, NamedTuple

from threequarter.golf.ball import Ball
from threequarter.golf.message import Message
from threequarter.intake.options import ReadOptions
from threequarter.intake.reading import ColumnSeen, Question, SetAside
from threequarter.intake.tables.numbers import Mark

if TYPE_CHECKING:
    from threequarter.intake.tables.layout import Layout
    from threequarter.intake.tables.sheets import Sheet
    from threequarter.intake.tables.wide_layout import Wide


@dataclass(frozen=True, slots=True, kw_only=True)
class Draft:
    """A ball, the unit its distance was written in, and whether no unit was found for it."""

    ball: Ball
    unit_m: float
    unit_unknown: bool = False


class Doubt(NamedTuple):
    """What a second look asks: the subject, the question, and the option that answers it; without one it is that a person
    has looked."""

    about: str
    text: Message
    option: str = "--as-read"
    choices: tuple[str, ...] = ()


@dataclass(slots=True, kw_only=True)
class Part:
    """A table of the file as it was read: its sheet, its layout (a row a ball) or wide layout, and its balls."""

    sheet: "Sheet"
    layout: "Layout | None" = None
    wide: "Wide | None" = None
    drafts: list[Draft] = field(default_factory=list)


@dataclass(slots=True)
class Context:
    """What has been decided for a whole file while it is read."""

    options: ReadOptions
    decimal: Mark = "."
    unit_m: float | None = None
    left_plus: bool = False
    questions: dict[str, Question] = field(default_factory=dict)
    set_aside: list[SetAside] = field(default_factory=list)
    drafts: list[Draft] = field(default_factory=list)
    plan: list[Message] = field(default_factory=list)
    headings: list[str] = field(default_factory=list)
    columns: tuple[ColumnSeen, ...] = ()
    many_sheets: bool = False
    hold_back: bool = False
    """Whether no ball is shown before what is asked now has been answered."""
    rows: dict[tuple[str | None, int], str] = field(default_factory=dict)
    parts: list[Part] = field(default_factory=list)
    unexplained: list[tuple[str | None, int, str]] = field(default_factory=list)
    """Lines between the balls that tell nothing that is known: sheet, row, text."""
    doubts: list[Doubt] = field(default_factory=list)
    """What was in doubt while rows were read."""

    def row(self, sheet: str | None, number: int, kind: str) -> None:
        """Says what a row is; a row that holds a ball is a ball, whatever else stands in it."""
        if self.rows.get((sheet, number)) not in ("ball", "aside"):
            self.rows[sheet, number] = kind

    def ask(self, about: str, text: Message, option: str, choices: tuple[str, ...] = ()) -> None:
        """Asks once about a subject."""
        self.questions.setdefault(about, Question(about=about, text=text, option=option, choices=choices))
