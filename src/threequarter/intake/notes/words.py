"""The words of a line of notes, each with what it can mean: a number, a side, a strike, a swing, a club, a unit, a way."""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Final, NamedTuple

from threequarter.golf.ball import MeasuredBy, Strike
from threequarter.golf.club import parse_club
from threequarter.golf.message import Message
from threequarter.golf.swing_length import Clock, parse_swing
from threequarter.golf.units import FOOT_M, YARD_M
from threequarter.intake.tables import words as vocabulary
from threequarter.intake.tables.decode import fold
from threequarter.intake.tables.lines import is_club, name_like
from threequarter.intake.tables.unit_lines import unit_told
from threequarter.intake.tables.units import ANGLES, unit_of
from threequarter.intake.tables.vocabulary import words_of

STRIKES: Final = {
    fold(word): Strike(kind) for kind, names in vocabulary.STRIKES.items() for word in names if " " not in word
}
BY: Final = {
    "laser": MeasuredBy.LASER,
    "lasered": MeasuredBy.LASER,
    "device": MeasuredBy.DEVICE,
    "position": MeasuredBy.POSITION,
    "phone": MeasuredBy.POSITION,
    "paced": MeasuredBy.PACES,
    "gelasert": MeasuredBy.LASER,
    "messgerät": MeasuredBy.DEVICE,
    "handy": MeasuredBy.POSITION,
    "telefon": MeasuredBy.POSITION,
    "abgeschritten": MeasuredBy.PACES,
}
UNITS: Final = {
    "yd": "yd",
    "y": "yd",
    "yds": "yd",
    "yards": "yd",
    "yard": "yd",
    "m": "m",
    "metres": "m",
    "meters": "m",
    "metre": "m",
    "meter": "m",
    "ft": "ft",
    "feet": "ft",
    "paces": "paces",
    "pace": "paces",
    "steps": "paces",
    "metern": "m",
    "schritt": "paces",
    "schritte": "paces",
    "schritten": "paces",
}
METRES: Final = {"yd": YARD_M, "m": 1.0, "ft": FOOT_M}
SIDES: Final = {"l": -1, "left": -1, "r": 1, "right": 1, "links": -1, "rechts": 1}
AS: Final = {"carry": "carry", "carried": "carry", "rest": "rest", "lies": "rest", "liegt": "rest"}
SILENT: Final = frozenset("the at by with of and in is was then a bei mit und von dann".split())
COUNTS: Final = {
    "two": 2,
    "three": 3,
    "four": 4,
    "five": 5,
    "six": 6,
    "seven": 7,
    "eight": 8,
    "nine": 9,
    "ten": 10,
    "eleven": 11,
    "twelve": 12,
    "fifteen": 15,
    "twenty": 20,
    "dozen": 12,
    "zwei": 2,
    "drei": 3,
    "vier": 4,
    "fünf": 5,
    "sechs": 6,
    "sieben": 7,
    "acht": 8,
    "neun": 9,
    "zehn": 10,
    "elf": 11,
    "zwölf": 12,
    "fünfzehn": 15,
    "zwanzig": 20,
    "dutzend": 12,
}
LOFTS: Final = range(44, 65)
"""A bare number is a club only if it is one of these."""

_COMMENT = re.compile(r"(?:^|\s)#.*$")
_NUMBER = re.compile(r"^(?P<value>\d+(?:[.,]\d+)?)(?P<tail>[a-z]*)$")
_TAIL = re.compile(r"^(?P<unit>yds?|y|m|ft)?(?P<side>l|r|left|right)?$")
_PILE = re.compile(
    r"(?:(?P<n>\d+|[a-z]+)\s+balls?\W+)?(?:the\s+)?(?:middle|centre|center)\b(?:\s+of)?(?:\s+(?:the|a))?(?:\s+pile)?"
    r"(?:\s+of\s+(?P<n1>\d+|[a-z]+))?(?:\s+balls?)?\W*(?:at|is|=)?\s*(?P<at>\d+(?:[.,]\d+)?)"
    r"|pile(?:\s+of\s+(?P<n2>\d+|[a-z]+))?(?:\s+balls?)?\W*(?:at|is|=)?\s*(?P<at2>\d+(?:[.,]\d+)?)"
    r"|(?P<n3>\d+|[a-z]+)\s+balls\s+at\s+(?P<at3>\d+(?:[.,]\d+)?)"
    r"|(?:mitte\s+(?:des|vom|eines)\s+)?haufens?(?:\s+(?:von|mit|aus)\s+(?P<n4>\d+|[a-zäöüß]+))?(?:\s+b[aä]lle?n?)?\W*(?:bei|auf|=)?\s*"
    r"(?P<at4>\d+(?:[.,]\d+)?)"
)


@dataclass(frozen=True, slots=True)
class Word:
    """A word as written (`text`) and folded (`plain`), its number in the line from 1, and whether a comma, a semicolon,
    a closing bracket or the line's end stands behind it."""

    text: str
    plain: str
    col: int
    ends: bool


