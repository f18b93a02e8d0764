"""A short run of every route with what fits and what does not. The long run: make torture."""

import json
import subprocess
import sys
from pathlib import Path

import pytest

pytestmark = pytest.mark.long


def test_no_route_answers_nonsense_with_a_fault_of_ours() -> None:
    command = [sys.executable, str(Path(__file__).parent / "routes.py"), "--examples", "1", "--seed", "2"]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    assert done.stdout, done.stderr[-2000:]
    found = json.loads(done.stdout.splitlines()[-1])
    assert found["bad"] == []
    assert found["alive"]
    assert found["routes"] > 90
