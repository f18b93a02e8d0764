"""The code in the docs runs as it stands, the notebook gives what it shows, and the built site asks nothing of elsewhere."""

import re
import runpy
import subprocess
import sys
from pathlib import Path
from typing import Any

import nbformat
import pytest

from browser_support import ARGS, CHROMIUM, PHONE

ROOT = Path(__file__).parents[1]
DOCS = ROOT / "docs"
BLOCKS = [
    (page.name, number, code)
    for page in sorted(DOCS.glob("*.md"))
    for number, code in enumerate(re.findall(r"```python\n(.*?)```", page.read_text(encoding="utf-8"), re.DOTALL))
]


@pytest.mark.parametrize(("page", "number", "code"), BLOCKS, ids=[f"{page}-{number}" for page, number, _ in BLOCKS])
def test_the_code_in_the_docs_runs(page: str, number: int, code: str) -> None:
    exec(compile(code, page, "exec"), {})


def test_every_file_named_for_a_newcomer_is_there() -> None:
    told = (DOCS / "architecture.md").read_text(encoding="utf-8").split("## How to add")[1].split("\n## ")[0]
    named = re.findall(r"`([a-z_]+/[a-z_./0-9]*|[a-z_]+\.(?:toml|py))`", told)
    places = (ROOT / "src" / "threequarter", ROOT / "src", ROOT)
    assert len(named) > 25
    assert [name for name in named if not any((place / name).exists() for place in places)] == []


@pytest.mark.parametrize("notebook", sorted(DOCS.glob("*.ipynb")), ids=lambda file: file.name)
def test_a_notebook_gives_the_outputs_it_shows(notebook: Path) -> None:
    """Its words to the letter, its numbers to a tenth: a chart that is tuned finer moves them less. Past that: `make notebooks`."""
    run = runpy.run_path(str(ROOT / "scripts" / "run_notebooks.py"))["run"]
    kept, now = (_outputs(book) for book in (nbformat.read(notebook, as_version=4), run(notebook)))
    assert len(kept) >= 8
    assert [re.sub(NUMBER, "#", shown).split() for shown in now] == [
        re.sub(NUMBER, "#", shown).split() for shown in kept
    ]
    for was, shown in zip(kept, now, strict=True):
        assert [float(n) for n in re.findall(NUMBER, shown)] == pytest.approx(
            [float(n) for n in re.findall(NUMBER, was)], rel=0.1, abs=0.6
        )


NUMBER = r"-?\d+(?:\.\d+)?"


def _outputs(book: Any) -> list[str]:
    """What is shown as text; a picture counts by its kind."""
    outputs = [output for cell in book.cells if cell.cell_type == "code" for output in cell.outputs]
    return [output.get("text") or f"{sorted(output.data)} {output.data['text/plain']}" for output in outputs]


@pytest.mark.slow
@pytest.mark.browser
@pytest.mark.skipif(CHROMIUM is None, reason="no Chromium")
def test_the_site_of_the_docs_is_whole_fits_a_phone_and_asks_nothing_of_elsewhere(tmp_path: Path) -> None:
    from playwright.sync_api import sync_playwright

    build = [sys.executable, "-m", "sphinx", "--quiet", "--fail-on-warning", "-c", DOCS / "site", DOCS, tmp_path]
    done = subprocess.run(build, capture_output=True, text=True, check=False)
    assert (done.returncode, done.stderr) == (0, "")
    pages = [page.relative_to(tmp_path).as_posix() for page in tmp_path.rglob("*.html")]
    assert {Path(page).stem for page in pages} >= {page.stem for page in DOCS.glob("*.md")} - {"README"}
    asked: list[str] = []
    with sync_playwright() as play:
        browser = play.chromium.launch(executable_path=CHROMIUM, args=ARGS)
        tab = browser.new_page(viewport=PHONE)
        tab.on("request", lambda request: asked.append(request.url))
        for page in pages:
            tab.goto((tmp_path / page).as_uri())
            assert tab.evaluate("document.documentElement.scrollWidth") <= PHONE["width"], page
        tab.goto((tmp_path / "search.html").as_uri() + "?q=stimp")
        tab.locator("#search-results li a").first.wait_for()
        browser.close()
    assert len(asked) > len(pages)
    assert [url for url in asked if not url.startswith("file:")] == []
