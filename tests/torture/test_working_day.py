"""A short working day with server, worker and browser killed at random. The long run: make torture."""

import json
import subprocess
import sys
from pathlib import Path

import pytest

from browser_support import CHROMIUM

pytestmark = [
    pytest.mark.long,
    pytest.mark.browser,
    pytest.mark.skipif(CHROMIUM is None, reason="NOT TESTED HERE: killing the browser needs Chromium (make system)"),
]


def test_a_day_of_typing_tables_clips_and_prints_loses_and_doubles_nothing_through_ten_kills() -> None:
    rig = Path(__file__).parent / "working_day.py"  # a process of its own: the browser's driver allows one a process
    command = [sys.executable, str(rig), "--kills", "10", "--seed", "3", "--patient"]
    done = subprocess.run(command, capture_output=True, text=True, check=False, timeout=1800)
    assert done.returncode == 0, done.stderr[-3000:]
    found = json.loads(done.stdout)
    assert found["acknowledged"] > 20
    assert found["typed_and_kept"] > 10
    assert sum(found["kills"].values()) == 10
    assert found["planted_and_caught"] == 4
