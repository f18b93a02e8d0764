"""How far everything is from Today, counted in taps, and what stands on the first screen."""

import re
from pathlib import Path
from typing import Any

import pytest

from browser_support import LAPTOP, PHONE, Server, small_targets

pytestmark = pytest.mark.slow
CLIP = Path(__file__).parents[1] / "data" / "swings" / "o10_indoor_30fps.mp4"
TABLE = b"Club,Swing,Carry (yd)\n54,waist,41\n54,waist,43\n54,waist,42\n54,chest,52\n"


class Taps:
    """Taps on one page, counted; typing is not."""

    def __init__(self, page: Any, start: str) -> None:
        self.page, self.start, self.count = page, start, 0

    def from_today(self) -> "Taps":
        self.page.goto(self.start)
        self.count = 0
        return self

    def tap(self, selector: str) -> "Taps":
        self.page.locator(selector).first.click()
        self.count += 1
        return self


def lowest(page: Any, selector: str) -> float:
    """The lower edge of a thing on the page that was just opened."""
    box = page.locator(selector).first.bounding_box()
    assert box is not None, selector
    return float(box["y"] + box["height"])


def test_everything_is_as_few_taps_from_today_as_promised(browser: Any, tmp_path: Path) -> None:
    with Server(tmp_path / "data") as server:
        page = browser.new_context(viewport=PHONE, reduced_motion="reduce").new_page()
        page.set_default_timeout(120_000)
        page.request.post(f"{server.address}/demo", timeout=0)
        page.request.post(
            f"{server.address}/clinic", form={"names": "Ida\nMax", "clubs": "50", "swings": "waist"}, timeout=0
        )
        taps = Taps(page, server.address)

        taps.from_today().tap(".tiles a[href='/lesson']")
        page.get_by_label("Whose lesson").fill("Wren Sedge")
        taps.tap("button[type=submit]:has-text('Start the lesson')")
        page.wait_for_url("**/lesson")
        assert taps.count <= 2, "a lesson with a new player"
        assert lowest(page, ".hit-next .what") < PHONE["height"] - 60

        taps.from_today().tap(".runs a[href$='/lesson']")
        page.locator(".at-once .choose").wait_for()  # the button that asks for the file
        page.locator("#table").set_input_files({"name": "device.csv", "mimeType": "text/csv", "buffer": TABLE})
        taps.count += 1  # the file is chosen; it is taken in at once
        page.get_by_text("4 balls from the table are now in this day").wait_for()
        assert taps.count <= 3, "a device's table into the lesson that runs"
        for size in (PHONE, LAPTOP):
            page.set_viewport_size(size)
            page.goto(page.url.partition("?")[0])
            assert lowest(page, ".hit-next .what") < size["height"] - 60
            assert lowest(page, ".matrix tbody tr") < size["height"] - 60
            assert small_targets(page) == []
        assert lowest(page, "#line") <= LAPTOP["height"]  # nothing is scrolled to for work
        page.set_viewport_size(PHONE)

        taps.from_today()
        assert page.locator(".runs .then strong").first.is_visible(), "the next ball: no tap"
        taps.tap(".runs a[href$='/report']")
        page.get_by_role("heading", name="Your distances").wait_for()
        assert taps.count <= 1, "the page to take home"
        taps.from_today().tap(".runs a[href^='/clinics/']")
        page.locator(".kid").nth(1).wait_for()
        assert taps.count <= 1, "back to the wall"
        taps.tap(".kid a")
        page.wait_for_selector("body[data-ready]")
        taps.tap(".bucket-head a[href^='/clinics/']")
        page.locator(".kid").nth(1).wait_for()
        assert taps.count <= 3, "the keys of a child and back"
        taps.from_today().tap(".folk a[href='/players/Robin%20Sedge']").tap("a[href*='/practice']")
        page.locator("#called-number").wait_for()
        assert taps.count <= 2, "a called number"
        taps.from_today().tap(".folk a[href='/players/Robin%20Sedge']")
        opens(page, taps, "header.player a[href*='/card.pdf']")
        assert taps.count <= 2, "the card"
        taps.from_today().tap(".folk a[href='/players/Robin%20Sedge']").tap("nav.tabs a[href$='/course']")
        for field, typed in (("#temp", "48"), ("#wind", "11")):
            page.fill(field, typed)
        form = page.locator("form[action$='/day.pdf']").evaluate(
            "one => new URLSearchParams(new FormData(one)).toString()"
        )
        address = page.locator("form[action$='/day.pdf']").get_attribute("action")
        taps.count += 1  # its button, which opens the print
        made = page.request.get(f"{server.address}{address}?{form}", timeout=60_000)
        assert made.headers["content-type"] == "application/pdf"
        assert taps.count <= 3, "the day card, without its fields"
        taps.from_today().tap(".folk a[href='/players/Robin%20Sedge']")
        page.get_by_role("heading", name="Recheck").wait_for()
        assert taps.count <= 2, "the recheck"
        page.context.close()

        german = browser.new_context(viewport={"width": 320, "height": 640}, locale="de-DE").new_page()
        for path in ("/", "/clinics/1", "/sessions/6/lesson", "/sessions/1/practice", "/kept", "/safekeeping"):
            german.goto(server.address + path)
            wide = german.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth")
            assert wide <= 0, path
        german.context.close()


