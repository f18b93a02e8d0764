"""The language in which things are said. Texts are written in English; the catalogue in use says them in another.

`_` and `ngettext` look a text up when it is said, never when a module is imported; `N_` marks a text that stands in a
constant and is said later by `_`. Values go in by name after the look-up: `_("{count} balls").format(count=3)`.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from datetime import date
from functools import cache, lru_cache
from gettext import NullTranslations
from typing import Final

ENGLISH: Final = NullTranslations()
DAYS_REMEMBERED: Final = 1024
_IN_USE: ContextVar[NullTranslations] = ContextVar("catalogue", default=ENGLISH)
_LOCALE: ContextVar[str] = ContextVar("locale", default="en")


def _(text: str) -> str:
    """A text in the language in use."""
    return _IN_USE.get().gettext(text) if text else ""


def ngettext(one: str, many: str, count: int) -> str:
    """The form of a text that goes with a number, in the language in use."""
    return _IN_USE.get().ngettext(one, many, count)


def N_(text: str) -> str:
    """Marks a text for the catalogue and gives it back as it is."""
    return text


def locale() -> str:
    """The locale in use ("en", "en_US", "de"), by which numbers and dates are written."""
    return _LOCALE.get()


def number(value: float, digits: int | None = 0, sign: bool = False) -> str:
    """A number for a reader, with the decimal mark of the locale and a true minus: "86.4", "86,4", "−2", "+3".

    `digits` None writes as many as it needs. Files for machines (JSON, CSV) keep the point and take no number from here.
    """
    if digits is None:
        return f"{value:g}".replace("-", "\N{MINUS SIGN}").replace(".", _decimal_mark(locale()))
    written = f"{value:.{digits}f}"
    if not float(written):
        written = written.lstrip("-")
    elif sign and value > 0:
        written = f"+{written}"
    return written.replace("-", "\N{MINUS SIGN}").replace(".", _decimal_mark(locale()))


def day(when: date) -> str:
    """A day as the locale writes it: "26 Nov 2026", "26.11.2026"."""
    return _day(when, locale())


@lru_cache(maxsize=DAYS_REMEMBERED)
def _day(when: date, code: str) -> str:
    from babel.dates import format_date

    return format_date(when, "d MMM y" if code == "en" else "medium", locale=code)


@cache
def _decimal_mark(code: str) -> str:
    if code.startswith("en"):
        return "."
    from babel.numbers import get_decimal_symbol

    return get_decimal_symbol(code)


@contextmanager
def speaking(code: str, catalogue: NullTranslations) -> Iterator[None]:
    """Says everything within in the language of a catalogue."""
    one, other = _IN_USE.set(catalogue), _LOCALE.set(code)
    try:
        yield
    finally:
        _IN_USE.reset(one)
        _LOCALE.reset(other)
