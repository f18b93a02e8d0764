"""The three ways from the first page to a chart, in a real browser against a real server."""

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from browser_support import LAPTOP, PHONE, Server, broken_anywhere

TABLES = Path(__file__).parents[1] / "data" / "tables"


@pytest.fixture
def server(tmp_path: Path) -> Iterator[str]:
    with Server(tmp_path) as made:
        yield made.address


class Visit:
    """A page that remembers what it asked for and what it complained about."""

    def __init__(self, browser: Any, server: str, **more: Any) -> None:
        self.context = browser.new_context(bypass_csp=False, **more)
        self.page = self.context.new_page()
        self.asked: list[str] = []
        self.said: list[str] = []
        self.server = server
        self.page.on("request", lambda request: self.asked.append(request.url))
        self.page.on("console", lambda message: self.said.append(message.text) if message.type == "error" else None)

    def close(self) -> None:
        """Nothing foreign was asked for, nothing was complained about."""
        foreign = [url for url in self.asked if not url.startswith((self.server, "data:"))]
        self.context.close()
        assert foreign == []
        assert self.said == []


@pytest.mark.parametrize("size", [PHONE, LAPTOP], ids=["phone", "laptop"])
@pytest.mark.parametrize("script", [True, False], ids=["script", "no script"])
def test_typing_balls_ends_on_a_chart(browser: Any, server: str, size: dict[str, int], script: bool) -> None:
    visit = Visit(browser, server, viewport=size, java_script_enabled=script)
    page = visit.page
    page.goto(server + "/bring-in")
    page.get_by_label("One line per shot").fill("54 waist 41 43 42 fat 30\n54 chest 52 54 53")
    page.get_by_role("button", name="Read these balls").click()
    page.get_by_role("button", name="Save these 7 balls").click()
    page.get_by_role("heading", name="The chart").wait_for()
    assert page.locator(".yard > div:visible > svg").count() == 1
    assert page.locator(".lanes").is_visible() == (size is PHONE)
    visit.close()


@pytest.mark.parametrize("script", [True, False], ids=["script", "no script"])
def test_dropping_a_table_asks_what_it_cannot_know_then_charts(browser: Any, server: str, script: bool) -> None:
    visit = Visit(browser, server, viewport=LAPTOP, java_script_enabled=script)
    page = visit.page
    page.goto(server + "/bring-in")
    page.set_input_files("#file", str(TABLES / "t10.csv"))
    page.get_by_role("button", name="Read these tables").click()
    page.get_by_role("group", name=re.compile("yards, metres or feet")).get_by_label("yards").check()
    page.get_by_role("button", name="Read it this way").click()
    page.get_by_role("button", name="Save these 41 balls, split between 2").click()
    page.get_by_text("Added: 41 balls, split between 2 days").wait_for()
    page.get_by_role("link", name=re.compile("雲野 ごろう.*19 balls")).click()
    page.get_by_role("heading", name="雲野 ごろう").wait_for()
    visit.close()


def test_the_demo_by_keyboard_and_the_card_behind_it(browser: Any, server: str) -> None:
    visit = Visit(browser, server, viewport=LAPTOP)
    page = visit.page
    page.goto(server)
    page.get_by_role("button", name="Open the demo").focus()
    page.keyboard.press("Enter")
    page.get_by_role("heading", name="Robin Sedge").wait_for()
    card = page.get_by_role("button", name="Pocket card").get_attribute("href")
    assert card is not None
    assert page.request.get(server + card, timeout=0).body().startswith(b"%PDF")
    for address, language in ((page.url, "en-GB"), (f"{server}/players/Robin%20Sedge", "de-DE")):
        first_screens(browser, server, address, language)
    visit.close()


def first_screens(browser: Any, server: str, address: str, language: str) -> None:
    """On the first screen of a chart stand next or enough, every distance, and the shots of a wedge as targets."""
    for size in (LAPTOP, PHONE):
        visit = Visit(browser, server, viewport=size, locale=language)
        page = visit.page
        page.goto(address)
        bottom = size["height"] - (page.locator(".places").bounding_box()["height"] if size is PHONE else 0)
        parts = [
            ".player",
            ".tabs",
            ".answer",
            ".matrix",
            ".lanes > div:first-child" if size is PHONE else ".yard svg:visible",
        ]
        for part in parts:
            box = page.locator(part).first.bounding_box()
            assert box["y"] >= 0, part
            assert box["y"] + box["height"] <= bottom, (part, box, language)
        answer = page.locator(".answer h2 b").evaluate("e => parseFloat(getComputedStyle(e).fontSize)")
        assert answer >= 44
        targets = page.locator(".matrix td" if size is LAPTOP else ".lanes > div:first-child a, .matrix td").all()
        assert len(targets) >= 12
        assert all(box["height"] >= 56 and box["width"] >= 44 for box in (one.bounding_box() for one in targets))
        assert (
            page.locator("main [role=button]:not(.secondary, .outline), main button:not(.secondary, .outline)").count()
            == 1
        )
        if size is LAPTOP:
            page.locator(".yard a.shot").first.click()
            page.locator("#shot-name").wait_for()
            assert page.locator(".answer").bounding_box()["y"] >= 0
        page.set_viewport_size({"width": 320, "height": 700})
        assert page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth") <= 0
        visit.close()


