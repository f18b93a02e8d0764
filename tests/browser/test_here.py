"""A phone alone: a bucket begun, typed and charted without a server, closed and opened, and brought to the server once."""

from pathlib import Path
from typing import Any

from browser_support import PHONE, Server, broken_rules
from bucket_support import begin, count, in_store, kept, phone, ready, type_in, until

CARRIES = ("41", "43", "42", "30", "44", "40")


def test_a_bucket_begun_without_a_server_is_charted_and_brought_once(tmp_path: Path, browser: Any) -> None:
    with Server(tmp_path) as server:
        page = phone(browser)
        begin(page, server.address)
        page.get_by_text("Kept on this phone: works without a signal").wait_for()
        server.kill()
        page.goto(f"{server.address}/bucket")
        page.fill("#player", "Lark Fenn")
        page.fill("#clubs", "54, 58")
        page.fill("#swings", "waist, chest")
        page.get_by_role("button", name="Start").click()
        page.wait_for_url("**/bucket/here#*")
        ready(page)
        type_in(page, *CARRIES)
        page.get_by_text("the chart is computed on this phone").wait_for()
        assert "±" in page.inner_text("#cell")
        page.reload()
        ready(page)
        assert count(page) == len(CARRIES)
        page.get_by_text("the chart is computed on this phone").wait_for()
        page.get_by_role("link", name="Chart").first.click()
        page.get_by_text("Computed on this phone from the 6 balls it has").wait_for()
        assert page.locator("#cells tbody td").count() == 4
        assert broken_rules(page) == []
        here = page.url.partition("#")[2]
        for path, text in (
            ("round", "Computed on this phone from the 6 balls it has"),
            ("practice?game=row", "Three in a row"),
            ("recheck", "This phone has one bucket of Lark Fenn."),
        ):
            page.goto(f"{server.address}/bucket/{path}#{here}")
            ready(page)
            page.get_by_text(text).first.wait_for()
            assert broken_rules(page) == [], path
        page.goto(f"{server.address}/bucket/practice?game=row#{here}")
        ready(page)
        page.keyboard.type("41")
        page.keyboard.press("Enter")
        page.locator("#hits li").wait_for()
        page.reload()
        ready(page)
        assert page.locator("#hits li").count() == 1
        page.goto(f"{server.address}/players")
        page.get_by_text("This page is not on this phone").wait_for()
        page.goto(f"{server.address}/bucket/here#{here}")
        ready(page)
        server.start()
        page.reload()
        page.wait_for_url("**/bucket/2")
        ready(page)
        page.get_by_text("6 balls typed here, all safe on the server").wait_for()
        until(page, in_store("BallStore.all().then((all) => all.every((ball) => ball.session > 0))"))
        page.context.close()
        assert [round(ball.distance_m / 0.9144) for ball in kept(tmp_path, 2)] == [int(carry) for carry in CARRIES]


def test_the_same_bucket_brought_twice_is_one(tmp_path: Path, browser: Any) -> None:
    with Server(tmp_path) as server:
        page = browser.new_context(viewport=PHONE).new_page()
        page.goto(f"{server.address}/bucket")
        told = {"key": "ab" * 16, "player": "Lark Fenn", "unit": "yd", "clubs": ["54"], "swings": ["waist"]}
        ids = [
            page.evaluate(
                "(told) => fetch('/api/buckets', {method: 'POST', headers: {'content-type': 'application/json'},"
                " body: JSON.stringify(told)}).then((answer) => answer.json()).then((one) => one.id)",
                told,
            )
            for _turn in range(3)
        ]
        assert len(set(ids)) == 1
        page.context.close()