@dataclass(frozen=True, slots=True)
class Number:
    """A number with what is glued to it: a unit or a side."""

    value: float
    unit: str | None
    side: int | None


@dataclass(frozen=True, slots=True)
class Pile:
    """One reading of the middle of a pile; `count` is None where it was not told. What stood before and behind it."""

    count: int | None
    at: float
    before: str
    after: str


class NotUnderstoodError(ValueError):
    """Why a line cannot be read."""


_LOFT_WORD: Final = re.compile(r"(?<![\d.,])(\d{2})\s*([^\W\d_]+|[°º])(?!\w)\.?")
_SEPARATED: Final = re.compile(r"(?<=\d)\s+[-–—|/·]\s+(?=\d)")
_RUN: Final = re.compile(
    r"(?<![\d.,/-])(?:[2-9]\d|1\d\d)(?:([-–/,])(?:[2-9]\d|1\d\d))(?:\1(?:[2-9]\d|1\d\d))+(?![\d.,/-])"
)
"""Three numbers and more without blanks, 38-41-40 or 38,41,40: no date, no decimals."""


def _loft(match: re.Match[str]) -> str:
    """ "50 deg" as "50°"; what is behind a number otherwise stays."""
    return f"{match[1]}°" if match[2] == "º" or fold(match[2]) in ANGLES else match[0]


def split(line: str) -> list[Word]:
    """The words of a line; comments are gone. A comma between digits stays: it may be a decimal comma. The word that makes a
    number a loft ("50 deg") is of that number; numbers in a row with marks between them are that many numbers."""
    line = _LOFT_WORD.sub(_loft, _COMMENT.sub("", line))
    line = _SEPARATED.sub(" ", _RUN.sub(lambda m: re.sub(r"\D", " ", m[0]), line))
    line = re.sub(r"\s+:(?=\s)", ":", line)
    line = re.sub(r"(?<!\d)([,;])|([,;])(?!\d)|([;()])", lambda m: f" {m[0]} ", line)
    words: list[Word] = []
    for part in line.split():
        if part in (",", ";", ")"):
            if words:
                words[-1] = Word(words[-1].text, words[-1].plain, words[-1].col, True)
        elif part != "(":
            ends = part[-1] in ".!" and len(part) > 1
            text = part.rstrip(".!") if ends else part
            words.append(Word(text, fold(text), len(words) + 1, ends))
    if words:
        words[-1] = Word(words[-1].text, words[-1].plain, words[-1].col, True)
    return words


def pile(line: str) -> Pile | None:
    """A line that tells of the middle of a pile, or None."""
    plain = fold(_COMMENT.sub("", line))
    found = _PILE.search(plain)
    if not found:
        return None
    told = found["n"] or found["n1"] or found["n2"] or found["n3"] or found["n4"] or ""
    count = int(told) if told.isdecimal() and len(told) < 9 else COUNTS.get(told)
    at = found["at"] or found["at2"] or found["at3"] or found["at4"]
    return Pile(count, value(at), plain[: found.start()], plain[found.end() :])


def number(word: Word) -> Number | None:
    """The number of a word, None where it is none. Raises NotUnderstoodError for one that could be read two ways."""
    match = _NUMBER.match(word.plain)
    if match is None:
        return None
    glued = _TAIL.match(match["tail"])
    if glued is None:
        raise NotUnderstoodError(Message("notes.is_neither_a_distance_nor", word=word.text))
    return Number(value(match["value"]), UNITS.get(glued["unit"] or ""), SIDES.get(glued["side"] or ""))


def value(text: str) -> float:
    """54, 54.5 or 54,5. Raises NotUnderstoodError for 51,53: one distance or two?"""
    if re.fullmatch(r"\d+,\d{2,}", text):
        raise NotUnderstoodError(
            Message("notes.may_be_one_distance_or", text=text, one=text.replace(",", "."), two=text.replace(",", " "))
        )
    return float(text.replace(",", "."))


def swing_at(words: Sequence[Word], place: int, clock: Clock) -> int:
    """How many words from here on name a swing length, longest first; 0 for none. A bare number never does."""
    for length in (4, 3, 2, 1):
        some = words[place : place + length]
        text = label(some)
        if (
            len(some) < length
            or any(word.ends for word in some[:-1])
            or re.fullmatch(r"[\d.,]+[a-z]?", text.casefold())
        ):
            continue
        if parse_swing(text, clock).kind == "own":
            continue
        if length > 1 and some[-1].plain.replace(".", "").isdigit():
            continue
        if some[-1].plain in SILENT or some[-1].plain in ("to", "-", "–"):
            continue
        return length
    return 0


def label(words: Sequence[Word]) -> str:
    """Words as one label; the colon of "54 waist: 51" is none of it."""
    return " ".join(word.text for word in words).rstrip(":")


