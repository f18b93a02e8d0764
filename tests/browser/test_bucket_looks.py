"""The bucket page under the sun, at night, zoomed, by keyboard, on its side: what a glove and an eye need, measured on
the page."""

import itertools
from collections.abc import Iterator
from typing import Any

import pytest

from browser_support import LAPTOP, PHONE, Server, broken_rules
from bucket_support import WORKER_IS_ACTIVE, all_kept, begin, kept, opened, phone, type_in, until

LEAST_CONTRAST = 7.0
MOST_BYTES = 150 * 1024

# Relative luminance and contrast as WCAG 2.2 defines them, of every text shown, against the paper it stands on.
CONTRASTS = """() => {
  const rgba = (text) => { const n = text.match(/[\\d.]+/g).map(Number); return n.length < 4 ? [...n, 1] : n; };
  const light = ([r, g, b]) => { const f = (v) => { v /= 255; return v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4; }; return 0.2126 * f(r) + 0.7152 * f(g) + 0.0722 * f(b); };
  const paper = (element) => { for (let e = element; e; e = e.parentElement) { const c = rgba(getComputedStyle(e).backgroundColor); if (c[3] > 0.99) return c; } return [255, 255, 255, 1]; };
  const found = [];
  for (const element of document.querySelectorAll("body *")) {
    if (![...element.childNodes].some((node) => node.nodeType === 3 && node.textContent.trim())) continue;
    if (["SCRIPT", "NOSCRIPT", "OPTION"].includes(element.tagName) || !element.checkVisibility()) continue;
    const style = getComputedStyle(element);
    const [a, b] = [light(rgba(style.color)), light(paper(element))].sort((x, y) => y - x);
    found.push([(a + 0.05) / (b + 0.05), element.tagName, element.textContent.trim().slice(0, 30), Number(style.opacity)]);
  }
  return found;
}"""


@pytest.fixture(scope="module")
def server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Server]:
    with Server(tmp_path_factory.mktemp("looks")) as made:
        yield made


@pytest.fixture(scope="module")
def session(server: Server, browser: Any) -> str:
    """A session with some balls in it."""
    page = phone(browser)
    where = begin(page, server.address)
    type_in(page, "41", "43", "42", "40")
    all_kept(page, 4)
    page.context.close()
    return where


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("look", ["phone", "sun", "night"])
def test_every_text_has_a_contrast_of_seven_to_one_in_each_look(
    session: str, browser: Any, look: str, scheme: str
) -> None:
    page = phone(browser, color_scheme=scheme, reduced_motion="reduce")
    page.add_init_script(f"localStorage.setItem('look', '{look}')")
    opened(page, session)
    page.get_by_text("the next good one").wait_for()
    page.evaluate("for (const part of document.querySelectorAll('details')) part.open = true")
    page.evaluate(
        "for (const id of ['notice', 'brought', 'advice']) { const part = document.getElementById(id); part.hidden = false; part.textContent ||= 'Something'; }"
    )
    page.click("[data-strike=fat]")
    found = page.evaluate(CONTRASTS)
    assert len(found) > 60
    assert [one for one in found if one[0] < LEAST_CONTRAST or one[3] < 1] == []
    assert broken_rules(page) == []
    page.context.close()


