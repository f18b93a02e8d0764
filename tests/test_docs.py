"""The code in the docs runs as it stands."""

import re
from pathlib import Path

import pytest

DOCS = Path(__file__).parents[1] / "docs"
BLOCKS = [
    (page.name, number, code)
    for page in sorted(DOCS.glob("*.md"))
    for number, code in enumerate(re.findall(r"```python\n(.*?)```", page.read_text(encoding="utf-8"), re.DOTALL))
]


@pytest.mark.parametrize(("page", "number", "code"), BLOCKS, ids=[f"{page}-{number}" for page, number, _ in BLOCKS])
def test_the_code_in_the_docs_runs(page: str, number: int, code: str) -> None:
    exec(compile(code, page, "exec"), {})
