"""The security page counts right, and every test it names is there."""

import re
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
PAGE = (ROOT / "docs" / "asvs.md").read_text(encoding="utf-8")
ROWS = re.findall(r"^\| ([\d.]+) \| (.+?) \| (pass|not applicable|open) \| (.+?) \|$", PAGE, re.M)
NAMED = sorted(
    {
        (found, words or "")
        for *_, where in ROWS
        for found, words in re.findall(r"(test_\w+\.py)(?:: ([a-z_0-9]+))?", where)
    }
)


def test_all_253_requirements_have_a_verdict() -> None:
    whole = {"10": 29, "17": 7}  # chapters answered in one row
    assert sum(whole.get(number, 1) for number, *_ in ROWS) == 253
    said = {
        verdict: sum(whole.get(number, 1) for number, _, v, _ in ROWS if v == verdict)
        for verdict in ("pass", "not applicable", "open")
    }
    assert f"{said['pass']} pass, {said['not applicable']} do not apply, {said['open']} are open" in PAGE


@pytest.mark.parametrize(("name", "words"), NAMED, ids=[f"{name}-{words[:30]}" for name, words in NAMED])
def test_each_test_named_is_there(name: str, words: str) -> None:
    files = list((ROOT / "tests").rglob(name))
    assert files, name
    if words and words != "every":
        assert any(words in path.read_text(encoding="utf-8") for path in files), words
