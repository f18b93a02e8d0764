"""Short runs of two rigs, each tested with a planted fault too. What this machine cannot run is said, never passed."""

from pathlib import Path
from types import ModuleType

import pytest

from tests_support import load_module

HERE = Path(__file__).parent
pytestmark = [pytest.mark.long, pytest.mark.filterwarnings("ignore::ResourceWarning")]


@pytest.fixture(scope="module")
def power() -> ModuleType:
    return load_module("power_cut", HERE / "power_cut.py")


@pytest.fixture(scope="module")
def calls(power: ModuleType) -> ModuleType:
    load_module("kills", HERE / "kills.py")
    found = load_module("failing_calls", HERE / "failing_calls.py")
    if not found.possible():
        pytest.skip("NOT TESTED HERE: strace is missing or may not be used; install it: sudo apt-get install strace")
    return found


def test_no_cut_of_1500_loses_what_was_promised(power: ModuleType, calls: ModuleType) -> None:
    found = power.cuts(1500, seed=3, balls=80)
    assert found["promises"] > 80
    assert found["changes"] > 500


def test_a_sync_that_never_happened_is_caught(power: ModuleType, calls: ModuleType) -> None:
    with pytest.raises(AssertionError, match="is missing"):
        power.cuts(60, seed=3, balls=20, plant="lost")


def test_no_failed_write_is_answered_as_saved(calls: ModuleType) -> None:
    found = calls.failing_calls(2, ("EIO", "ENOSPC"))
    assert found["injected"] >= 30


def test_a_server_that_always_says_saved_is_caught(calls: ModuleType) -> None:
    with pytest.raises(AssertionError, match="said to be saved"):
        calls.failing_calls(4, ("EIO",), plant="lies")
