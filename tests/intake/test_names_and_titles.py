"""Names over columns, titles between the balls, remarks with commas, and lengths that are no labels."""

import pytest

from threequarter.intake.notes.read import read_notes
from threequarter.intake.options import ReadOptions
from threequarter.intake.reading import Reading
from threequarter.intake.tables.read import read_table
from threequarter.language import say

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


@pytest.mark.parametrize(
    "text",
    [
        ",Anna,,Ben,\nClub,half,full,half,full\nPW,50 yd,95 yd,60 yd,110 yd\nPW,52 yd,97 yd,61 yd,112 yd\n",
        ";Tom;Tom;Lisa;Lisa\nSchläger;halb;voll;halb;voll\nPW;61;108;48;86\nPW;63;111;50;88\n52;55;95;42;75\n",
        "Anna;;;Ben;;\nClub;Swing;Carry m;Club;Swing;Carry m\nPW;half;50;PW;half;60\nPW;full;95;PW;full;110\n",
    ],
)
def test_names_over_columns_or_over_tables_are_asked_about(text: str) -> None:
    (asked,) = [one for one in read(text.splitlines()).questions if one.about == "player"]
    assert all(name in say(asked.text) for name in (("Anna", "Ben") if "Anna" in text else ("Tom", "Lisa")))


def test_balls_of_two_players_in_notes_are_never_put_together() -> None:
    text = "Anna\nPW half: 50 52 51\nBen\nPW half: 60 61 63\n"
    assert not read(text.splitlines()).balls
    assert "Anna, Ben" in say(read_notes(text).error or "")
    told = read_notes(text.replace("Anna", "player Anna").replace("Ben", "player Ben"))
    assert [ball.player for ball in told.balls] == ["Anna"] * 3 + ["Ben"] * 3


def test_a_club_with_its_loft_above_a_swing_is_no_ball() -> None:
    found = read_notes("SW 56\nhalf\n38\n41\nfull\n70\nLW 60\nhalf\n30\n")
    shots = [(ball.club, ball.swing, round(ball.distance_m / 0.9144)) for ball in found.balls]
    assert shots == [("SW 56", "half", 38), ("SW 56", "half", 41), ("SW 56", "full", 70), ("LW 60", "half", 30)]
