"""What got through in release 0.1.0 gets through no more. All twelve: make torture."""

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

pytestmark = pytest.mark.slow
ROOT = Path(__file__).parents[2]


def test_nothing_of_the_first_attack_gets_through() -> None:
    rig = ROOT / "tests" / "torture" / "first_attack.py"
    env = {**os.environ, "PYTHONPATH": str(ROOT / "src"), "THREEQUARTER_BACKUPS": "off"}
    done = subprocess.run(
        [sys.executable, str(rig), "--quick"], capture_output=True, text=True, check=False, env=env, timeout=900
    )
    assert done.stdout, done.stderr[-2000:]
    told = json.loads(done.stdout.splitlines()[-1])
    assert len(told) == 4
    assert set(told.values()) == {False}, (told, done.stderr[-2000:])
