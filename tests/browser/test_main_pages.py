"""What the main pages show and how they are reached: the first screen by position, targets, focus, zoom, weight, motion.

Sizes: WCAG 2.2 (2.5.8 asks 24 px, 1.4.11 and 2.4.13 a contrast of 3, 1.4.10 reflow at 320 px, 1.4.4 zoom of 200 %); 44 px and 64 px for
keys are ours.
"""

from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from typing import Any, Final

import pytest

from browser_support import LAPTOP, PHONE, Server, broken_anywhere, small_targets

pytestmark = pytest.mark.slow
BAR: Final = 60
"""Pixels of the bar at the thumb on a phone."""
SHOT: Final = "/players/Robin%20Sedge"
FIRST: Final = {
    "/": (".runs .then strong", ".runs [role=button]"),
    SHOT: (".answer h2 b", ".matrix tbody td", "header.player [role=button]"),
    "/sessions/1": (".answer h2 b", ".matrix tbody td"),
    "/sessions/4/lesson": (".hit-next .what", ".matrix tbody tr", "h1"),
}
"""What people come for on each page: it is on the first screen, at both sizes."""
MAIN: Final = (
    "/",
    SHOT,
    f"{SHOT}/days",
    f"{SHOT}/swings",
    f"{SHOT}/practise",
    f"{SHOT}/course",
    "/sessions/4/lesson",
    "/sessions/1/practice?seed=4",
    "/game?who=Robin+Sedge&who=Wren+Sedge&seed=3",
    "/bring-in",
    "/kept",
    "/sessions/1/round",
)
PHONE_PAGES: Final = (
    "/bucket/4",
    "/bucket",
    *(f"/bucket/{name}" for name in ("here", "chart", "round", "practice", "recheck", "copy")),
)
"""Keys, and the pages that a phone fills by itself."""
LOAD_KB: Final = 150
SCRIPT_KB: Final = 40
EVERYWHERE: Final = ("htmx.min.js", "app.js")
"""Scripts of all pages."""

RING = """() => {
  const rgb = (text) => (text.match(/[\\d.]+/g) || []).map(Number);
  const light = (c) => { const [r, g, b] = c.map((v) => v / 255).map((v) => v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4);
    return 0.2126 * r + 0.7152 * g + 0.0722 * b; };
  const under = (one) => { for (let at = one; at; at = at.parentElement) { const c = rgb(getComputedStyle(at).backgroundColor);
    if (c.length === 3 || c[3] > 0.5) return c.slice(0, 3); } return [255, 255, 255]; };
  const at = document.activeElement;
  if (at === document.body) return null;
  // a cell or a capsule is framed as a whole, not the link in it
  const plain = parseFloat(getComputedStyle(at).outlineWidth) > 0, target = at.querySelector(".target");
  const one = plain ? at : at.closest("td") || target || at, style = getComputedStyle(one);
  const drawn = !plain && one === target;
  const inside = !drawn && parseFloat(style.outlineOffset) < -1;
  const ink = drawn ? style.stroke : style.outlineColor, wide = parseFloat(drawn ? style.strokeWidth : style.outlineWidth);
  const [a, b] = [light(rgb(ink).slice(0, 3)), light(under(inside ? one : one.parentElement))];
  return { what: at.outerHTML.slice(0, 80), wide, contrast: (Math.max(a, b) + 0.05) / (Math.min(a, b) + 0.05) };
}"""


@pytest.fixture(scope="module")
def filled(tmp_path_factory: pytest.TempPathFactory, browser: Any) -> Iterator[Server]:
    """The demo and a lesson with five balls that runs."""
    folder: Path = tmp_path_factory.mktemp("main")
    with Server(folder / "data") as server:
        page = browser.new_page()
        page.set_default_timeout(120_000)
        page.request.post(f"{server.address}/demo", timeout=120_000)
        made = page.request.post(f"{server.address}/lesson", form={"player": "Wren Sedge", "unit": "yd"}, timeout=0)
        assert made.url.endswith("/sessions/4/lesson")
        page.request.post(f"{made.url}/line", form={"text": "54 waist 41 43 42 fat 31 44"}, timeout=0)
        page.goto(server.address + SHOT)
        page.locator(".answer h2 b").wait_for()
        page.close()
        yield server


def opened(browser: Any, server: Server, path: str, **how: Any) -> Any:
    """A page in a context of its own."""
    page = browser.new_context(reduced_motion="reduce", bypass_csp=True, **how).new_page()
    page.set_default_timeout(120_000)
    page.goto(server.address + path)
    return page


