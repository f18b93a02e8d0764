"""Numbers and days as a locale writes them, checked against Babel's own writing of the same values."""

from datetime import date

import pytest
from babel.numbers import format_decimal

from threequarter.language.localize import day, number
from threequarter.languages import language


@pytest.mark.parametrize("code", ["en", "de"])
@pytest.mark.parametrize("value", [0.0, 0.04, 86.44, 7.25, 999.5])
def test_the_decimal_mark_is_that_of_the_locale(code: str, value: float) -> None:
    with language(code):
        assert number(value, 1) == format_decimal(float(f"{value:.1f}"), "0.0", locale=code)


def test_a_minus_is_a_minus_and_nought_has_no_sign() -> None:
    assert number(-2.4) == "−2"
    assert number(-0.2, sign=True) == "0"
    assert number(2.6, sign=True) == "+3"
    with language("de"):
        assert number(-0.25, 2) == "−0,25"


def test_a_day_is_written_as_people_there_write_it() -> None:
    assert day(date(2026, 11, 6)) == "6 Nov 2026"
    with language("de"):
        assert day(date(2026, 11, 6)) == "06.11.2026"
