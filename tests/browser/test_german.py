"""The pages as a German coach meets them, on a phone: nothing wider than the screen, the language told, numbers with a
comma."""

from collections.abc import Iterator
from typing import Any, Final

import pytest

from browser_support import ARGS, CHROMIUM, PHONE, Server, broken_rules

PAGES: Final = (
    "/",
    "/sessions/1",
    "/sessions/1/day?temp=9&wind=18&wind_from=left",
    "/sessions/1/shot?to=62",
    "/sessions/1/report",
    "/sessions/1/lesson",
    "/players/Wren%20Sedge",
    "/plan",
    "/bucket/1",
    "/bucket",
    "/clinic",
    "/clips/new?session=1",
    "/phones",
    "/sessions/1/wedges",
)


@pytest.fixture(scope="module")
def german(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Any, str]]:
    from playwright.sync_api import sync_playwright

    with Server(tmp_path_factory.mktemp("data")) as server, sync_playwright() as play:
        browser = play.chromium.launch(executable_path=CHROMIUM, args=ARGS)
        page = browser.new_context(viewport=PHONE, locale="de-DE").new_page()
        page.set_default_timeout(120_000)
        page.request.post(f"{server.address}/demo", timeout=0)
        page.request.post(f"{server.address}/sessions/1/player", form={"name": "Wren Sedge"}, timeout=0)
        yield page, server.address
        browser.close()


@pytest.mark.parametrize("path", PAGES)
def test_a_german_page_says_so_and_fits_the_phone(german: tuple[Any, str], path: str) -> None:
    page, address = german
    page.goto(address + path)
    assert page.evaluate("document.documentElement.lang") == "de"
    assert (
        broken_rules(page, "html-has-lang", "html-lang-valid", "valid-lang", "label", "button-name", "link-name") == []
    )
    assert page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth") <= 0


def test_a_carry_is_typed_and_shown_with_a_comma(german: tuple[Any, str]) -> None:
    page, address = german
    page.goto(f"{address}/bucket/1")
    for key in "51.5":
        page.locator(f'[data-key="{key}"]').click()
    assert page.locator("#typed").text_content() == "51,5"
    assert page.locator('[data-key="."]').text_content() == ","
    page.locator("#save").click()
    page.get_by_text("51,5").first.wait_for(state="attached")


def test_the_language_is_changed_in_the_footer_and_stays(german: tuple[Any, str]) -> None:
    page, address = german
    page.goto(f"{address}/plan?spread=7")
    page.get_by_role("button", name="English").click()
    page.wait_for_url("**/plan?spread=7")
    assert page.locator("h1").text_content() == "Plan a session"
    page.goto(f"{address}/players")
    page.get_by_role("button", name="Deutsch").click()
    assert page.locator("h1").text_content() == "Spieler"