def test_a_table_dropped_on_any_page_is_read(browser: Any, server: str) -> None:
    visit = Visit(browser, server, viewport=LAPTOP)
    page = visit.page
    page.goto(server + "/players")
    dropped = page.evaluate_handle(
        """() => {
            const made = new DataTransfer();
            made.items.add(new File(["Club,Swing,Carry (yd)\\n54,waist,51\\n54,waist,52\\n"], "balls.csv"));
            return made;
        }"""
    )
    page.dispatch_event("main", "drop", {"dataTransfer": dropped})
    page.get_by_role("button", name="Save these 2 balls").wait_for()
    visit.close()


@pytest.mark.parametrize("size", [PHONE, LAPTOP], ids=["phone", "laptop"])
@pytest.mark.parametrize("language", ["en-GB", "de-DE"])
def test_the_places_stand_at_the_thumb_or_at_the_left_and_fit_a_finger(
    browser: Any, server: str, size: dict[str, int], language: str
) -> None:
    visit = Visit(browser, server, viewport=size, locale=language)
    page = visit.page
    page.goto(server + "/kept")
    bar = page.locator(".places").bounding_box()
    assert bar is not None
    if size is PHONE:
        assert bar["y"] + bar["height"] == size["height"]
    else:
        assert (bar["x"], bar["y"], bar["height"]) == (0, 0, size["height"])
    boxes = [link.bounding_box() for link in page.locator(".places a").all()]
    assert len(boxes) == 4
    assert all(box and box["width"] >= 48 and box["height"] >= 48 for box in boxes)
    page.evaluate("scrollTo(0, document.body.scrollHeight)")
    last = page.locator("footer").bounding_box()
    assert last is not None
    assert size is LAPTOP or last["y"] + last["height"] <= bar["y"]
    page.emulate_media(media="print")
    assert not page.locator(".places").is_visible()
    visit.close()


def test_no_page_breaks_the_rules_of_access(browser: Any, server: str) -> None:
    context = browser.new_context(bypass_csp=True)
    page = context.new_page()
    page.goto(server)
    page.get_by_role("button", name="Open the demo").click()
    page.wait_for_url("**/players/Robin%20Sedge")
    session = f"{server}/sessions/1"
    page.goto(server + "/bring-in")
    page.set_input_files("#file", str(TABLES / "t10.csv"))
    page.get_by_role("button", name="Read these tables").click()
    looked_at = page.url
    page.goto(server + "/clinic")
    page.get_by_label("Who is coming").fill("Ida Fern\nMax Birch")
    page.get_by_role("button", name="Start", exact=True).click()
    assert "/clinics/" in page.url
    number = session.rsplit("/", 1)[1]
    broken: list[Any] = []
    for address in (
        looked_at,
        page.url,
        server,
        session,
        f"{session}/day",
        f"{session}/day?temp_c=9&wind_mps=5&wind_from=left",
        f"{session}/shot",
        f"{session}/shot?to=57",
        f"{session}/round",
        f"{session}/wedges",
        f"{session}/practice",
        f"{session}/spread",
        f"{session}/recheck",
        f"{session}/about",
        f"{session}/report",
        f"{server}/players",
        f"{server}/players/Robin%20Sedge",
        f"{server}/players/Robin%20Sedge?club=SW%2054&swing=chest",
        f"{server}/players/Robin%20Sedge/swings",
        f"{server}/players/Robin%20Sedge/days",
        f"{server}/players/Robin%20Sedge/practise",
        f"{server}/players/Robin%20Sedge/course",
        f"{server}/players/Robin%20Sedge/about",
        f"{server}/bucket",
        f"{server}/bucket/{number}",
        f"{server}/clips/new",
        f"{server}/clinic",
        f"{server}/plan",
        f"{server}/phones",
        f"{server}/nothing",
        f"{server}/players/Robin%20Sedge/erase",
        f"{server}/players/Robin%20Sedge/consent",
        f"{server}/players/Robin%20Sedge/pooled",
        f"{server}/safekeeping",
        f"{server}/operation",
        f"{server}/ways-out",
        f"{server}/bring-in",
        f"{server}/kept",
        f"{server}/api",
        f"{session}/recheck",
    ):
        page.goto(address)
        broken += [(address, *found) for found in broken_anywhere(page)]
    context.close()
    assert broken == []
