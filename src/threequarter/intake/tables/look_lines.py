"""Second look at the lines around and between the balls: what they tell, and what of it was not understood."""

import re
from itertools import pairwise
from typing import Final

from threequarter.golf.message import Message
from threequarter.intake.tables import words
from threequarter.intake.tables.context import Context, Doubt, Part
from threequarter.intake.tables.days import names_a_month
from threequarter.intake.tables.decode import fold
from threequarter.intake.tables.labels import is_person
from threequarter.intake.tables.lines import is_club, is_shot, is_title, labels_in, left_is_plus, note_says
from threequarter.intake.tables.shape import kind_of
from threequarter.intake.tables.sheets import Row, Sheet
from threequarter.intake.tables.unit_lines import unit_told
from threequarter.intake.tables.vocabulary import words_of

SURE_KEY: Final = 3.5
"""Log odds of a key whose words are all known."""
_SEVERAL: Final = re.compile(r"\s*(?:,|;|/|&|\+|\bund\b|\band\b|\bet\b|\by\b|\bog\b|\boch\b|\bi\b|\ba\b)\s*")


def _above(part: Part) -> tuple[Row, ...]:
    if part.layout is not None:
        return part.sheet.rows[: part.layout.block.first]
    return part.sheet.rows[: part.wide.head] if part.wide else ()


def told_twice(context: Context, part: Part) -> Doubt | None:
    """Two clubs, swings or players told above a table for all of its balls."""
    told: dict[str, list[str]] = {}
    for row in _above(part):
        one = labels_in(row.cells, bare=False)
        for role in ("club", "swing", "player"):
            if text := getattr(one, role):
                told.setdefault(role, []).append(text)
    for role, texts in told.items():
        used = {getattr(draft.ball, role) for draft in part.drafts}
        if len(used) != 1 or not used & set(texts) or getattr(context.options, role):
            continue
        several = role == "club" and sum(is_club(one) for one in _SEVERAL.split(texts[-1])) > 1
        if several or len({fold(text) for text in texts}) > 1:
            return Doubt(role, Message(f"intake.look.told_{role}", texts=tuple(f"“{text}”" for text in texts)))
    return None


def key_of_a_player(context: Context, part: Part) -> Doubt | None:
    """A name behind words of which one is not known: "Recorded by" and "Name of the coach" tell no player."""
    used = {draft.ball.player for draft in part.drafts}
    if context.options.player or len(used) != 1 or None in used:
        return None
    for row in _above(part):
        if labels_in(row.cells, bare=False).player not in used:
            continue
        for cell in row.filled:
            key = re.split(r"\s*[:：=]\s*|\s+[-–—]\s+", cell)[0]
            said = words_of(key).roles.get("player")
            if said is not None and said < SURE_KEY:
                return Doubt("player", Message("intake.look.name", name=next(iter(used))))
    return None


def name_above(context: Context, _sheets: list[Sheet]) -> Doubt | None:
    """What looks like a person's name above a table whose balls are nobody's, or several names over its columns or over the tables."""
    if context.options.player or any(draft.ball.player for draft in context.drafts):
        return None
    names = list(dict.fromkeys(name for one in context.parts for row in _above(one) for name in _names_in(row)))
    if len(names) > 1:
        return Doubt("player", Message("intake.look.names", names=tuple(f"“{name}”" for name in names)))
    return Doubt("player", Message("intake.look.name", name=names[0])) if names else None


def _names_in(row: Row) -> list[str]:
    """The names of a row above a table: of a cell, or of several cells of which none is anything else."""
    told = [name for cell in row.filled if (name := _name_in(cell, alone=len(row.filled) == 1))]
    over = [_name_in(cell, alone=True) for cell in row.filled]
    return list(filter(None, over)) if len(set(over)) > 1 and all(over) else told[:1]


