"""What tests in a real browser share: Chromium, a real server, and that they are left out loudly where there is no
Chromium."""

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from browser_support import ARGS, CHROMIUM, Server


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Marks every test of this folder."""
    for item in items:
        if item.path.parent == Path(__file__).parent:
            item.add_marker(pytest.mark.browser)
            item.add_marker(pytest.mark.skipif(CHROMIUM is None, reason="NOT TESTED HERE: Chromium is missing"))
            item.add_marker(pytest.mark.filterwarnings("ignore::ResourceWarning"))


@pytest.fixture(scope="module")
def play() -> Iterator[Any]:
    """Playwright itself, for tests that start browsers of their own."""
    from playwright.sync_api import sync_playwright

    with sync_playwright() as made:
        yield made


@pytest.fixture(scope="module")
def browser(play: Any) -> Iterator[Any]:
    """A running Chromium."""
    made = play.chromium.launch(executable_path=CHROMIUM, args=ARGS)
    yield made
    made.close()


@pytest.fixture
def server(tmp_path: Path) -> Iterator[Server]:
    """A real server over an empty folder."""
    with Server(tmp_path) as made:
        yield made
