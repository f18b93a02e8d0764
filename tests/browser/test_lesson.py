"""A whole lesson from the empty first page to the page to take home, in a real browser against a real server that may
speak to nobody."""

import os
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from browser_support import LAPTOP, PHONE, Server, broken_anywhere

CLIP = Path(__file__).parents[1] / "data" / "swings" / "o10_indoor_30fps.mp4"
SILENT = Path(__file__).parents[1] / "silent"
LONG = "Wilhelmina " * 27 + "Fern"
NAMES = ("🏌️‍♀️ Ida", LONG, "נועה לוי")

pytestmark = pytest.mark.slow


@pytest.fixture
def server(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Server]:
    """A server whose processes may speak to this machine only."""
    spoken = tmp_path / "spoken.txt"
    path = [str(SILENT), os.environ.get("PYTHONPATH", "")]
    monkeypatch.setenv("PYTHONPATH", os.pathsep.join(part for part in path if part))
    monkeypatch.setenv("THREEQUARTER_TEST_SPOKEN", str(spoken))
    with Server(tmp_path / "data") as made:
        yield made
    assert not spoken.exists(), spoken.read_text(encoding="utf-8")


def visit(browser: Any, server: Server, **more: Any) -> tuple[Any, list[str]]:
    """A page with a long patience, and what it asked for."""
    page = browser.new_context(**more).new_page()
    page.set_default_timeout(120_000)
    asked: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    return page, asked


def foreign(asked: list[str], server: Server) -> list[str]:
    return [url for url in asked if not url.startswith((server.address, "data:", "blob:"))]


def test_the_guard_itself_catches_who_speaks(tmp_path: Path) -> None:
    import subprocess
    import sys

    spoken = tmp_path / "spoken.txt"
    code = "import socket; socket.create_connection(('192.0.2.1', 80), 1)"
    env = {**os.environ, "PYTHONPATH": str(SILENT), "THREEQUARTER_TEST_SPOKEN": str(spoken)}
    assert subprocess.run([sys.executable, "-c", code], env=env, capture_output=True, check=False).returncode != 0
    assert "192.0.2.1" in spoken.read_text(encoding="utf-8")


def test_a_lesson_from_the_empty_page_to_the_page_to_take_home(browser: Any, server: Server, tmp_path: Path) -> None:
    page, asked = visit(browser, server, viewport=LAPTOP)
    page.goto(server.address)
    page.get_by_role("link", name=re.compile("^A lesson")).click()
    page.get_by_label("Whose lesson").fill("Wren Sedge")
    page.get_by_role("button", name="Start the lesson").click()
    page.get_by_text("of 45 min", exact=True).wait_for()
    page.get_by_text("First ball", exact=True).wait_for()
    lesson = page.url

    # balls on the big keys, as on a phone
    page.get_by_role("link", name=re.compile("^Hit")).click()
    page.wait_for_selector("body[data-ready]")
    for digits in ("41", "43"):
        for digit in digits:
            page.keyboard.press(digit)
        page.keyboard.press("Enter")
    page.get_by_text("2 balls typed here, all safe on the server").wait_for()

    page.goto(lesson)
    for line in ("54 waist 42 44 fat 30 43", "54 chest 62 64 61 63", "54 waist 45 46 44 47", "54 chest 66 65 67 66"):
        page.get_by_label("Balls in one line").fill(line)
        page.get_by_role("button", name="Save", exact=True).click()
        page.wait_for_url(re.compile(r"/lesson#line$"))
        page.goto(lesson)
    page.get_by_label("Balls in one line").fill("54 waist plenty")
    page.get_by_role("button", name="Save", exact=True).click()
    page.get_by_text("Nothing was saved").wait_for()
    page.goto(lesson)
    page.get_by_label("Balls in one line").fill("Quiet head.")
    page.get_by_role("button", name="Save", exact=True).click()
    page.get_by_text("Note: Quiet head.").wait_for()

    # a clip, measured in the background
    page.get_by_role("button", name="Film", exact=True).click()
    page.set_input_files("#clip-file", str(CLIP))
    page.get_by_label("agrees to be filmed").check()
    page.get_by_role("button", name="Measure this clip").click()
    page.wait_for_url(re.compile(r"/clips/\d+$"))
    page.get_by_text("1 swing, right-handed").wait_for(timeout=400_000)
    page.get_by_role("link", name="Back to the lesson").click()
    page.get_by_text("1 swing on film").wait_for()
    page.get_by_role("heading", name="Best on film").wait_for()

    # the swing is given another ball in one act, and back
    page.locator(".timeline .half details summary").first.click()
    page.get_by_label("This swing hit ball").select_option(index=4)
    page.get_by_role("button", name="Set it").click()
    page.get_by_text("The swing has its ball").wait_for()
    page.get_by_text("ball set by hand").wait_for()
    page.get_by_role("button", name="Undo").click()
    page.get_by_text("ball set by hand").wait_for(state="detached")
    page.get_by_text("Longer than before").wait_for()  # three yards more with both shots

    # the end: the page on the screen and the same as a PDF
    page.get_by_role("button", name="Take-home page", exact=True).click()
    for part in (
        "Your distances",
        "What to work on",
        "Your swings on film",
        "What changed in this lesson",
        "Next week",
        "When to look again",
    ):
        page.get_by_role("heading", name=part).wait_for()
    pdf = page.request.get(page.url.replace("/report", "/report.pdf"), timeout=0).body()
    assert pdf.startswith(b"%PDF")
    from threequarter.paper.typesetting import count_pages

    assert count_pages(pdf) == 1
    page.screenshot(path=str(tmp_path / "report.png"), full_page=True)

    # the lesson goes into the bin and comes back
    page.goto(lesson)
    page.get_by_role("button", name="Put this lesson in the bin").click()
    page.get_by_role("heading", name="The bin", exact=True).wait_for()
    page.get_by_role("button", name=re.compile("Undo: A day of Wren Sedge was put in the bin")).click()
    page.goto(server.address)
    page.get_by_role("link", name=re.compile("Wren Sedge")).first.wait_for()
    assert foreign(asked, server) == []
    page.context.close()