def _name_in(cell: str, *, alone: bool) -> str:
    """What may be a person's name in a cell above a table: two capital words that are not known, or one that stands alone."""
    for piece in re.split(r"\s*[:：|·;,–—=/]\s*|\s-\s", cell):
        name = piece.strip(" .()")
        if is_person(name) and not any(words_of(word).roles for word in (name, *name.split())):
            return name
        tokens = name.split()
        if len(tokens) > 2 and not all(token[:1].isupper() for token in tokens):
            for one, two in pairwise(tokens):
                if is_person(f"{one} {two}") and not any(words_of(word).roles for word in (one, two)):
                    return f"{one} {two}"
    whole = re.split(r"\s*[:：=]\s*", cell)
    last = whole[-1].strip()
    single = alone and len(last.split()) == 1 and last[:1].isupper() and last.isalpha() and len(last) > 2
    known = any(words_of(word).roles or is_shot(word) or unit_told(word) or names_a_month(word) for word in whole)
    return last if single and len(whole) <= 2 and not known else ""


def lines_between(context: Context, sheets: list[Sheet]) -> Doubt | None:
    """A line of words between the balls that tells nothing which is known: it may say that those below do not count."""
    rows: dict[str | None, list[int]] = {}
    for draft in context.drafts:
        if draft.ball.place and draft.ball.place.row:
            rows.setdefault(draft.ball.place.sheet, []).append(draft.ball.place.row)
    for sheet, number, text in context.unexplained:
        inside = rows.get(sheet) and min(rows[sheet]) < number < max(rows[sheet])
        if inside and not _harmless(text):
            return Doubt("rows", Message("intake.look.line", text=text[:60], row=number))
    return None


def _harmless(text: str) -> bool:
    """A date, a unit, a mean, a legend, a ruler: no heading of balls."""
    plain = fold(text).strip(" :.*=-_#")
    return (
        not any(letter.isalpha() for letter in plain)
        or names_a_month(text)
        or kind_of(text) in ("d", "t", "u")
        or unit_told(text) is not None
        or plain in words.MEANS
        or is_title(text)
        or "=" in text
    )


def rows_told(context: Context, sheets: list[Sheet]) -> Doubt | None:
    """A line above or below the balls that tells of balls which do not count."""
    for sheet in sheets:
        for row in sheet.rows:
            if len(row.filled) > 2 or context.rows.get((sheet.name, row.number)) in ("ball", "aside"):
                continue
            line = " ".join(row.filled)
            said = note_says(line, words.WARM_UP) or note_says(line, words.LEAVE_OUT)
            if said and any(letter.isdigit() for letter in line):
                return Doubt("rows", Message("intake.look.rows_told", text=line[:80]))
    return None


_SIGN: Final = re.compile(
    r"(?<![\w.,])[+\-−–]\s*(?:=|:|→|je|is|ist|est|es)|[,;(]\s*[+−]\s*[^\W\d]|[(\[]\s*[+\-−]\s*[)\]]|\b(?:plus|minus|positiv\w*|negativ\w*|pozitiv\w*|позитив\w*|плюс|минус|мінус|θετικ\w*|αρνητικ\w*|eksi|artı|プラス|マイナス|正|負)\b"
)


_SIDES: Final = tuple(word for word in (*words.LEFT, *words.RIGHT) if len(word) > 2 or ord(word[0]) > 0x2E80)


def _signed(line: str) -> bool:
    """Whether a line tells of plus or minus and names no side that is known."""
    return _SIGN.search(line) is not None and not left_is_plus(line) and not any(word in line for word in _SIDES)


def sign_told(context: Context, sheets: list[Sheet]) -> Doubt | None:
    """A line that tells which side is plus, in words that are not known."""
    if context.options.right or not any(draft.ball.offline_m for draft in context.drafts):
        return None
    for part in context.parts:
        named = part.layout.first("offline") if part.layout else None
        heading = fold(named.heading) if named else ""
        if _signed(heading):
            return Doubt("offline", Message("intake.look.sign", text=heading[:80]), "--right", ("+", "-"))
    for sheet in sheets:
        for row in sheet.rows:
            if len(row.filled) > 3 or context.rows.get((sheet.name, row.number)) in ("ball", "aside"):
                continue
            line = fold(" ".join(row.filled))
            if _signed(line):
                return Doubt("offline", Message("intake.look.sign", text=line[:80]), "--right", ("+", "-"))
    return None
