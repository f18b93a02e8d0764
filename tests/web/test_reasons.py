"""Every claim on a page leads to its reason in one tap: which balls, which day."""

import re
from collections.abc import Iterator
from html import unescape
from pathlib import Path
from urllib.parse import urljoin

import pytest
from tests.web.claims import STORES, Walk, _section, walked

PLAYER = "/players/Ada%20Quill"


@pytest.fixture(scope="module")
def walk(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Walk]:
    made = walked(Path(tmp_path_factory.mktemp("reasons")))
    with made.client:
        STORES["two days"](made)
        yield made


def leads_to(walk: Walk, page: str, address: str) -> str:
    """The page behind a link; what the link names stands on it."""
    whole, _mark, name = urljoin(page, address).partition("#")
    text = walk.text(whole)
    assert not name or f'id="{name}"' in text, (page, address)
    return text


@pytest.mark.parametrize(
    "page", [PLAYER, "/sessions/2", f"{PLAYER}/pooled", "/sessions/2/recheck", "/sessions/2/lesson", "/"]
)
def test_a_link_within_a_page_leads_somewhere(walk: Walk, page: str) -> None:
    text = walk.text(page)
    for name in set(re.findall(r'href="#([^"]+)"', text)):
        assert f'id="{name}"' in text, (page, name)


@pytest.mark.parametrize("page", [PLAYER, "/sessions/2"])
def test_each_number_gap_and_share_leads_to_its_balls(walk: Walk, page: str) -> None:
    text = walk.text(page)
    cells = re.findall(r'<td class="[^"]*"><a\s+href="([^"]+)" aria-label="[^"]+ ± ', text)
    assert len(cells) == len(re.findall(r'class="doubt"', text)) == 2
    for address in cells:
        assert re.search(r"<summary>The\s+\d+ balls</summary>", leads_to(walk, page, unescape(address)))
    claims = re.findall(r"<li>(.*?)</li>", _section(text, "means"), re.S)
    assert len(claims) >= 3
    for claim in claims:
        address = re.search(r'<a href="([^"]+)"', claim)
        assert address, claim
        assert "Every ball" in leads_to(walk, page, unescape(address[1]))
    assert 'href="#known"' in _section(text, "next")


def test_whether_it_holds_leads_to_the_days(walk: Walk) -> None:
    days = re.findall(r'href="(/sessions/[12])"', walk.text("/sessions/2/recheck"))
    assert {"/sessions/1", "/sessions/2"} <= set(days)
    assert re.search(r'href="/sessions/2/recheck"', walk.text(PLAYER))


def test_each_number_of_a_lesson_leads_to_its_balls(walk: Walk) -> None:
    text = walk.text("/sessions/2/lesson")
    cells = re.findall(r'<a\s+href="(/sessions/2/one[^"]+)"\s+class="hit"', text)
    assert len(cells) == 2
    for address in cells:
        assert "balls" in leads_to(walk, "/sessions/2/lesson", unescape(address))
