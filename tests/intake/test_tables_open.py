"""The 96 open tables with known truth, read by the command's own road and judged by their scorer."""

import json
from collections import Counter
from pathlib import Path
from types import ModuleType

import pytest

from tests_support import load_module
from threequarter.intake.answer import reading_answer
from threequarter.intake.tables.read import read_file, read_table
from threequarter.language import lines, say

TABLES = Path(__file__).parents[1] / "data" / "tables"
NAMES = sorted(str(path.relative_to(TABLES).with_suffix("")) for path in TABLES.rglob("t*.json"))


@pytest.fixture(scope="module")
def scorer() -> ModuleType:
    return load_module("table_score", TABLES / "score.py")


def source(name: str) -> Path:
    return next(path for path in TABLES.glob(f"{name}.*") if path.suffix != ".json")


@pytest.mark.parametrize("name", NAMES)
def test_every_ball_is_right_or_asked_about(scorer: ModuleType, name: str) -> None:
    truth = json.loads((TABLES / f"{name}.json").read_text(encoding="utf-8"))
    counts: Counter[str] = scorer.score(truth, reading_answer(read_file(source(name))))
    assert counts["silently wrong"] == counts["missing"] == counts["false"] == counts["damaged unseen"] == 0
    assert counts["right"] == counts["balls"]
    assert counts["needless questions"] == counts["refused wrong"] == 0
    assert counts["needed asked"] == counts["needed questions"]


def test_the_plan_is_told_in_words() -> None:
    reading = read_file(source("t03"))
    assert any("decimal comma" in line for line in lines(reading.plan))
    assert any("carry in metres from column “キャリー（m）”, line 3" in line for line in lines(reading.plan))


def test_carries_read_to_the_next_five_yards_are_not_taken_for_targets() -> None:
    lines = ["ball,club,loft_deg,swing,carry_yd"]
    told = {"waist": (35, 40, 35, 45), "chest": (50, 55, 50, 60), "full": (90, 85, 95, 90)}
    lines += [f"{n},48,48,{swing},{carry}" for swing, carries in told.items() for n, carry in enumerate(carries, 1)]
    reading = read_table("\n".join(lines).encode(), "fives.csv")
    assert reading.questions == ()
    assert len(reading.balls) == 12


def test_one_carry_far_beyond_the_others_is_a_slip_and_many_are_long_clubs() -> None:
    rows = [f"54,waist,{40 + n % 5}" for n in range(12)]
    slip = read_table("\n".join(["club,swing,carry_m", *rows, "54,waist,310"]).encode(), "slip.csv")
    assert len(slip.balls) == 12
    assert [(one.place.row, say(one.why)) for one in slip.set_aside] == [(14, "no wedge carries this far: 310")]
    long = [f"1W 11,full,{190 + 3 * (5 * n % 12)}" for n in range(12)]
    assert len(read_table("\n".join(["club,swing,carry_m", *long]).encode(), "long.csv").balls) == 12
