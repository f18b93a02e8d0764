"""A short run of hostile tables. The long run: make torture."""

from pathlib import Path

import pytest

from tests_support import load_module

pytestmark = pytest.mark.slow


def test_a_hostile_table_gives_balls_or_one_line_of_words_and_the_parent_lives_and_stays_small() -> None:
    found = load_module("hostile_tables", Path(__file__).parent / "tables.py").tables(30, seed=3, minutes=30)
    assert found["bad"] == []
    assert found["deaths"] == 0
    assert found["tables"] == 30
    assert found["balls"] >= 4
    assert found["refused"] >= 4
    assert found["parent_mib"] <= 300
