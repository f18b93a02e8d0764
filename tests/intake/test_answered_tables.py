"""An answer settles its own column only: everything else is decided anew by the same rules, and asked where in doubt."""

import json
from pathlib import Path

import pytest

from tests_support import load_module
from threequarter.intake.options import ReadOptions
from threequarter.intake.tables.read import read_table
from threequarter.intake.tables.values import measure

ROOT = Path(__file__).parents[2]
FOREIGN = ROOT / "tests" / "data" / "foreign_tables"
PHYSICS = "β/°;φ/°;v0/(m/s);h/m;x/m\n" + "".join(
    f"{loft};{arm};{speed + i / 10:.1f};{0.16 * carry:.1f};{carry + i * 0.7:.1f}\n".replace(".", ",")
    for loft, arm, speed, carry in ((52, 40, 17.5, 28), (52, 80, 25.2, 57), (60, 40, 16.9, 24), (60, 80, 23.8, 50))
    for i in range(4)
)


def asked(text: str, **columns: str) -> set[str]:
    return {q.about for q in read_table(text.encode(), "x.csv", ReadOptions(columns=columns)).questions}


def test_an_answered_club_leaves_the_swing_in_question() -> None:
    assert "swing" in asked(PHYSICS, carry="5", club="1")


def test_all_answers_leave_no_question() -> None:
    text = "a;b;c\n" + "".join(f"{s};{c};{d + i}\n" for s, c, d in (("x", 54, 30), ("y", 54, 60)) for i in range(4))
    assert not asked(text.replace("c\n", "carry (m)\n"), carry="3", club="2", swing="1")


@pytest.mark.parametrize(
    ("cell", "feet"), [("68' 4\"", 68 + 4 / 12), ("67'", 67.0), ("68′ 4″", 68 + 4 / 12), ("208’11”", 208 + 11 / 12)]
)
def test_feet_and_inches_are_one_length(cell: str, feet: float) -> None:
    found = measure(cell, ".")
    assert found is not None
    assert found.value * (found.factor or 0) == pytest.approx(feet * 0.3048)


def test_an_apostrophe_before_three_digits_groups_thousands() -> None:
    found = measure("6'250", ".", spin=True)
    assert found is not None
    assert found.value == 6250
    assert found.factor is None


@pytest.mark.parametrize("name", ["f32", "f46", "f56"])
def test_a_foreign_table_is_right_once_its_questions_are_answered(name: str) -> None:
    by_others = load_module("tables_by_others", ROOT / "benchmarks" / "tables_by_others.py")
    file = next(p for p in FOREIGN.glob(f"{name}.*") if p.suffix != ".json")
    truth = json.loads((FOREIGN / f"{name}.json").read_text(encoding="utf-8"))
    ((_, _, verdict, given, _),) = by_others.run([(name, (), file.read_bytes(), file, truth)], True)
    assert verdict.counts["silently wrong"] == verdict.counts["invented"] == 0
    assert verdict.counts["right"] + verdict.counts["other"] == len(truth["balls"])
    assert given <= 5


def test_names_of_people_below_a_club_heading_are_asked_about() -> None:
    rows = "".join(
        f"{who},{swing},{carry + i}\n"
        for who in ("Nan Otterby", "Bo Rasp")
        for swing, carry in (("waist", 30), ("chest", 55))
        for i in range(4)
    )
    assert {"club", "player"} <= asked("Club,Swing,Carry (m)\n" + rows)


def test_a_column_below_zero_without_a_name_may_be_the_side() -> None:
    rows = "".join(f"W60;{s};{c + i};{d}\n" for s, c in (("knee", 24), ("hip", 74)) for i, d in enumerate((1, -1, 2)))
    assert "offline" in asked("?;kk;Wobble (m);Var3 (m)\n" + rows)


def test_a_heading_that_the_numbers_belie_leaves_the_swing_in_question() -> None:
    rows = "".join(f"PW;{s};{c + 1.3 * (i % 3):.1f}\n" for s, c in ((1, 38), (2, 96)) for i in range(4))
    assert "swing" in asked("Palo;Giro;Carry (m)\n" + rows)


def test_a_number_far_past_its_column_is_no_ball_in_feet() -> None:
    rows = "".join(f"54,waist,{c}\n" for c in (30.1, 31.5, 29.8, 30.6, 1049))
    reading = read_table(("Club,Swing,Carry\n" + rows).encode(), "x.csv")
    assert len(reading.balls) == 4
    assert len(reading.set_aside) == 1


def test_labels_of_a_wide_table_under_the_wrong_heading_are_asked_about() -> None:
    rows = "".join(
        f"{club};{swing};{d};{d + 1};{d + 2}\n"
        for club, far in (("PW", 45), ("GW", 40))
        for swing, d in (("short", far), ("half", far + 35))
    )
    text = "Swing;Carry (m);1;2;3\n" + rows
    assert {"club", "swing"} <= asked(text)
    right = read_table(text.encode(), "x.csv", ReadOptions(columns={"club": "1", "swing": "2"}))
    assert not right.questions
    assert {(ball.club, ball.swing) for ball in right.balls} == {
        (club, swing) for club in ("PW", "GW") for swing in ("short", "half")
    }


def test_a_club_named_in_a_title_only_is_asked_about() -> None:
    rows = "".join(f"{s};{c + i}.5\n" for s, c in (("a", 26), ("b", 50)) for i in range(3))
    text = "Schläger Emil;\nSchwung;Carry (m)\n" + rows
    assert "club" in asked(text)
    reading = read_table(text.encode(), "x.csv", ReadOptions(club="Emil"))
    assert not reading.questions
    assert {ball.club for ball in reading.balls} == {"Emil"}


def test_blanks_part_columns_though_commas_are_decimal_marks() -> None:
    rows = "".join(
        f"56°   {s}    {c + i},4   {i},7    447{i}\n" for s, c in (("waist", 23), ("chest", 68)) for i in range(4)
    )
    assert not read_table(rows.encode(), "x.txt").balls  # which column is the carry is asked first
    reading = read_table(rows.encode(), "x.txt", ReadOptions(columns={"carry": "3"}))
    assert [round(ball.distance_m / 0.9144, 1) for ball in reading.balls[:2]] == [23.4, 24.4]
    assert {ball.club for ball in reading.balls} == {"56°"}


def test_a_table_on_its_side_with_numbers_for_labels_is_turned() -> None:
    text = "Wedge;62;62;52;62;52\nSwing;1;1;1;2;2\nCarry (m);65.5;56.4;79.2;23.0;33.1\nSide (m);-0.4;3.3;5.6;1.3;0.2\n"
    reading = read_table(text.encode(), "x.csv")
    assert [(b.club, b.swing, b.distance_m, b.offline_m) for b in reading.balls][:2] == [
        ("62", "1", 65.5, -0.4),
        ("62", "1", 56.4, 3.3),
    ]


def test_a_row_of_words_below_clubs_is_no_row_of_balls() -> None:
    rows = "".join(f"{name};{';'.join(cells)}\n" for name, cells in (("?", "MSSM"), ("!", ("33", "22", "24", "77"))))
    reading = read_table(("x;54°;54°;50°;50°\n" + rows).encode(), "x.csv")
    assert not reading.balls or "carry" in {question.about for question in reading.questions}


def test_a_lone_carry_below_sparse_labels_is_a_ball() -> None:
    text = "Club,Swing,Carry (yd)\n48,short,47.7\n,,44\n,,52.3\n,half,84.9\n,,82.2\n,,90.7\n"
    reading = read_table(text.encode(), "x.csv")
    assert [ball.club for ball in reading.balls] == ["48"] * 6
