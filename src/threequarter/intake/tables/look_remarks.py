"""Second look at the remarks beside the balls: which speak against what was read, and which are not understood."""

import re
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Final

from threequarter.golf.ball import Ball, Place
from threequarter.golf.message import Message
from threequarter.intake.tables import words
from threequarter.intake.tables.context import Context, Doubt, Draft, Part
from threequarter.intake.tables.decode import fold
from threequarter.intake.tables.lines import note_says
from threequarter.intake.tables.numbers import Mark
from threequarter.intake.tables.remarks import Shots, against, remark_of
from threequarter.intake.tables.sheets import Sheet
from threequarter.intake.tables.values import measure, strike_of

MOST_TOLD: Final = 6
"""So many remarks are told in one question or line; how many more there are is said."""
FEW: Final = 0.1
"""Share of the rows up to which a remark is one of few."""
OFTEN: Final = 0.5
"""From this share of the rows on numbers in the remarks are no slips but something else that was written down."""


NOT: Final = frozenset(
    "not no non nicht kein keine ne pas sans não nao sem sin niet geen zonder inte ej ikke ei nie bez nem nélkül nu fără не нет без "
    "ні δεν μη χωρίς değil yok tidak bukan tanpa không لا ليس نہیں नहीं לא בלי ekki nav nėra pole ez".split()
)
"""A remark with one of these may say that a ball does not count."""
ABOUT: Final = frozenset("~ ≈ ca ca. c c. approx approx. about abt circa etwa env env. ung ung.".split())
"""Words before a carry that was not measured sharply: it is the best number there is."""
FEW_MARKED: Final = 0.34
LONG_MARK: Final = 12


@dataclass(frozen=True, slots=True, kw_only=True)
class Remarked:
    """A ball with a remark that speaks against it, the remark, and what of the ball it speaks against."""

    draft: Draft
    text: str
    why: str


class _Beside:
    """The remarks beside the balls of one table: in its columns of remarks, in those that nothing explains, in the carry's cell."""

    def __init__(self, context: Context, part: Part) -> None:
        self.part, self.decimal = part, context.decimal
        self.columns = _remark_columns(part)
        self.few = _marks_a_few(part)
        self.in_carries = _few_words_in_carries(context, part)
        turned = part.sheet.turned or not (self.columns or self.in_carries)
        self.rows = {} if turned else {row.number: row for row in part.sheet.rows}

    def holds_any(self) -> bool:
        """Whether there are any."""
        return bool(self.rows) or any(draft.ball.note for draft in self.part.drafts)

    def of(self, ball: Ball) -> Iterator[str]:
        """All of one ball."""
        if ball.note:
            yield ball.note
        row = self.rows.get(ball.place.row or 0) if ball.place else None
        for at in self.columns if row else ():
            if row and at < len(row.cells) and (text := row.cells[at].strip()) and text != ball.note:
                yield text

    def in_the_carry(self, ball: Ball) -> str:
        """The words beside the number of a carry, where few carries have any and they are no unit."""
        row = self.rows.get(ball.place.row or 0) if ball.place and self.in_carries else None
        at = (ball.place.col or 0) - 1 if ball.place else -1
        return _rest(row.cells[at], self.decimal) if row and 0 <= at < len(row.cells) else ""


def _remark_columns(part: Part) -> tuple[int, ...]:
    """Columns of words that nothing explains."""
    layout = part.layout
    if layout is None:
        return ()
    read = {named.at for several in layout.columns.values() for named in several}
    return tuple(
        c.at
        for c in layout.evidence
        if c.filled and not c.numeric and c.at not in read and layout.decision.ignored.get(c.at) == "no_role"
    )


def _rest(cell: str, decimal: Mark) -> str:
    value = measure(cell, decimal)
    return value.rest.strip() if value else ""


def _few_words_in_carries(context: Context, part: Part) -> bool:
    """Whether words stand beside fewer than half of the carries."""
    carry = part.layout and (part.layout.first("carry") or part.layout.first("pile"))
    if not carry or part.layout is None:
        return False
    cells = part.layout.evidence_cells(carry.at)
    odd = sum(bool(rest) and fold(rest) not in ABOUT for cell in cells if (rest := _rest(cell, context.decimal)))
    return 0 < odd < 0.5 * len(cells)


def _marks_a_few(part: Part) -> frozenset[str]:
    """The marks of a column whose heading does not say that it holds remarks, if they are few, short and beside few rows."""
    found: set[str] = set()
    for named in part.layout.columns.get("note", []) if part.layout else ():
        column = next(c for c in part.layout.evidence if c.at == named.at) if part.layout else None
        if column is None or column.words.best == "note" or column.filled > FEW_MARKED * len(column.cells):
            continue
        texts = {text for text in column.cells if text and not known(text)}
        if 0 < len(texts) <= 3 and max(map(len, texts)) <= LONG_MARK:
            found |= texts
    return frozenset(found)


