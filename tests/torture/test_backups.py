"""A short run of the rig for backups, and the rig itself tested: a planted fault must be caught. The long run: make torture."""

from pathlib import Path
from types import ModuleType

import pytest

from tests_support import load_module

pytestmark = pytest.mark.long


@pytest.fixture(scope="module")
def rig() -> ModuleType:
    return load_module("torture_backups", Path(__file__).parent / "backups.py")


def test_backups_while_balls_are_written_restore_to_states_that_existed(rig: ModuleType) -> None:
    assert rig.while_writing(3, 200, seed=3)["balls"] > 0


def test_backups_of_postgresql_while_balls_are_written_restore_to_states_that_existed(
    rig: ModuleType, postgres_url: str
) -> None:
    assert rig.while_writing(2, 200, seed=4, url=postgres_url)["balls"] > 0


@pytest.mark.parametrize("fault", ["torn", "film"])
def test_a_planted_fault_is_caught(rig: ModuleType, fault: str) -> None:
    with pytest.raises(AssertionError):
        rig.while_writing(1, 200, seed=1, plant=fault)


def test_backup_and_restore_killed_leave_old_or_new_whole(rig: ModuleType) -> None:
    found = rig.killed(4, seed=5)
    assert found["restored_old"] + found["restored_new"] == 4
