"""A short run of the torture rig, and the rig itself tested: a planted fault must be caught. The long run: make torture."""

from pathlib import Path
from types import ModuleType

import pytest

from tests_support import load_module

pytestmark = [pytest.mark.slow, pytest.mark.filterwarnings("ignore::ResourceWarning")]


@pytest.fixture(scope="module")
def rig() -> ModuleType:
    return load_module("torture_kills", Path(__file__).parent / "kills.py")


def test_kills_lose_and_double_no_acknowledged_ball(rig: ModuleType) -> None:
    found = rig.kills(5, 3, seed=7)
    assert found["acknowledged"] > 20


@pytest.mark.long
@pytest.mark.parametrize("fault", ["lost", "twice"])
def test_a_planted_fault_is_caught(rig: ModuleType, fault: str) -> None:
    with pytest.raises(AssertionError):
        rig.kills(1, 1, seed=1, plant=fault)
