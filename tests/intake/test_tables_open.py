"""The 96 open tables with known truth, read by the command's own road and judged by their scorer."""

import json
from collections import Counter
from pathlib import Path
from types import ModuleType

import pytest

from tests_support import load_module
from threequarter.intake.answer import reading_answer
from threequarter.intake.tables.read import read_file

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
    assert any("decimal comma" in line for line in reading.plan)
    assert any("carry in metres from column 'キャリー（m）', line 3" in line for line in reading.plan)