def opens(page: Any, taps: Taps, selector: str) -> None:
    """Follows a way to a print without leaving the page: a headless browser shows none."""
    address = page.locator(selector).first.get_attribute("href")
    made = page.request.get(f"{taps.start}{address}", timeout=60_000)
    assert made.headers["content-type"] == "application/pdf"
    taps.count += 1


def test_ten_balls_take_33_taps_and_a_clip_three(browser: Any, tmp_path: Path) -> None:
    with Server(tmp_path / "data") as server:
        page = browser.new_context(viewport=PHONE, reduced_motion="reduce").new_page()
        page.set_default_timeout(60_000)
        taps = Taps(page, server.address)
        taps.from_today().tap(".tiles a[href='/bucket']")
        page.fill("#player", "Wren Sedge")
        taps.tap("main form button[type=submit]")
        page.wait_for_selector("body[data-ready]")
        for carry in (41, 43, 42, 44, 40, 45, 43, 42, 41, 44):
            for digit in str(carry):
                taps.tap(f"[data-key='{digit}']")
            taps.tap("#save")
        page.locator("#list li").nth(9).wait_for()
        assert taps.count <= 33, "ten balls"

        lesson = page.request.post(
            f"{server.address}/lesson", form={"player": "Wren Sedge", "unit": "yd"}, timeout=0
        ).url
        for first in (True, False):
            taps.from_today().tap(f".runs a[href='{lesson.removeprefix(server.address)}']")
            taps.tap(".entry a[href^='/clips/new']")
            if first:  # asked once: the player agrees to be filmed
                page.get_by_label("agrees to be filmed").check()
                taps.count += 1
            page.set_input_files("#clip-file", str(CLIP))
            taps.count += 1
            if first:
                taps.tap("#clip-form button[type=submit]")
            page.wait_for_url(re.compile(r"/clips/\d+$"))
            assert taps.count <= (5 if first else 3), "a clip into the lesson"

        page.goto(lesson)
        page.evaluate(
            """() => { const held = new DataTransfer(); held.items.add(new File([new Uint8Array(9)], "swing.mp4", { type: "video/mp4" }));
                 document.querySelector("main").dispatchEvent(new DragEvent("drop", { dataTransfer: held, bubbles: true })); }"""
        )
        page.wait_for_url(re.compile(r"/clips/(\d+|new\?session=\d+)$"))
        page.get_by_text("swing.mp4").or_(page.locator("#clip-progress p")).first.wait_for()
        page.context.close()


def test_a_lesson_goes_by_keyboard_alone(browser: Any, tmp_path: Path) -> None:
    with Server(tmp_path / "data") as server:
        page = browser.new_context(viewport=LAPTOP).new_page()
        page.set_default_timeout(120_000)
        page.goto(server.address)

        def reach(selector: str) -> None:
            for _press in range(40):
                page.keyboard.press("Tab")
                if page.evaluate("chosen => document.activeElement.matches(chosen)", selector):
                    ring = page.evaluate("getComputedStyle(document.activeElement).outlineWidth")
                    assert float(re.sub("px", "", ring)) >= 3, selector
                    return
            raise AssertionError(f"never reached: {selector}")

        reach(".tiles a[href='/lesson']")
        page.keyboard.press("Enter")
        page.get_by_label("Whose lesson").wait_for()
        reach("#player")
        page.keyboard.type("Wren Sedge")
        with page.expect_navigation():
            page.keyboard.press("Enter")
        for line in ("54 waist 41 43 42 44 40", "Quiet head."):
            reach("#line")
            page.keyboard.type(line)
            with page.expect_navigation():
                page.keyboard.press("Enter")
            assert page.url.endswith("/lesson#line")
        assert "Quiet head." in page.content()
        page.goto(page.url.partition("#")[0])
        page.wait_for_load_state("load")
        reach(".steps li:last-child a")
        page.keyboard.press("Enter")
        page.get_by_role("heading", name="Your distances").wait_for()
        page.context.close()
