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


USES = {
    "shot?to=46": r'<th\s+scope="row">(?:50|54) waist',
    "day?temp_c=9": r"<strong>\d+</strong> <span\s+class=\"doubt\">",
    "wedges": r'class="lofts"',
    "practice": r'name="called-1" value="\d+"',
    "round": r"<strong>\d+</strong>(?:<b>\?</b>)?<br><small>\d+–\d+</small>",
    "report": r"<strong>\d+</strong> <span\s+class=\"doubt\">",
    "spread": r'<td class="num">\d',
}


@pytest.mark.parametrize("use", USES)
@pytest.mark.parametrize("of_day", [False, True])
def test_what_is_made_of_a_chart_leads_to_the_chart_with_its_balls_and_days(
    walk: Walk, use: str, *, of_day: bool
) -> None:
    """The card on the screen is the round view: it leads out of itself by its last line only, for it is the card and nothing else."""
    page = f"/sessions/2/{use}{('&' if '?' in use else '?') + 'of=day' if of_day else ''}"
    text = walk.text(page)
    assert re.search(USES[use], text), page
    chart = "/sessions/2" if of_day else PLAYER
    links = re.findall(rf'<a\s+href="{re.escape(chart)}">([^<]+)</a>', text)
    said = "Leave the round view" if use == "round" else "This day alone" if chart != PLAYER else "Standing chart: "
    assert any(link.startswith(said) for link in links), (page, links)
    reason = leads_to(walk, page, chart)
    assert len(re.findall(r'class="doubt"', reason)) >= 2
    for date in ("18 Apr 2026", "20 Jun 2026") if chart == PLAYER else ("20 Jun 2026",):
        assert date in reason


def test_what_today_says_of_a_player_stands_on_the_page_it_leads_to(walk: Walk) -> None:
    home = walk.text("/")
    rows = re.findall(r'<li><a\s+href="(/players/[^"]+)">(.*?)</a></li>', home, re.S)
    assert rows
    for address, row in rows:
        told = re.search(r"(\d+ \w+ \d{4}), (\d+) balls?", row)
        assert told, row
        page = leads_to(walk, "/", address)
        assert told[1] in page
        days = leads_to(walk, address, f"{address}/days")
        assert re.search(rf"{told[2]} balls?", days)
        ladder = re.search(r"(\d+)\D+(\d+)\D*$", re.sub(r"<[^>]+>", " ", walk.text(f"{address}/yards")))
        assert ladder
        assert all(re.search(rf"\b{number}\b", page) for number in ladder.groups())


def test_a_lesson_that_runs_is_answered_for_where_today_leads(tmp_path: Path) -> None:
    """The shot to hit next stands on the lesson's page with why, and the wall of a clinic with each child's balls."""
    made = walked(tmp_path)
    with made.client as client:
        opened = str(client.post("/lesson", data={"player": "Ivo Marsh", "unit": "yd"}).url)
        day = re.search(r"/sessions/(\d+)/lesson", opened)
        assert day, opened
        balls = [
            {"key": f"key-{n:05d}", "club": club, "swing": "waist", "carry": 40.0 + n % 3, "unit": "yd", "by": "device"}
            for n, club in enumerate(["50"] * 4 + ["54"] * 3)
        ]
        client.post(f"/api/sessions/{day[1]}/balls", json={"balls": balls})
        runs = re.search(r'<article class="runs">(.*?)</article>', made.text("/"), re.S)
        assert runs
        shot = re.search(r"<span>Hit next</span> <strong>([^<]+)</strong>", runs[1])
        link = re.search(r'href="([^"]+/lesson)"', runs[1])
        assert shot
        assert link
        hit_next = re.search(r'<section class="hit-next.*?</section>', leads_to(made, "/", link[1]), re.S)
        assert hit_next
        assert f'<p class="what">{shot[1]}</p>' in hit_next[0]
        assert len(re.sub(r"<[^>]+>", "", hit_next[0].partition("</strong>")[2]).split()) > 8, "no reason beside it"