@lru_cache(maxsize=8192)
def known(text: str) -> bool:
    """Whether it is known what a remark says: a strike, a mark, that a ball does not count."""
    plain = fold(text).strip(".")
    return (
        plain in words.YES | words.NO | words.MISSING
        or plain in ("×", "✗", "✘")
        or note_says(plain, words.WARM_UP)
        or note_says(plain, words.LEAVE_OUT)
        or strike_of(plain) is not None
    )


@lru_cache(maxsize=8192)
def denies(text: str) -> bool:
    """Whether a remark says that something is not so."""
    return not NOT.isdisjoint(re.findall(r"[^\W\d_]+", fold(text)))


def remarked(context: Context) -> list[Remarked]:
    """The balls that count and have a remark that speaks against them, in the order of the file."""
    if not (beside := _tables(context)):
        return []
    shots = Shots.of(draft.ball for draft in context.drafts)
    found = [one for draft in context.drafts if draft.ball.use and (one := _against(draft, beside, shots))]
    return (
        found
        if sum(one.why == "number" for one in found) <= OFTEN * len(context.drafts)
        else [one for one in found if one.why != "number"]
    )


def _tables(context: Context) -> dict[Place | None, _Beside]:
    """The remarks of the tables that have any, by the place of each ball of theirs."""
    beside = [(_Beside(context, part), part) for part in context.parts if part.drafts]
    held = [(one, part) for one, part in beside if one.holds_any()]
    return {draft.ball.place: one for one, part in held for draft in part.drafts}


def _against(draft: Draft, beside: dict[Place | None, _Beside], shots: Shots) -> Remarked | None:
    """What speaks against a ball, if anything does."""
    table = beside.get(draft.ball.place)
    for text in table.of(draft.ball) if table else ():
        if why := against(remark_of(text), draft.ball, draft.unit_m, shots):
            return Remarked(draft=draft, text=text, why=why)
        if not known(text) and (denies(text) or (table and text in table.few)):
            return Remarked(draft=draft, text=text, why="doubt")
    rest = table.in_the_carry(draft.ball) if table else ""
    if rest and fold(rest) not in ABOUT and not note_says(rest, words.WARM_UP):
        why = against(remark_of(rest), draft.ball, draft.unit_m, shots)
        if why or strike_of(rest) is None:
            return Remarked(draft=draft, text=f"{draft.ball.distance_m / draft.unit_m:g} {rest}", why=why or "words")
    return None


def leave_out_remarked(context: Context) -> None:
    """Takes the balls out of the count that a remark speaks against, where a person said so."""
    if context.options.remarks == "leave":
        gone = {id(one.draft): one.text for one in remarked(context)}
        context.drafts = [
            replace(draft, ball=replace(draft.ball, use=False, note=draft.ball.note or gone[id(draft)]))
            if id(draft) in gone
            else draft
            for draft in context.drafts
        ]


def remarks_against(context: Context, sheets: list[Sheet]) -> Doubt | None:
    """Remarks that speak against what was read beside them."""
    if context.options.remarks:
        return None
    found = remarked(context)
    if not found:
        return None
    told = tuple(_told(one.draft.ball, one.text) for one in found[:MOST_TOLD])
    code = "intake.look.remarks" if len(found) <= MOST_TOLD else "intake.look.remarks_and"
    return Doubt("rows", Message(code, rows=told, more=len(found) - len(told)), "--remarks", ("keep", "leave"))


def _told(ball: Ball, text: str) -> Message:
    place = ball.place
    row = place.row if place and place.row else ball.number
    if place and place.sheet:
        return Message("intake.remark_on_a_sheet", sheet=place.sheet, row=row, text=text[:40])
    return Message("intake.remark_at", row=row, text=text[:40])


def remarks_not_understood(context: Context) -> Message | None:
    """The remarks beside few balls of which nothing is known: they change nothing, and whoever reads the plan should know."""
    if not (beside := _tables(context)):
        return None
    told = [
        (draft.ball, text)
        for draft in context.drafts
        if draft.ball.use and (table := beside.get(draft.ball.place))
        for text in table.of(draft.ball)
    ]
    often = Counter(text for _ball, text in told)
    first = {text: ball for ball, text in reversed(told)}
    most = max(2.0, FEW * len(context.drafts))
    few = [
        text
        for text, count in often.items()
        if count <= most and not known(text) and not any(c.isdigit() for c in text)
    ]
    if not few:
        return None
    shown = tuple(_told(first[text], text) for text in few[:MOST_TOLD])
    code = "intake.remarks_unknown" if len(few) <= MOST_TOLD else "intake.remarks_unknown_and"
    return Message(code, rows=shown, more=len(few) - len(shown))
