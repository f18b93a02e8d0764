"""Hundreds of made-up messy tables in eight languages, judged by the scorer of the open tables.

The words are those the reader knows, so this shows that layouts combine, not that every word is known.
"""

from collections import Counter
from pathlib import Path

import pytest

from tests_support import load_module
from threequarter.intake.answer import reading_answer
from threequarter.intake.tables.read import read_table

pytestmark = pytest.mark.slow

HERE = Path(__file__).parent


@pytest.mark.parametrize("block", range(4))
def test_no_ball_is_silently_wrong(block: int) -> None:
    scorer, messy = (
        load_module("table_score", HERE.parent / "data" / "tables" / "score.py"),
        load_module("messy", HERE / "messy.py"),
    )
    total: Counter[str] = Counter()
    for seed in range(1000 * block, 1000 * block + 40):
        content, truth = messy.make(seed)
        counts = scorer.score(truth, reading_answer(read_table(content, "made.csv")))
        assert counts["silently wrong"] == counts["false"] == counts["missing"] == counts["damaged unseen"] == 0, seed
        total.update(counts)
    assert total["right"] >= 0.97 * total["balls"]
    assert total["needed asked"] == total["needed questions"] > 0
    assert total["needless questions"] == 0


@pytest.mark.parametrize("block", range(2))
def test_wide_tables_and_spreadsheets_are_read_right(block: int) -> None:
    scorer, messy = (
        load_module("table_score", HERE.parent / "data" / "tables" / "score.py"),
        load_module("messy_wide", HERE / "messy_wide.py"),
    )
    total: Counter[str] = Counter()
    for seed in range(1000 * block, 1000 * block + 40):
        name, content, truth = messy.make(seed)
        counts = scorer.score(truth, reading_answer(read_table(content, name)))
        assert counts["silently wrong"] == counts["false"] == counts["missing"] == 0, seed
        total.update(counts)
    assert total["right"] >= 0.97 * total["balls"]
    assert total["needed asked"] == total["needed questions"] > 0
    assert total["needless questions"] == 0
