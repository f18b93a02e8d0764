"""A short run of migrations killed at their statements, on both databases. The long run: make torture."""

import json
import subprocess
import sys
from pathlib import Path

import pytest
from tests.postgres_support import NOT_HERE, binaries

pytestmark = pytest.mark.slow


@pytest.mark.parametrize("on", ["sqlite", pytest.param("postgresql", marks=pytest.mark.long)])
def test_a_migration_killed_anywhere_leaves_the_old_state_or_the_new_one(on: str) -> None:
    if on == "postgresql" and binaries() is None:
        pytest.skip(NOT_HERE)
    command = [sys.executable, "-m", "tests.torture.migrations", "--from", "0014", "--every", "40"]
    command += ["--postgres"] if on == "postgresql" else []
    done = subprocess.run(command, capture_output=True, text=True, check=False, cwd=Path(__file__).parents[2])
    assert done.stdout, done.stderr[-2000:]
    found = json.loads(done.stdout.splitlines()[-1])
    assert found["bad"] == []
    assert found["kills"] > 3
    assert found["ended"]["old"] > 1
    assert found["ended"]["new"] == 1