def overflow(page: Any) -> float:
    """Pixels that a page is wider than its window."""
    return float(page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth"))


@pytest.mark.parametrize("size", [PHONE, LAPTOP], ids=["phone", "laptop"])
def test_what_people_come_for_is_on_the_first_screen(browser: Any, filled: Server, size: dict[str, int]) -> None:
    foot = size["height"] - (BAR if size is PHONE else 0)
    for path, wanted in FIRST.items():
        page = opened(browser, filled, path, viewport=size)
        for selector in wanted:
            box = page.locator(selector).first.bounding_box()
            assert box is not None, (path, selector)
            assert box["y"] >= 0, (path, selector)
            assert box["y"] + box["height"] <= foot, (path, selector, box)
        page.context.close()


def test_the_dots_of_a_capsule_can_be_counted_on_a_phone(browser: Any, filled: Server) -> None:
    page = opened(browser, filled, SHOT, viewport=PHONE)
    dots = page.evaluate(
        """() => [...document.querySelectorAll(".lanes li")].map((lane) => [lane.getBoundingClientRect().height,
             [...lane.querySelectorAll("svg:not(.sign) circle")].map((dot) => dot.getBoundingClientRect().width)])"""
    )
    assert len(dots) >= 12
    for height, widths in dots:
        assert height >= 56
        assert len(widths) >= 10
        assert min(widths) >= 6, widths
    page.context.close()


def test_main_pages_keep_targets_and_rules(browser: Any, filled: Server) -> None:
    found: list[Any] = []
    for path in MAIN:
        page = opened(browser, filled, path)
        for size in (PHONE, LAPTOP):
            page.set_viewport_size(size)
            found += [(path, one) for one in small_targets(page)]
        found += [(path, *one) for one in broken_anywhere(page)]
        page.context.close()
    assert found == []


def test_keys_are_at_least_64_pixels(browser: Any, filled: Server) -> None:
    for path, keys in (("/bucket/4", "#keys button"), ("/sessions/1/practice?seed=4", "#pad button")):
        page = opened(browser, filled, path, viewport=PHONE)
        page.locator(keys).first.wait_for()
        sizes = page.locator(keys).evaluate_all(
            "all => all.filter((one) => one.checkVisibility()).map((one) => Math.min(one.offsetWidth, one.offsetHeight))"
        )
        assert len(sizes) >= 12
        assert min(sizes) >= 64, (path, sizes)
        page.context.close()


def test_focus_is_seen_everywhere(browser: Any, filled: Server) -> None:
    faint: list[Any] = []
    for path in (*MAIN, "/bucket/4"):
        page = opened(browser, filled, path, viewport=LAPTOP)
        for _press in range(25):
            page.keyboard.press("Tab")
            for scheme in ("light", "dark"):
                page.emulate_media(color_scheme=scheme)
                ring = page.evaluate(RING)
                if ring is not None and (ring["wide"] < 3 or ring["contrast"] < 3):
                    faint.append((path, scheme, ring))
        page.context.close()
    assert faint == []


@pytest.mark.parametrize(("wide", "high"), [(320, 640), (195, 422), (640, 400)], ids=["320", "phone-200", "laptop-200"])
def test_nothing_scrolls_sideways_small_or_at_twice_the_size_in_german(
    browser: Any, filled: Server, wide: int, high: int
) -> None:
    broad = []
    for path in MAIN:
        page = opened(browser, filled, path, viewport={"width": wide, "height": high}, locale="de-DE")
        assert page.locator("html").get_attribute("lang") == "de"
        if over := overflow(page):
            broad.append((path, over))
        page.context.close()
    assert broad == []


def test_first_load_and_own_scripts_stay_light(browser: Any, filled: Server) -> None:
    """The load with the headers of its answers; the scripts themselves as they come packed. The engine comes when the page is idle."""
    for path in (*MAIN, *PHONE_PAGES):
        page = browser.new_context(viewport=PHONE, service_workers="block").new_page()
        client = page.context.new_cdp_session(page)
        client.send("Network.enable")
        urls: dict[str, str] = {}
        loaded: Counter[str] = Counter()
        bodies: Counter[str] = Counter()
        client.on("Network.responseReceived", lambda e, urls=urls: urls.update({e["requestId"]: e["response"]["url"]}))
        client.on("Network.dataReceived", lambda e, to=bodies: to.update({e["requestId"]: e["encodedDataLength"]}))
        client.on("Network.loadingFinished", lambda e, to=loaded: to.update({e["requestId"]: e["encodedDataLength"]}))
        page.goto(filled.address + path)
        page.wait_for_load_state("load")
        page.wait_for_timeout(300)
        at_first = sum(size for one, size in loaded.items() if "/engine/" not in urls.get(one, ""))
        assert 20 < at_first / 1024 <= LOAD_KB, (path, at_first)
        own = {
            url: bodies[one]
            for one, url in urls.items()
            if url.endswith(".js") and not url.endswith(EVERYWHERE) and "/engine/" not in url
        }
        assert 1 < sum(own.values()) / 1024 <= SCRIPT_KB, (path, own)
        page.context.close()


def test_who_wants_less_motion_sees_none(browser: Any, filled: Server) -> None:
    for path in (*FIRST, "/bucket/4"):
        page = opened(browser, filled, path, viewport=PHONE)
        moving = page.evaluate(
            """() => [...document.querySelectorAll("*")].filter((one) => { const style = getComputedStyle(one);
                 const longest = (text) => Math.max(...text.split(",").map((part) => parseFloat(part) * (part.includes("ms") ? 0.001 : 1)));
                 return (style.animationName !== "none" && longest(style.animationDuration) > 0.011) || longest(style.transitionDuration) > 0.011;
               }).map((one) => one.outerHTML.slice(0, 80))"""
        )
        assert moving == [], path
        page.context.close()
