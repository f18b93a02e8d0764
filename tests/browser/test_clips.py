"""A clip from the phone to measured swings, in a real browser, with the server killed in the middle."""

import re
from pathlib import Path
from typing import Any

import pytest

from browser_support import ARGS, CHROMIUM, PHONE, Server

CLIP = Path(__file__).parents[1] / "data" / "swings" / "o10_indoor_30fps.mp4"

pytestmark = pytest.mark.slow


def test_a_clip_survives_the_death_of_the_server_and_can_be_deleted_for_good(tmp_path: Path) -> None:
    from playwright.sync_api import sync_playwright

    with Server(tmp_path) as server, sync_playwright() as play:
        browser = play.chromium.launch(executable_path=CHROMIUM, args=ARGS)
        page: Any = browser.new_page(viewport=PHONE)
        page.goto(f"{server.address}/clips/new")
        page.set_input_files("#clip-file", str(CLIP))
        page.get_by_role("button", name="Measure this clip").click()
        assert page.url.endswith("/clips/new")  # the box about being filmed must be ticked first
        page.get_by_label("agrees to be filmed").check()
        page.fill("#felt", "chest")
        page.get_by_role("button", name="Measure this clip").click()
        page.wait_for_url(re.compile(r"/clips/\d+$"))
        clip = page.url
        server.kill()
        server.start()
        page.goto(clip)
        page.get_by_text("1 swing, right-handed").wait_for(timeout=120_000)
        assert "meant chest" in page.content()
        sheet = page.locator("img.sheet").first
        sheet.scroll_into_view_if_needed()
        page.wait_for_load_state("networkidle")
        assert page.evaluate("document.querySelector('img.sheet').naturalWidth") > 0
        page.screenshot(path=str(tmp_path / "clip.png"), full_page=True)
        assert page.evaluate("document.documentElement.scrollWidth") <= 390
        page.locator("details[open], details").filter(has_text="Swing 1").locator("summary").first.click()
        sheet.click(position={"x": 0.4 * sheet.bounding_box()["width"], "y": 0.5 * sheet.bounding_box()["height"]})
        page.get_by_text("hands marked at the top").wait_for()
        page.locator("#t_top_s-1").fill("1.35")
        page.get_by_role("button", name="Save the corrections").click()
        page.get_by_text("Swing 1: corrected by hand").wait_for()
        film = next((tmp_path / "clips").rglob("clip.mp4"))
        assert b"swing" not in film.read_bytes()[-400:]
        page.get_by_role("button", name="Delete this clip").click()
        page.wait_for_url(server.address + "/")
        assert not list((tmp_path / "clips").rglob("*.*"))
        browser.close()
