"""The world of tables itself: its truth stands in its files, and the same seed makes the same file."""

import io
import json
import re
from pathlib import Path
from random import Random

import openpyxl
import pytest

from worlds.table_golf import Golfer, flight, session
from worlds.table_judge import judge
from worlds.table_model import FIELDS
from worlds.table_twist_list import TWISTS
from worlds.table_twists import base_from_truth, make_case
from worlds.table_words import UNITS

TABLES = Path(__file__).parents[1] / "data" / "tables"


def written(cell: str | float | None) -> str:
    return "" if cell is None else f"{cell:.1f}" if isinstance(cell, int | float) else cell


def text_of(content: bytes) -> str:
    if content[:2] == b"PK":
        (sheet,) = openpyxl.load_workbook(io.BytesIO(content)).worksheets
        return "\n".join(";".join(written(c) for c in row) for row in sheet.iter_rows(values_only=True))
    return content.decode("utf-16" if content[:2] in (b"\xff\xfe", b"\xfe\xff") else "utf-8-sig")


def perfect(truth: dict) -> dict:
    asked = [{"about": truth["ambiguous"]}] if truth["ambiguous"] else []
    return {"balls": truth["balls"], "set_aside": truth["set_aside_rows"], "questions": asked, "error": None}


def test_the_same_seed_makes_the_same_file_and_another_seed_another():
    assert make_case(41) == make_case(41)
    assert len({make_case(seed).content for seed in range(60)}) == 60


def test_every_twist_can_be_applied_alone():
    for name in TWISTS:
        assert any(name in make_case(seed, twists=(name,)).twists for seed in range(60)), name


def test_the_carry_of_each_ball_stands_in_its_row():
    """Read with nothing but the row: one number of the line, in the unit of the case, is the carry."""
    for seed in range(150):
        case = make_case(seed)
        lines = re.split(r"\r\n|\n", text_of(case.content))
        factor = UNITS[case.truth["answers"]["unit"]]
        for ball in case.truth["balls"]:
            written = re.escape(f"{ball['carry_m'] / factor:.1f}").replace(r"\.", "[.,]")
            line = lines[ball["row"] - 1]
            assert re.search(rf"(?<!\d){written}(?!\d)", line), (seed, case.twists, line)


def test_a_unit_that_is_told_is_written_and_one_that_is_not_is_asked():
    for seed in range(120):
        case = make_case(seed)
        words = {"yd": r"\b(yds?|yards?)\b", "m": r"\b(m|met(re|er)s?|Meter)\b", "ft": r"\b(ft|feet)\b"}
        written = re.search(words[case.truth["answers"]["unit"]], text_of(case.content))
        assert bool(written) == (case.truth["ambiguous"] is None), (seed, case.twists)


def test_a_perfect_answer_is_right_and_a_loft_taken_for_a_carry_is_silently_wrong():
    for seed in range(120):
        truth = make_case(seed).truth
        verdict = judge(truth, perfect(truth))
        assert verdict.counts["right"] + verdict.counts["covered"] == len(truth["balls"]), seed
        wrong = [{**b, "carry_m": 54.0 + 100} for b in truth["balls"]]
        outcomes = judge(truth, {"balls": wrong, "set_aside": [], "questions": []}).counts
        assert outcomes["silently wrong"] + outcomes["missing"] == len(truth["balls"]), seed


def test_swapped_labels_are_silently_wrong_unless_a_question_covers_them():
    truth = make_case(1, twists=()).truth
    swapped = [{**b, "club": b["swing"], "swing": b["club"]} for b in truth["balls"]]
    silent = judge(truth, {"balls": swapped, "questions": []})
    asked = judge(truth, {"balls": swapped, "questions": [{"about": "club"}, {"about": "swing"}]})
    assert silent.counts["silently wrong"] == len(swapped)
    assert asked.counts["covered"] == len(swapped)


def test_a_mean_row_read_as_a_ball_is_invented_and_an_unread_ball_is_missing():
    truth = make_case(1, twists=()).truth
    more = [*truth["balls"][1:], {**truth["balls"][0], "row": 999}]
    counts = judge(truth, {"balls": more, "questions": []}).counts
    assert counts["invented"] == 1
    assert counts["missing"] == 1


def test_tables_of_others_can_be_twisted_too():
    truth = json.loads((TABLES / "t02.json").read_text(encoding="utf-8"))
    work = base_from_truth(truth, Random(1))
    case = make_case(3, work, ("shuffle_columns", "decimal_mark"))
    assert case.twists == ("shuffle_columns", "decimal_mark")
    assert {b["carry_m"] for b in case.truth["balls"]}


def test_more_speed_flies_farther_and_a_vacuum_farther_still():
    slow, fast = flight(20, 30, 6000), flight(28, 30, 6000)
    assert slow < fast < 28**2 / 9.81  # the farthest without air, at 45 degrees


@pytest.mark.parametrize("loft", [46, 60])
def test_balls_of_the_world_are_wedge_shots(loft):
    shots = session(Golfer("x", mishits=0), [float(loft)], 3, 40, Random(2))
    for s in shots:
        assert 15 < s.carry_m < s.total_m < 125
        assert 1000 < s.spin_rpm < 13000
    by_swing = [[s.carry_m for s in shots if s.swing == n] for n in range(3)]
    means = [sum(x) / len(x) for x in by_swing]
    assert means == sorted(means)
    for carries, mean in zip(by_swing, means, strict=True):
        spread = (sum((c - mean) ** 2 for c in carries) / len(carries)) ** 0.5
        assert 0.02 < spread / mean < 0.12
    assert set(FIELDS) == {"carry", "offline", "ball_speed", "launch", "spin"}
