"""The bucket page on a phone: taps, targets, the network cut, the page closed, the server killed; every ball once."""

from pathlib import Path
from typing import Any

from browser_support import ARGS, CHROMIUM, PHONE, Server, broken_rules
from bucket_support import WORKER_IS_ACTIVE, until
from threequarter.golf.ball import Ball, Strike
from threequarter.store.store import Store


def kept(data: Path) -> list[Ball]:
    """The balls that count."""
    with Store.open(data) as store:
        return [ball for ball in store.session_balls(1) if ball.use]


def type_ball(page: Any, carry: str, strike: str = "") -> int:
    """Types a ball and returns the number of taps it took."""
    taps = 0
    if strike:
        page.click(f"[data-strike={strike}]")
        taps += 1
    for digit in carry:
        page.click(f"[data-key='{digit}']")
        taps += 1
    page.click("#save")
    return taps + 1


def begin(page: Any, address: str) -> None:
    page.goto(f"{address}/bucket")
    page.fill("#player", "Wren Sedge")
    page.fill("#clubs", "54, 58")
    page.fill("#swings", "waist, chest")
    page.get_by_role("button", name="Start").click()
    page.wait_for_url("**/bucket/*")
    page.wait_for_selector("body[data-ready]")


def test_balls_survive_the_network_the_page_and_the_server(tmp_path: Path, play: Any) -> None:
    with Server(tmp_path) as server:
        profile = tmp_path / "phone"
        context = play.chromium.launch_persistent_context(
            str(profile), executable_path=CHROMIUM, args=ARGS, viewport=PHONE
        )
        page = context.pages[0]
        begin(page, server.address)
        assert max(type_ball(page, carry) for carry in ("41", "43", "42")) <= 4
        page.get_by_text("3 balls typed here, all safe on the server").wait_for()
        page.get_by_text("Kept on this phone: works without a signal").wait_for()  # it was never opened twice
        context.set_offline(True)
        server.kill()
        for carry, strike in (("30", "fat"), ("44", ""), ("40", "")):
            type_ball(page, carry, strike)
        page.get_by_text("3 balls wait here").wait_for()
        page.get_by_text("the chart is computed on this phone").wait_for()
        assert "±" in page.inner_text("#cell")
        assert "provisional" not in page.inner_text("#cell")
        where = page.url
        page.close()
        page = context.new_page()
        page.goto(where)  # no server at all: the page comes from the phone
        page.wait_for_selector("body[data-ready]")
        page.get_by_text("3 earlier balls were brought back").wait_for()
        elsewhere = context.new_page()
        elsewhere.goto(f"{server.address}/players")  # not on the phone: a page of ours says so, and what is
        elsewhere.get_by_role("heading", name="No signal").wait_for()
        elsewhere.locator("#kept-pages a").first.wait_for()
        assert where.removeprefix(server.address) in elsewhere.locator("#kept-pages a").evaluate_all(
            "links => links.map((link) => link.getAttribute('href'))"
        )
        assert broken_rules(elsewhere) == []
        elsewhere.close()
        page.get_by_text("3 balls wait here").wait_for()
        type_ball(page, "45")
        page.click("#undo")
        context.set_offline(False)
        server.start()
        page.get_by_text("6 balls typed here, all safe on the server").wait_for(timeout=120_000)
        context.close()
        balls = kept(tmp_path)
        assert [round(ball.distance_m / 0.9144) for ball in balls] == [41, 43, 42, 30, 44, 40]
        assert balls[3].strike == Strike.FAT


