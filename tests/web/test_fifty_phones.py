"""Many phones at once beside a film and a report: every ball is there once and nobody is told an error; how fast,
benchmarks say."""

from pathlib import Path

import pytest
from tests.postgres_support import NOT_HERE, binaries

from tests_support import load_module

pytestmark = [pytest.mark.slow, pytest.mark.filterwarnings("ignore::ResourceWarning")]


@pytest.mark.parametrize("on", ["sqlite", pytest.param("postgresql", marks=pytest.mark.long)])
def test_fifty_phones_lose_nothing_and_meet_no_error(on: str) -> None:
    if on == "postgresql" and binaries() is None:
        pytest.skip(NOT_HERE)
    bench = load_module("fifty_phones", Path(__file__).parents[2] / "benchmarks" / "fifty_phones.py")
    found = bench.phones(on, 50, 6, 8.0)
    assert found["rows"] == 300
    assert found["errors"] == []
