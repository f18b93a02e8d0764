"""A made-up language that knows every text: letters of another alphabet, values left alone.

A text that was never looked up, or a value that went in untranslated, still stands there in plain letters. Cyrillic, since the
fonts for printing hold it.
"""

import re
from gettext import NullTranslations
from typing import Final

KEPT: Final = re.compile(r"%\(\w+\)s|%%|\{\w*(?:![rs])?(?::[^}]*)?\}")
"""What is no text within a text: values."""
OTHER: Final = {ord(plain): 0x410 + place for place, plain in enumerate("ABCDEFGHIJKLMNOPQRSTUVWXYZ")} | {
    ord(plain): 0x430 + place for place, plain in enumerate("abcdefghijklmnopqrstuvwxyz")
}
WORD: Final = re.compile(r"[A-Za-z]{2,}")


def in_other_letters(text: str) -> str:
    """A text in the made-up language."""
    out, at = [], 0
    for match in KEPT.finditer(text):
        out += [text[at : match.start()].translate(OTHER), match[0]]
        at = match.end()
    return "".join([*out, text[at:].translate(OTHER)])


class MadeUp(NullTranslations):
    """A catalogue that knows every text."""

    def gettext(self, message: str) -> str:
        return in_other_letters(message)

    def ngettext(self, msgid1: str, msgid2: str, n: int) -> str:
        return in_other_letters(msgid1 if n == 1 else msgid2)


def plain_words(text: str, kept: frozenset[str]) -> list[str]:
    """The words that no catalogue was asked for, but for what was typed and symbols (`kept`)."""
    return [word for word in WORD.findall(text) if word not in kept]
