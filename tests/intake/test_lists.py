"""Plain lists in a file: "half: 38 - 41 - 40" below a club, with the unit in a title."""

from pathlib import Path

import pytest

from threequarter.intake.load import read_any, read_content
from threequarter.intake.options import ReadOptions
from threequarter.intake.reading import Reading

Told = list[tuple[str, str, int]]


def read(text: str, name: str = "list.txt") -> Reading:
    return read_content(text.encode(), name, "table", ReadOptions())


def told(reading: Reading) -> Told:
    unit = 0.9144 if reading.unit == "yd" else 1.0
    return [(ball.club, ball.swing, round(ball.distance_m / unit)) for ball in reading.balls]


def shots(club: str, short: str, long: str) -> Told:
    return [(club, short, 38), (club, short, 41), (club, short, 40), (club, long, 71), (club, long, 74)]


@pytest.mark.parametrize(
    ("text", "unit", "wanted"),
    [
        ("Wedge test, carry in yards\n\n50 deg hip high: 38, 41, 40\n50 deg full: 71, 74", "yd", shots("50°", "hip high", "full")),
        ("Séance, en mètres\nSW 56\ndemi : 38 - 41 - 40\nplein : 71 - 74", "m", shots("SW 56", "demi", "plein")),
        ("Vuelo en metros\n54 grados medio: 38-41-40\n54 grados completo: 71, 74", "m", shots("54°", "medio", "completo")),
        ("Alle Weiten in Metern\n54 Grad halb: 38/41/40\n54 Grad voll: 71 74", "m", shots("54°", "halb", "voll")),
    ],
)  # fmt: skip
def test_a_list_is_read_with_the_unit_of_its_title_and_the_loft_with_its_word(
    text: str, unit: str, wanted: Told
) -> None:
    reading = read(text)
    assert not reading.questions
    assert (reading.unit, told(reading)) == (unit, wanted)


def test_the_command_reads_the_same_list_from_a_file(tmp_path: Path) -> None:
    path = tmp_path / "list.txt"
    path.write_text("All in metres\nSW 56\nhalf: 38, 41\nfull: 71, 74\nAverage: 73\n")
    assert told(read_any(path, ReadOptions())) == [
        ("SW 56", "half", 38),
        ("SW 56", "half", 41),
        ("SW 56", "full", 71),
        ("SW 56", "full", 74),
    ]


def test_a_list_without_a_unit_asks_for_it() -> None:
    assert [q.about for q in read("SW 56\nhalf: 38, 41\nfull: 71, 74").questions] == ["unit"]


@pytest.mark.parametrize(
    "lines",
    ["Anna: 38, 41\nBert: 50, 52", "half: 38, 41\nroll: 4, 5", "half: 38, 41\nwhatever 40 here", "Anna Quill\nhalf: 38, 41\nBert Day\nhalf: 50, 52",
     "Mon: 38, 41\nTue: 50, 52"],
)  # fmt: skip
def test_a_list_that_may_say_something_else_gives_no_balls(lines: str) -> None:
    reading = read(f"All in metres\nSW 56\n{lines}")
    assert reading.error or reading.questions
    assert not reading.balls or reading.questions
