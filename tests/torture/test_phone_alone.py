"""A short run of the rig of a phone alone, and that it would catch a ball lost or there twice."""

from pathlib import Path

import pytest
from tests.torture.phone_alone import BrokenError, run

from browser_support import CHROMIUM

pytestmark = [
    pytest.mark.browser,
    pytest.mark.skipif(CHROMIUM is None, reason="NOT TESTED HERE: Chromium is missing"),
    pytest.mark.filterwarnings("ignore::ResourceWarning"),
]


def test_a_phone_that_is_killed_and_cut_off_keeps_every_ball_once(tmp_path: Path) -> None:
    counted = run(tmp_path, kills=3, closings=1, balls=6, seed=2, server=False)
    assert counted["balls"] == 6
    assert sum(counted["cuts"].values()) == 4


@pytest.mark.long
@pytest.mark.parametrize("plant", ["lost", "twice"])
def test_a_planted_fault_is_caught(tmp_path: Path, plant: str) -> None:
    with pytest.raises(BrokenError, match=plant):
        run(tmp_path, kills=0, closings=1, balls=3, seed=1, server=False, plant=plant)
