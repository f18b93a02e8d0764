"""Names over columns, titles between the balls, remarks with commas, and lengths that are no labels."""

import pytest

from threequarter.intake.options import ReadOptions
from threequarter.intake.reading import Reading
from threequarter.intake.tables.read import read_table

ACROSS = [(40, 47), (42, 45), (39, 48), (41, 46)]


def read(lines: list[str], options: ReadOptions | None = None) -> Reading:
    return read_table("\n".join(lines).encode(), "table.csv", options)


def across(one: str, two: str) -> list[str]:
    rows = [f"52,half,{a},{b}" for a, b in ACROSS] + [f"52,full,{a + 40},{b + 40}" for a, b in ACROSS]
    return ["All carries in metres", f"Club,Swing,{one},{two}", *rows]


@pytest.mark.parametrize(
    "heads",
    [("Anna carry (m)", "Bert carry (m)"), ("Carry Anna", "Carry Bert"), ("Anna", "Bert"), ("Anna (m)", "Bert (m)")],
)
def test_columns_that_bear_names_are_asked_about_once_and_read_as_two_players(heads: tuple[str, str]) -> None:
    (asked,) = read(across(*heads)).questions
    assert (asked.about, asked.option, asked.choices) == ("player", "--across", ("players", "measures"))
    reading = read(across(*heads), ReadOptions(across="players"))
    assert not reading.questions
    told = [(ball.player, ball.club, ball.swing, round(ball.distance_m)) for ball in reading.balls]
    assert told[:3] == [("Anna", "52", "half", 40), ("Bert", "52", "half", 47), ("Anna", "52", "half", 42)]
    assert len(told) == 16
    assert [question.about for question in read(across(*heads), ReadOptions(across="measures")).questions] == ["carry"]


def test_a_carry_and_its_total_under_unknown_words_are_no_players() -> None:
    rows = [
        f"52,{swing},{far},{far + 3 + far % 2}"
        for swing, far in (("half", 40), ("half", 43), ("half", 38), ("full", 80), ("full", 84), ("full", 79))
    ]
    questions = read(["All in metres", "Club,Swing,Wumm,Zapp", *rows]).questions
    assert [question.about for question in questions] == ["carry"]


@pytest.mark.parametrize("heads", [("Carry (m)", "Total (m)"), ("Carry", "Target"), ("Carry (m)", "Ball speed")])
def test_columns_of_measures_are_no_players(heads: tuple[str, str]) -> None:
    assert all(question.option != "--across" for question in read(across(*heads)).questions)


@pytest.mark.parametrize(
    "title",
    ["Second Bucket", "Morning Session", "Zweiter Eimer", "Deuxième Seau", "Segunda Cesta", "Andra Hinken", "Set 2"],
)
def test_a_title_between_the_balls_names_no_player(title: str) -> None:
    balls = [f"52,half,{40 + n % 3}" for n in range(6)]
    reading = read(["Club,Swing,Carry (m)", *balls, title, *balls])
    assert not reading.questions
    assert {ball.player for ball in reading.balls} == {None}
    named = read(["Club,Swing,Carry (m)", "Anna Quill", *balls, "Bert Day", *balls])
    assert {ball.player for ball in named.balls} == {"Anna Quill", "Bert Day"}


def test_a_comma_in_a_remark_is_no_decimal_comma_and_cuts_nothing_off() -> None:
    rows = [f"54,half,{(40, 43, 41, 44, 40, 42, 39, 43)[n]}," for n in range(8)]
    rows[1] += "fine, actually full"
    rows[4] += "soft, high"
    reading = read(["Club,Swing,Carry (m),Note", *rows])
    assert [question.about for question in reading.questions] == ["rows"]
    kept = read(["Club,Swing,Carry (m),Note", *rows], ReadOptions(remarks="keep"))
    assert [ball.note for ball in kept.balls if ball.note] == ["fine, actually full", "soft, high"]


def test_a_few_whole_metres_again_and_again_name_no_player() -> None:
    rows = [f"54;half;{40 + n % 4};{2 + n % 3};{n % 5 - 2}" for n in range(12)]
    reading = read(["Club;Swing;Carry (m);Krulp (m);Offline (m)", *rows])
    assert not [question for question in reading.questions if question.about in ("player", "swing", "club")]
