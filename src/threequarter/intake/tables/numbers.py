"""Numbers as people and devices write them; the decimal mark is decided for a whole file, never cell by cell."""

import math
import re
import unicodedata
from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache
from typing import Final, Literal

from threequarter.intake.tables import words

Mark = Literal[".", ","]

_MINUS: Final = str.maketrans(
    {
        "\u2212": "-",
        "\u2013": "-",
        "\u2014": "-",
        "\u2010": "-",
        "\uff0d": "-",
        "\u00ad": "-",
        "\u066b": ".",
        "\u066c": "'",
    }
)
STRUCK: Final = ("\u0335", "\u0336")
"""Bars through the letter before."""
_BODY = re.compile(r"[-+]?\d[\d.,'’\u00a0\u202f\u2009 ]*|[-+]?[.,]\d+")


def tidy(text: str) -> str:
    """One width, plain minus signs, digits as 0 to 9, no outer blanks."""
    plain = unicodedata.normalize("NFKC", text).translate(_MINUS).strip()
    if plain.startswith("~~") and plain.endswith("~~"):
        plain = plain.strip("~ ")
    if plain.isascii():
        return plain
    plain = "".join(letter for letter in plain if letter not in STRUCK)
    return "".join(str(unicodedata.digit(c)) if c.isdecimal() and not c.isascii() else c for c in plain)


def missing(text: str) -> bool:
    """Whether a cell says that there is no value."""
    return tidy(text).casefold() in words.MISSING


@dataclass(frozen=True, slots=True)
class Written:
    """A number found in a cell: its digits as written, what stood before and after it, and its sign."""

    digits: str
    before: str
    after: str
    negative: bool


@lru_cache(maxsize=65536)
def find_number(text: str) -> Written | None:
    """The one number of a cell ("5.5 ft L", "(3,2)", "左 1,5"); None if there is none or more than one."""
    plain = tidy(text)
    inner = plain[1:-1].strip() if plain.startswith("(") and plain.endswith(")") else plain
    matches = list(_BODY.finditer(inner))
    if len(matches) != 1:
        return None
    match = matches[0]
    digits, after = match[0].strip(), inner[match.end() :].strip()
    digits = digits.rstrip(".,'’ ") if not re.search(r"\d$", digits) else digits
    negative = digits.startswith("-") or inner is not plain
    if after.startswith("-") and after.strip("- ") == "":
        negative, after = True, ""
    return Written(digits.lstrip("+-").strip(), inner[: match.start()].strip(), after, negative)


def to_float(digits: str, decimal: Mark, *, thousands_likely: bool = False) -> float | None:
    """The value of digits as written, or None where they fit no reading.

    `thousands_likely` reads a single mark before three digits as a thousands mark (spin: 7.200 is 7200). Hundreds of digits
    in a row fit none: they are past what a number can be.
    """
    found = _value(digits, decimal, thousands_likely=thousands_likely)
    return found if found is not None and math.isfinite(found) else None


def _value(digits: str, decimal: Mark, *, thousands_likely: bool) -> float | None:
    text = re.sub(r"[\s'’]", "", digits)
    other = "," if decimal == "." else "."
    if thousands_likely and re.fullmatch(r"\d{1,3}[.,]\d{3}", text):
        return float(re.sub(r"[.,]", "", text))
    if text.count(decimal) > 1:
        return float(text.replace(decimal, "")) if _grouped(text, decimal) else None
    whole, _, part = text.partition(decimal)
    if other in part:
        return None
    if other in whole:
        if not _grouped(whole, other):
            return float(text.replace(other, ".")) if decimal not in text and text.count(other) == 1 else None
        whole = whole.replace(other, "")
    try:
        return float(f"{whole or 0}.{part or 0}")
    except ValueError:
        return None


def _grouped(text: str, mark: str) -> bool:
    return re.fullmatch(rf"\d{{1,3}}(?:{re.escape(mark)}\d{{3}})+", text) is not None


def decimal_mark(digits: Iterable[str]) -> Mark | None:
    """The decimal mark that a collection of numbers settles, or None where nothing does.

    A mark before one, two, four or more digits is decimal; of two marks in one number the last is; a mark that occurs
    twice in a number groups thousands, so that the other is decimal.
    """
    votes = {".": 0, ",": 0}
    for text in digits:
        plain = re.sub(r"[\s'’]", "", text)
        marks = re.findall(r"[.,]", plain)
        if not marks:
            continue
        if len(set(marks)) == 2:
            votes[marks[-1]] += 3
        elif len(marks) > 1:
            votes["," if marks[0] == "." else "."] += 3
        elif not re.fullmatch(r"\d{1,3}[.,]\d{3}", plain) or plain.startswith("0"):
            votes[marks[0]] += 1
    if votes["."] == votes[","]:
        return None
    return "." if votes["."] > votes[","] else ","
