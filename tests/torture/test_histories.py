"""Phones that resend, reorder and lose answers: a short run, and each planted fault found. The long run: make torture."""

from pathlib import Path
from types import ModuleType

import pytest
from tests.torture import day_histories

from tests_support import load_module

pytestmark = pytest.mark.slow


@pytest.fixture(scope="module")
def rig() -> ModuleType:
    return load_module("histories", Path(__file__).parent / "histories.py")


def test_each_ball_ends_once_as_its_phone_last_had_it(rig: ModuleType) -> None:
    assert rig.histories(150, seed=5001)["wrong"] == 0


@pytest.mark.parametrize(("fault", "seed"), [("lost", 25), ("twice", 1), ("stale", 110), ("dropped", 370)])
def test_a_planted_fault_is_found(rig: ModuleType, fault: str, seed: int) -> None:
    with pytest.raises(AssertionError, match="wrong"):
        rig.histories(1000, seed, plant=fault)


def test_each_ball_ends_once_while_days_are_joined_parted_and_moved() -> None:
    told = day_histories.histories(40, seed=5001)
    assert told["wrong"] == 0
    assert min(told["done"][kind] for kind in ("join", "part", "move", "back", "again")) > 5
