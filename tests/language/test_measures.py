"""Units of the reader. Conversions against pint (an independent library); words and typed quantities by behaviour."""

import math

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from threequarter.golf.errors import UserError
from threequarter.golf.units import (
    from_celsius,
    from_metres,
    from_mps,
    height_from_metres,
    height_to_metres,
    to_celsius,
    to_mps,
)
from threequarter.language.measures import (
    Units,
    apex,
    height,
    measured_in,
    speed,
    temperature,
    typed_height,
    typed_speed,
    typed_temperature,
    units_in_use,
    usual_units,
)
from threequarter.languages import language

ORACLE = pint.UnitRegistry()
US = Units(height="ft", speed="mph", temperature="F")
NUMBERS = st.floats(-1000, 1000, allow_nan=False)


@given(NUMBERS)
def test_conversions_are_those_of_an_independent_library(value: float) -> None:
    def same(ours: float, theirs: float) -> None:
        assert math.isclose(ours, theirs, rel_tol=1e-12, abs_tol=1e-9)

    same(from_metres(value, "yd"), ORACLE.Quantity(value, "m").to("yard").magnitude)
    same(height_from_metres(value, "ft"), ORACLE.Quantity(value, "m").to("foot").magnitude)
    same(from_mps(value, "mph"), ORACLE.Quantity(value, "m/s").to("mile/hour").magnitude)
    same(from_mps(value, "kmh"), ORACLE.Quantity(value, "m/s").to("km/hour").magnitude)
    same(from_celsius(value, "F"), ORACLE.Quantity(value, "degC").to("degF").magnitude)
    same(to_celsius(from_celsius(value, "F"), "F"), value)
    same(to_mps(from_mps(value, "kmh"), "kmh"), value)
    same(height_to_metres(height_from_metres(value, "ft"), "ft"), value)


def test_words_are_in_the_units_and_the_numbers_of_the_reader() -> None:
    with measured_in(Units()):
        assert (temperature(9.0), height(600.0), speed(5.0), speed(2.5)) == ("9 °C", "600 m", "5 m/s", "2.5 m/s")
    with measured_in(US):
        assert (temperature(9.0), height(600.0), speed(5.0)) == ("48 °F", "1969 ft", "11 mph")
        assert (apex(18.2), temperature(-20.4)) == ("60 ft", "−5 °F")
    with language("de"), measured_in(Units(speed="ms")):
        assert speed(2.5) == "2,5 m/s"


def test_units_are_those_of_the_locale_where_nobody_chose() -> None:
    assert usual_units("en_US") == US
    assert usual_units("en_AU") == usual_units("en") == Units()
    with language("de"):
        assert units_in_use() == Units(distance="m", speed="kmh")


@pytest.mark.parametrize(
    ("text", "temp_c"),
    [
        ("50 °F", 10.0),
        ("50F", 10.0),
        ("10 °C", 10.0),
        ("−4,5", -4.5),
        (" 9.5 ", 9.5),
        ("- 3", -3.0),
        ("50 fahrenheit", 10.0),
    ],
)
def test_a_temperature_is_understood_as_typed(text: str, temp_c: float) -> None:
    with measured_in(Units()):
        assert typed_temperature(text, "T") == pytest.approx(temp_c)


def test_a_number_without_a_unit_is_in_the_unit_in_use() -> None:
    with measured_in(US):
        assert typed_temperature("50", "T") == pytest.approx(10.0)
        assert typed_height("2000", "A") == pytest.approx(609.6)
        assert typed_speed("10", "W") == pytest.approx(4.4704)
        assert typed_speed("36 km/h", "W") == pytest.approx(10.0)
        assert typed_height("600 m", "A") == 600.0
    assert typed_speed("", "W") is None


@pytest.mark.parametrize("text", ["warm", "9 K", "9 9", "1,2,3 C", "9 m/s"])
def test_what_cannot_be_read_says_what_it_was_for(text: str) -> None:
    with pytest.raises(UserError, match="The temperature"):
        typed_temperature(text, "The temperature")
