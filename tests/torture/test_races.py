"""A short run of the races of two phones on one ball, on both databases, and a planted fault. The long run: make torture."""

from pathlib import Path
from types import ModuleType

import pytest
from tests.postgres_support import NOT_HERE, binaries

from tests_support import load_module

pytestmark = [pytest.mark.slow, pytest.mark.filterwarnings("ignore::ResourceWarning")]


@pytest.fixture(scope="module")
def rig() -> ModuleType:
    return load_module("torture_races", Path(__file__).parent / "races.py")


@pytest.mark.parametrize("on", ["sqlite", pytest.param("postgresql", marks=pytest.mark.long)])
def test_a_hundred_races_end_in_one_row_each_and_other_content_is_kept_beside(rig: ModuleType, on: str) -> None:
    if on == "postgresql" and binaries() is None:
        pytest.skip(NOT_HERE)
    found = rig.races(100, 7, on)
    assert (found["rows"], found["wrong"], found["kept_beside"]) == (100, 0, 50)


@pytest.mark.long
def test_a_planted_double_is_caught(rig: ModuleType) -> None:
    with pytest.raises(AssertionError, match="'twice': 1"):
        rig.races(2, 1, "sqlite", "twice")
