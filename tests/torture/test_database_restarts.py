"""A short run of the restarts of PostgreSQL under two servers and two workers, and the rig itself tested. The long run: make torture."""

from pathlib import Path
from types import ModuleType

import pytest
from tests.postgres_support import NOT_HERE, binaries

from tests_support import load_module

pytestmark = [
    pytest.mark.long,
    pytest.mark.filterwarnings("ignore::ResourceWarning"),
    pytest.mark.skipif(binaries() is None, reason=NOT_HERE),
]


@pytest.fixture(scope="module")
def rig() -> ModuleType:
    return load_module("torture_restarts", Path(__file__).parent / "database_restarts.py")


def test_half_a_minute_of_restarts_loses_and_doubles_nothing(rig: ModuleType) -> None:
    found = rig.restarts(30, seed=3, phones=3, films=0)
    assert found["restarts"] >= 1
    assert found["acknowledged"] > 3
    assert (found["missing"], found["twice"], found["clips_ended_not_once"]) == (0, 0, 0)
    assert found["programs_alive"] == 4


def test_a_planted_loss_is_caught(rig: ModuleType) -> None:
    with pytest.raises(AssertionError, match="'missing': 1"):
        rig.restarts(2, seed=1, phones=1, films=0, plant="lost")
