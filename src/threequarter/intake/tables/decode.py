"""Bytes -> text: which encoding a file is written in, decided by what makes words of it."""

import codecs
import re
import unicodedata
from functools import lru_cache
from typing import Final

from threequarter.golf.errors import UserError
from threequarter.golf.message import Message
from threequarter.golf.swing_length import LEVEL_WORDS
from threequarter.intake.tables import words

CANDIDATES: Final = (
    "cp1252",
    "cp932",
    "euc_jp",
    "mac_roman",
    "cp1250",
    "cp1251",
    "koi8_r",
    "cp437",
    "cp850",
    "gbk",
    "big5",
    "euc_kr",
    "iso8859_15",
    "cp1254",
    "cp1253",
    "cp1256",
    "cp1255",
    "cp874",
    "cp1257",
    "iso8859_2",
    "iso8859_7",
)


def decode(content: bytes, encoding: str | None = None) -> tuple[str, str]:
    """The text of a file and the encoding it was read in.

    Raises UserError for an empty file, for one that is no text, and for a named encoding that does not fit.
    """
    if not content.strip(b"\x00\r\n\t \xef\xbb\xbf\xff\xfe"):
        raise UserError(Message("intake.the_file_is_empty"))
    if encoding:
        try:
            return content.decode(encoding).lstrip("\ufeff"), encoding
        except (UnicodeDecodeError, LookupError) as error:
            raise UserError(Message("intake.the_file_cannot_be_read", encoding=encoding, error=error)) from error
    for mark, name in (
        (codecs.BOM_UTF8, "utf-8-sig"),
        (codecs.BOM_UTF16_LE, "utf-16"),
        (codecs.BOM_UTF16_BE, "utf-16"),
    ):
        if content.startswith(mark):
            return _checked(content.decode(name, errors="replace")), name
    if wide := _utf16_without_mark(content):
        return _checked(content.decode(wide, errors="replace")), wide
    if b"\x00" in content or _controls(content) > 0.02:
        raise UserError(Message("intake.this_is_not_a_table"))
    try:
        return _checked(content.decode("utf-8")), "utf-8"
    except UnicodeDecodeError:
        pass
    tried = [(_score(text), -i, text, name) for i, name in enumerate(CANDIDATES) if (text := _attempt(content, name))]
    if not tried:
        return content.decode("cp1252", errors="replace"), "cp1252"
    best = max(tried)
    if best[0] < 0 and (guess := _detector(content)):
        return guess
    return _checked(best[2]), best[3]


@lru_cache(maxsize=1)
def _vocabulary() -> frozenset[str]:
    """Known words with letters beyond ASCII: a text in which they are found was read in the right encoding."""
    from threequarter.intake.tables.vocabulary import ALPHABETS, PHRASES

    groups = (*PHRASES.values(), *words.STRIKES.values(), *LEVEL_WORDS.values(), words.WARM_UP, words.MEANS, ALPHABETS)
    return frozenset(word for group in groups for word in group if any(ord(letter) > 127 for letter in word))


def _attempt(content: bytes, name: str) -> str | None:
    try:
        return content.decode(name)
    except UnicodeDecodeError:
        return None


def _score(text: str) -> float:
    """Known words found, less signs that no heading bears."""
    folded = unicodedata.normalize("NFKC", text[:20000]).casefold()
    found = sum(2.0 for word in _vocabulary() if word in folded)
    odd = len(
        re.findall(
            r"[\u0080-\u009f\ufffd¤¦©®±µ¶¹²³×÷†‡‰‹›™ŠŽ∞Ω≤≥∂∑∏π∫√ƒ≈∆◊]|[a-z][À-Þ]|[\uff61-\uff9f]|[ýþðÝÞÐ]|[À-ÿ]{3,}|[\u2190-\u25ff]|[^\W\d][¥´`¨¸¯¿¡¢£§]|[а-яё][А-ЯЁ]|[^\W\d][¼½¾]|[A-Za-z][Ѐ-ӿΑ-ω]|[Ѐ-ӿΑ-ω][A-Za-z]",
            text[:20000],
        )
    )
    return found + 0.5 * len(re.findall(r"\d ?°|(?<![^\W\d])[¼½¾](?![^\W\d])", text[:20000])) - 0.5 * odd


def _detector(content: bytes) -> tuple[str, str] | None:
    import charset_normalizer

    best = charset_normalizer.from_bytes(content[:200_000]).best()
    return (content.decode(best.encoding, errors="replace"), best.encoding) if best else None


def _utf16_without_mark(content: bytes) -> str | None:
    sample = content[:4000]
    if len(sample) < 8 or b"\x00" not in sample:
        return None
    even, odd = sample[0::2].count(0) / (len(sample) / 2), sample[1::2].count(0) / (len(sample) / 2)
    if odd > 0.4 > even:
        return "utf-16-le"
    return "utf-16-be" if even > 0.4 > odd else None


def _controls(content: bytes) -> float:
    sample = content[:8000]
    return sum(byte < 32 and byte not in (9, 10, 11, 12, 13, 26) for byte in sample) / len(sample)


def _checked(text: str) -> str:
    odd = sum(unicodedata.category(letter) == "Cc" and letter not in "\t\r\n\f\v" for letter in text[:8000])
    if odd > 0.02 * min(len(text), 8000) or text[:8000].count("\ufffd") > 0.1 * min(len(text), 8000):
        raise UserError(Message("intake.this_is_not_a_table"))
    return text.lstrip("\ufeff")


def fold(text: str) -> str:
    """Text for comparing: one width, no case, single spaces."""
    return _fold(text) if len(text) < 60 else _fold.__wrapped__(text)


@lru_cache(maxsize=65536)
def _fold(text: str) -> str:
    return " ".join(unicodedata.normalize("NFKC", text).replace("\u2212", "-").casefold().split())