def test_the_pages_of_a_lesson_keep_the_rules_of_access(browser: Any, server: Server) -> None:
    page, _asked = visit(browser, server, bypass_csp=True, reduced_motion="reduce")
    lesson = begin(page, server, "Wren Sedge")
    page.get_by_label("Balls in one line").fill("Quiet head.")
    page.get_by_role("button", name="Save", exact=True).click()
    session = lesson.removesuffix("/lesson")
    ball = page.request.get(session, timeout=0).text()
    first = re.search(r'href="\?ball=(\d+)&', ball)
    assert first
    broken: list[Any] = []
    for address in (
        lesson,
        server.address + "/lesson",
        server.address + "/history",
        f"{session}?ball={first[1]}",
        f"{session}/one?club=54&swing=waist",
        f"{session}/report",
        f"{server.address}/players/Wren Sedge",
        f"{server.address}/players/Wren Sedge/pooled",
    ):
        page.goto(address)
        broken += [(address, *found) for found in broken_anywhere(page)]
    page.context.close()
    assert broken == []


def begin(page: Any, server: Server, name: str) -> str:
    """A lesson with a few balls; its address."""
    page.goto(f"{server.address}/lesson")
    page.get_by_label("Whose lesson").fill(name)
    page.get_by_role("button", name="Start the lesson").click()
    page.get_by_label("Balls in one line").fill("54 waist 41 43 42 fat 30 44, 58 chest 52 54 53")
    page.get_by_role("button", name="Save", exact=True).click()
    page.wait_for_url(re.compile("#line"))
    return str(page.url.partition("#")[0])


def test_a_ball_is_set_aside_and_brought_back_in_the_picture_by_keyboard_and_without_script(
    browser: Any, server: Server
) -> None:
    page, _asked = visit(browser, server, viewport=LAPTOP)
    session = begin(page, server, "Wren Sedge").removesuffix("/lesson")
    page.goto(session)
    page.locator("#every > summary").click()
    page.locator("figure.wide a.touch").first.focus()
    page.keyboard.press("Enter")
    page.locator("#ball").wait_for()
    page.wait_for_url(re.compile("ball="))
    page.locator("#ball").get_by_placeholder("why").fill("hit a post")
    page.locator("#ball").get_by_role("button", name="Leave out").click()
    page.locator("#ball").get_by_text("hit a post").wait_for()
    page.get_by_text("7 balls with").first.wait_for()  # the chart follows, the page was not loaded anew
    page.locator("#ball").get_by_role("button", name=re.compile("Bring ball")).click()
    page.get_by_text("8 balls with").first.wait_for()
    page.context.close()
    plain, _asked = visit(browser, server, viewport=PHONE, java_script_enabled=False)
    plain.goto(session)
    plain.locator("#every > summary").click()
    plain.locator("figure.narrow a.touch").nth(2).click(force=True)
    plain.locator("#ball").get_by_role("button", name="Leave out").click()
    plain.get_by_text("7 balls with").first.wait_for()
    plain.goto(session.replace("/sessions/", "/sessions/") + "/lesson")
    plain.get_by_role("heading", name="Swings and balls").wait_for()
    plain.context.close()


def test_at_twice_the_size_nothing_is_cut_off(browser: Any, server: Server) -> None:
    half = {"width": LAPTOP["width"] // 2, "height": LAPTOP["height"] // 2}
    page, _asked = visit(browser, server, viewport=half, device_scale_factor=2)
    lesson = begin(page, server, "Wren Sedge")
    for address in (
        lesson,
        lesson.removesuffix("/lesson"),
        lesson.replace("/lesson", "/report"),
        f"{server.address}/players/Wren Sedge",
    ):
        page.goto(address)
        assert page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth") <= 0
    page.context.close()


@pytest.mark.parametrize("name", NAMES, ids=["emoji", "300 letters", "right to left"])
def test_any_name_stands_on_the_pages_the_card_and_the_report(browser: Any, server: Server, name: str) -> None:
    from threequarter.paper.typesetting import count_pages

    page, _asked = visit(browser, server, viewport=PHONE)
    lesson = begin(page, server, name)
    session = lesson.removesuffix("/lesson")
    known = page.get_by_role("heading", level=1).inner_text()
    assert known.split()[0] == name.split()[0]
    for address in (lesson, session, f"{session}/report", server.address + "/players"):
        page.goto(address)
        assert page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth") <= 0
    for paper in ("card.pdf", "report.pdf"):
        pdf = page.request.get(f"{session}/{paper}", timeout=0).body()
        assert pdf.startswith(b"%PDF")
        assert count_pages(pdf) <= 2
    page.goto(f"{server.address}/players")
    page.get_by_role("link", name=re.compile(re.escape(known[:20]))).first.click()
    page.get_by_role("link", name="About", exact=True).click()
    page.get_by_role("heading", name="The plan").wait_for()
    page.context.close()