def test_keys_are_large_apart_and_in_the_lower_half_and_the_chart_fills(tmp_path: Path, play: Any) -> None:
    with Server(tmp_path) as server:
        browser = play.chromium.launch(executable_path=CHROMIUM, args=ARGS)
        page = browser.new_page(viewport=PHONE)
        begin(page, server.address)
        boxes = [key.bounding_box() for key in page.locator(".keys button:visible, .acts button:visible").all()]
        assert len(boxes) == 19
        assert all(box["width"] >= 64 and box["height"] >= 64 for box in boxes)
        assert all(box["y"] + box["height"] <= 844 for box in boxes)
        assert min(box["y"] for box in boxes) >= 844 / 2
        for a in boxes:
            for b in boxes:
                if a is not b:
                    across = max(a["x"], b["x"]) - min(a["x"] + a["width"], b["x"] + b["width"])
                    down = max(a["y"], b["y"]) - min(a["y"] + a["height"], b["y"] + b["height"])
                    assert max(across, down) >= 7.9
        for carry in ("41", "43", "42", "44"):
            type_ball(page, carry)
        page.get_by_text("the next good one").wait_for()
        page.screenshot(path=str(tmp_path / "bucket.png"))
        assert broken_rules(page, "wcag2a", "wcag2aa", "wcag21aa", "wcag22aa") == []
        browser.close()


def test_a_left_hand_and_the_light_are_remembered_on_the_phone(tmp_path: Path, play: Any) -> None:
    with Server(tmp_path) as server:
        browser = play.chromium.launch(executable_path=CHROMIUM, args=ARGS)
        page = browser.new_page(viewport=PHONE, reduced_motion="reduce")
        begin(page, server.address)
        for look in ("sun", "night"):
            page.get_by_text("Hand and light").click()
            page.get_by_label("left hand").check()
            page.locator(f"input[value={look}]").check()
            page.reload()
            boxes = {key: page.locator(f"[data-key='{key}']").bounding_box() for key in "789456123"}
            for row, strike in (("789", "fat"), ("456", "thin"), ("123", "toe")):
                beside = page.locator(f"[data-strike={strike}]").bounding_box()
                xs = [beside["x"], *(boxes[key]["x"] for key in row)]
                assert xs == sorted(xs)
                assert {beside["y"], *(boxes[key]["y"] for key in row)} == {beside["y"]}
            assert page.locator("#undo").bounding_box()["x"] > page.locator("#save").bounding_box()["x"]
            assert type_ball(page, "41") <= 4
            page.screenshot(path=str(tmp_path / f"{look}.png"))
            assert broken_rules(page, "wcag2aa", "wcag2aaa") == []
        browser.close()


def test_practice_goes_on_without_a_signal(tmp_path: Path, play: Any) -> None:
    with Server(tmp_path) as server:
        context = play.chromium.launch_persistent_context(
            str(tmp_path / "phone"), executable_path=CHROMIUM, args=ARGS, viewport=PHONE
        )
        page = context.pages[0]
        page.request.post(f"{server.address}/demo", timeout=0)
        session = f"{server.address}/sessions/1"
        page.goto(f"{session}/practice?seed=4&balls=5")
        until(page, WORKER_IS_ACTIVE)
        page.reload()
        context.set_offline(True)
        server.kill()
        called = page.locator("#called-number").text_content()
        assert called
        assert page.locator("#caller").text_content().count(called) == 1  # nothing beside it tells the club
        page.keyboard.type(called)
        page.keyboard.press("Enter")
        page.get_by_text("So far 0.00 from one ball").wait_for()
        page.get_by_text("1 of 1 ball inside your own band.").wait_for()
        page.reload()  # from the phone's own store, and what was typed is still there
        assert page.locator("[name=ended-1]").input_value() == called
        assert page.locator("#called-count").text_content() == "ball 2 of 5"
        for digit in str(int(page.locator("#called-number").text_content()) + 50):
            page.click(f"[data-digit='{digit}']")
        page.click("#keep")
        page.get_by_text("1 of 2 balls inside your own band.").wait_for()
        page.click("#take-back")
        page.get_by_text("1 of 1 ball inside your own band.").wait_for()
        keys = [key.bounding_box() for key in page.locator("#pad button, .pad-acts button").all()]
        assert len(keys) == 14
        assert all(key["width"] >= 64 and key["height"] >= 64 for key in keys)
        last, places = keys[-1], page.locator(".places").bounding_box()
        assert last["y"] + last["height"] <= places["y"]  # all of it on the first screen
        context.close()