def test_at_two_hundred_percent_everything_is_still_there_and_nothing_scrolls_sideways(
    session: str, browser: Any
) -> None:
    number = session.rsplit("/", 1)[1].partition("?")[0]
    clinic = f"{session}?beside={number},{number}"
    for size, where in ((PHONE, session), (LAPTOP, session), (PHONE, clinic), (LAPTOP, clinic)):
        half = {name: side // 2 for name, side in size.items()}
        context = browser.new_context(viewport=half, device_scale_factor=2)
        page = context.new_page()
        opened(page, where)
        assert page.evaluate("document.documentElement.scrollWidth <= document.documentElement.clientWidth")
        for key in page.locator(".keys button:visible, .acts button:visible, .shots button").all():
            key.scroll_into_view_if_needed()
            box = key.bounding_box()
            assert box["x"] >= 0
            assert box["width"] * 2 >= 64
            assert box["height"] * 2 >= 64
            assert box["x"] + box["width"] <= half["width"] + 1 or key.evaluate(
                "(one) => one.closest('.shots') !== null"
            )
        areas = [page.locator(part).bounding_box() for part in (".look", ".typed", "#keys", "#acts", "#more")]
        for n, a in enumerate(areas):
            for b in areas[n + 1 :]:
                apart = a["y"] + a["height"] <= b["y"] + 1 or b["y"] + b["height"] <= a["y"] + 1
                beside = a["x"] + a["width"] <= b["x"] + 1 or b["x"] + b["width"] <= a["x"] + 1
                assert apart or beside, (n, a, b)
        page.click("[data-key='4']")
        page.click("[data-key='4']")
        assert page.inner_text("#typed").strip() == "44"
        assert broken_rules(page) == []
        context.close()


def test_a_ball_by_keyboard_alone_and_the_focus_is_seen(server: Server, browser: Any) -> None:
    page = phone(browser)
    begin(page, server.address, player="Key Board")
    number = int(page.evaluate("document.body.dataset.session"))
    reached = []
    for _ in range(60):
        page.keyboard.press("Tab")
        reached.append(
            page.evaluate(
                "document.activeElement.id || document.activeElement.dataset.key || document.activeElement.dataset.strike || document.activeElement.dataset.swing || document.activeElement.tagName"
            )
        )
        if reached[-1] == "waist":
            page.keyboard.press("ArrowDown")
            page.keyboard.press("ArrowRight")
        if reached[-1] in ("4", "2", "fat", "save"):
            outline = page.evaluate("getComputedStyle(document.activeElement).outlineWidth")
            assert outline == "3px", reached[-1]
            page.keyboard.press("Enter" if reached[-1] != "fat" else "Space")
        if reached[-1] == "save":
            break
    assert {"undo", "again", "save"} <= set(reached)
    all_kept(page, 1)
    page.context.close()
    (ball,) = kept(server.data, number)
    assert (ball.club, ball.swing, ball.strike) == ("58", "chest", "fat")
    assert round(ball.distance_m / 0.9144) == 42


def test_nothing_moves_where_less_motion_is_wanted(session: str, browser: Any) -> None:
    page = phone(browser, reduced_motion="reduce")
    opened(page, session)
    moving = page.evaluate(
        "[...document.querySelectorAll('*')].filter((e) => { const s = getComputedStyle(e); return parseFloat(s.transitionDuration) > 0.001 || parseFloat(s.animationDuration) > 0.001 || s.scrollBehavior === 'smooth'; }).length"
    )
    assert moving == 0
    page.context.close()


def test_on_its_side_all_keys_are_on_the_screen_at_once(session: str, browser: Any) -> None:
    context = browser.new_context(viewport={"width": 844, "height": 390})
    page = context.new_page()
    opened(page, session)
    for hand, way in (("right", "device"), ("left", "device"), ("left", "pile")):
        page.evaluate(f"document.querySelector('[name=hand][value={hand}]').click()")
        page.evaluate(f"document.querySelector('[name=by][value={way}]').click()")
        boxes = [key.bounding_box() for key in page.locator(".keys button:visible, .acts button:visible").all()]
        assert len(boxes) == 19
        assert all(
            box["y"] >= 0 and box["y"] + box["height"] <= 390 and box["height"] >= 64 and box["width"] >= 64
            for box in boxes
        )
    context.close()


@pytest.mark.parametrize("size", [(360, 640), (375, 667), (390, 844), (430, 932), (768, 1024)])
def test_on_every_phone_what_is_typed_and_the_keys_stand_under_each_other(
    session: str, browser: Any, size: tuple[int, int]
) -> None:
    number = session.rsplit("/", 1)[1].partition("?")[0]
    context = browser.new_context(viewport={"width": size[0], "height": size[1]})
    page = context.new_page()
    for where in (session, f"{session}?beside={number},{number}"):
        for way in ("device", "pile", "position"):
            page.add_init_script(f"localStorage.setItem('by', '{way}')")
            opened(page, where)
            boxes = [
                page.locator(part).bounding_box()
                for part in (".look", ".ways-now", ".typed", "#keys", "#acts", "#more")
            ]
            for above, below in itertools.pairwise(boxes):
                assert above["y"] + above["height"] <= below["y"] + 1
            if size[1] >= 844:
                assert boxes[4]["y"] + boxes[4]["height"] <= size[1]
                assert boxes[3]["y"] >= size[1] / 2
    context.close()


def test_the_first_load_is_light(session: str, browser: Any) -> None:
    page = phone(browser, service_workers="block")
    client = page.context.new_cdp_session(page)
    client.send("Network.enable")
    came: dict[str, int] = {}
    client.on(
        "Network.loadingFinished", lambda event: came.update({event["requestId"]: int(event["encodedDataLength"])})
    )
    opened(page, session)
    page.get_by_text("the next good one").wait_for()
    page.wait_for_load_state("networkidle")
    assert len(came) >= 10
    assert sum(came.values()) <= MOST_BYTES, sum(came.values())
    page.context.close()


def test_the_last_chart_and_card_are_there_without_a_server(server: Server, browser: Any) -> None:
    page = phone(browser)
    where = begin(page, server.address, player="Card Holder")
    until(page, WORKER_IS_ACTIVE)
    page.reload()
    type_in(page, "41", "43", "42")
    all_kept(page, 3)
    kept_pictures = "caches.open('threequarter-seen').then((cache) => cache.keys()).then((keys) => keys.filter((one) => /chart.svg|card.png/.test(one.url)).length)"
    until(page, f"{kept_pictures}.then((count) => count === 2)")
    page.context.set_offline(True)
    opened(page, where)
    page.get_by_text("The last chart and card").click()
    for name in ("last-chart", "last-card"):
        until(page, f"document.getElementById('{name}').naturalWidth > 100")
    page.get_by_text("the chart is computed on this phone").wait_for()
    assert "±" in page.inner_text("#cell")
    page.context.close()
