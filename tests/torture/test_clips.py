"""A short run of hostile clips. The long run: make torture."""

from pathlib import Path

import pytest

from tests_support import load_module

pytestmark = pytest.mark.slow


def test_a_hostile_clip_gives_frames_or_one_line_of_words() -> None:
    pytest.importorskip("av")
    found = load_module("clips", Path(__file__).parent / "clips.py").clips(40, seed=2)
    assert found["refused"] >= 10
    assert found["frames"] >= 5
