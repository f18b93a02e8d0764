"""Remarks beside balls: those that speak against what was read are asked about, strikes and small talk are not."""

import json
from pathlib import Path

import pytest

from threequarter.intake.answer import reading_answer
from threequarter.intake.load import read_any
from threequarter.intake.options import ReadOptions
from threequarter.intake.reading import Reading
from threequarter.intake.tables.read import read_table
from threequarter.language import say
from worlds.table_judge import judge

REMARKED = Path(__file__).parents[1] / "data" / "remark_tables"

HEAD = "Club,Swing,Carry (m),Remark"
BALLS = [f"{club},{swing},{far + n % 4}," for club, swing, far in
         (("54", "half", 40), ("54", "full", 82), ("58", "half", 34), ("58", "full", 70)) for n in range(5)]  # fmt: skip


def read(*remarks: str, options: ReadOptions | None = None) -> Reading:
    """Twenty balls, the first of them (54, half, 40 m and so on) with these remarks."""
    rows = [ball + (remarks[n] if n < len(remarks) else "") for n, ball in enumerate(BALLS)]
    return read_table("\n".join([HEAD, *rows]).encode(), "remarks.csv", options)


AGAINST = (
    "that was yards", "hit this with the 58", "actually full", "bounced off the cart", "lost", "not mine", "guess", "7 iron",
    "in Yards", "mit dem 58er", "eigentlich voll", "geschätzt", "avec le 58", "plein swing", "balle du voisin", "a ojo", "era pieno",
    "rimbalzata", "bola do vizinho", "tak geraakt", "gissning", "fuldt sving", "osui puuhun", "na oko", "odhadem", "tahmini", "на глаз", "58で打った",
    "풀스윙", "目测",
)  # fmt: skip


@pytest.mark.parametrize("remark", AGAINST)
def test_a_remark_that_speaks_against_its_row_is_asked_about_and_can_be_left_out(remark: str) -> None:
    asked = read(remark)
    assert [(q.about, q.choices) for q in asked.questions] == [("rows", ("keep", "leave"))]
    assert f"row 2 “{remark}”" in say(asked.questions[0].text)
    left = read(remark, options=ReadOptions(remarks="leave"))
    assert not left.questions
    assert [ball.use for ball in left.balls] == [False] + [True] * 19
    assert all(ball.use for ball in read(remark, options=ReadOptions(remarks="keep")).balls)


@pytest.mark.parametrize(
    "remark", ["inspelen", "oefenzwaai", "practice swing", "Probeschwung", "swing d'essai", "素振り"]
)
def test_a_practice_swing_does_not_count(remark: str) -> None:
    reading = read(remark)
    assert not reading.questions
    assert not reading.balls[0].use


def test_strikes_and_small_talk_are_not_asked_about_and_what_is_not_known_is_listed() -> None:
    reading = read("thin", "topped", "into the wind", "2 m left", "voll getroffen", "wind 12 mph", "aimed at 60 flag")
    assert not reading.questions
    assert all(ball.use for ball in reading.balls)
    assert (
        say(reading.plan[0])
        == "remarks not understood, so they change nothing: row 4 “into the wind”, row 6 “voll getroffen”"
    )


def test_a_word_beside_a_number_is_held_against_its_row_and_two_numbers_are_no_carry() -> None:
    rows = ["Club,Swing,Carry (m)", *(ball.rstrip(",") for ball in BALLS)]
    rows[3] += " thin, a guess"
    rows[5] += " thin (58)"
    reading = read_table("\n".join(rows).encode(), "cells.csv")
    assert [q.about for q in reading.questions] == ["rows"]
    assert "row 4" in say(reading.questions[0].text)
    assert [one.place.row for one in reading.set_aside] == [6]


def test_no_ball_of_the_tables_with_remarks_is_silently_wrong_and_leaving_out_takes_just_those() -> None:
    for told in sorted(REMARKED.glob("*.json")):
        truth = json.loads(told.read_text(encoding="utf-8"))
        path = next(path for path in REMARKED.glob(f"{told.stem}.*") if path.suffix != ".json")
        verdict = judge(truth, reading_answer(read_any(path, ReadOptions())))
        assert (path.name, verdict.counts["silently wrong"], verdict.counts["invented"]) == (path.name, 0, 0)
        left = read_any(path, ReadOptions(remarks="leave", as_read=("rows", "swing", "unit")))
        used = {(ball.place.row, ball.place.col) for ball in left.balls if ball.use and ball.place}
        wanted = {(ball["row"], ball["col"]) for ball in truth["balls"] if ball["use"]}
        if left.balls and not any(ball["col"] for ball in truth["balls"]) and not truth.get("loose"):
            assert {row for row, _col in used} == {row for row, _col in wanted}, path.name