class Title(NamedTuple):
    """What a line of words tells for all below it: the unit, and which of the two distances was read, if it says."""

    unit: str
    measured_as: str | None
    by: MeasuredBy | None

    def told(self) -> dict[str, Any]:
        """What it tells, by the names of what it tells of."""
        return {name: value for name, value in self._asdict().items() if value is not None}


def title(line: str) -> Title | None:
    """A line without a number that tells the unit: "Wedge test, carry in yards"; None for another."""
    metres = unit_told(line) if not any(letter.isdigit() for letter in line) else None
    unit = next((name for name, factor in METRES.items() if metres and abs(metres - factor) < 1e-6), None)
    said = words_of(line).roles
    rest = "total" in said and "carry" not in said
    by = next((BY[word] for word in re.findall(r"[^\W\d_]+", fold(line)) if word in BY), None)
    return Title(unit, "rest" if rest else "carry" if "carry" in said else None, by) if unit else None


def may_be_a_name(line: str) -> bool:
    """Whether a line that was not understood could be the player of what is below it: "Anna", "Ben Reed"."""
    name = line.strip(" :")
    known = any(words_of(word).roles for word in (name, *name.split()))
    return 1 <= len(name.split()) <= 2 and name_like(name) and name.replace(" ", "").isalpha() and not known


def heads(line: str, below: Sequence[str], *, listed: bool) -> bool:
    """Whether a line is a club that heads those below: in a list always, else where a swing length stands alone on the next line.
    "LW 60" above it is a club then, and 60 its loft; a bare 60 is none."""
    club = line.strip(" :")
    following = next((one.strip(" :") for one in below if one.strip()), "")
    alone = not club.isdigit() and parse_swing(following).kind != "own" and not is_club(following)
    return is_club(club) and (listed or alone)


def unit(plain: str) -> str | None:
    """The unit that a word is, in any language."""
    found = unit_of(plain) if len(plain) > 2 and plain.isalpha() else None
    known = next((name for name, factor in METRES.items() if found and found == ("length", factor)), None)
    return UNITS.get(plain) or known


def own_swing_of_line(words: Sequence[Word]) -> int:
    """How many words at the start of a line are the player's own name for a swing: up to three and a colon, then numbers."""
    ends = next((i for i, word in enumerate(words[:3]) if word.text.endswith(":")), None)
    if ends is None or not all(plain_word(word) for word in words[: ends + 1]) or len(words) < ends + 3:
        return 0
    name = label(words[: ends + 1])
    known = (
        words_of(name).roles or fold(name) in vocabulary.MEANS or any(fold(w) in vocabulary.MEANS for w in name.split())
    )
    return 0 if known or not all(word.plain[:1].isdigit() for word in words[ends + 1 :]) else ends + 1


def is_loft(word: Word) -> bool:
    """Whether a bare number could be a club."""
    return word.plain.rstrip(":").isdigit() and int(word.plain.rstrip(":")) in LOFTS


def plain_word(word: Word) -> bool:
    """A word with no meaning of its own: a player's own name for a swing."""
    known = (STRIKES, BY, UNITS, SIDES, AS, SILENT)
    text = word.plain.rstrip(":")
    return bool(text) and text.replace("-", "").isalpha() and not any(text in some for some in known)


def club_at(words: Sequence[Word], place: int, clock: Clock) -> int:
    """How many words from here on name a club by a wedge word or a degree sign; 0 for none.

    "gap 50 waist" is one label; in "sw 51 53" the number is a distance, because no swing follows it.
    """
    word = words[place]
    if word.plain.rstrip(":").endswith(("°", "º")) and parse_club(word.text).known:
        return 1
    if (
        re.fullmatch(r"\d+[./-]\d{2}:?", word.plain)
        and parse_club(word.text).loft_deg
        and _names_swing(words, place + 1, clock)
    ):
        return 1
    if len(word.plain) == 1 and place > 0:
        return 0
    if word.plain in ("wedge", "iron") and place + 1 < len(words) and is_loft(words[place + 1]):
        return 2 if _names_swing(words, place + 2, clock) else 0
    two = words[place : place + 2]
    if parse_club(word.text).kind is None or word.plain[0].isdigit():
        if len(two) == 2 and not word.plain[0].isdigit() and parse_club(label(two)).kind and two[1].plain == "wedge":
            return 2
        if (
            len(two) == 2
            and is_loft(word)
            and parse_club(two[1].text).kind
            and two[1].plain.isalpha()
            and len(two[1].plain) > 1
        ):
            return 2
        return 0
    length = 2 if len(two) == 2 and two[1].plain.rstrip(":") == "wedge" else 1
    if place + length < len(words):
        loft = words[place + length]
        degrees = loft.plain.rstrip(":").endswith(("°", "º"))
        if degrees or (
            parse_club(loft.text).loft_deg
            and loft.plain[0].isdigit()
            and _names_swing(words, place + length + 1, clock)
        ):
            return length + 1
    return length


def _names_swing(words: Sequence[Word], place: int, clock: Clock) -> bool:
    return place < len(words) and (swing_at(words, place, clock) > 0 or plain_word(words[place]))
