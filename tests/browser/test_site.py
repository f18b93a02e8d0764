"""The folder for a web host, served by a plain file server under a path of its own: a phone does everything with it, then alone."""

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any, Final

import pytest

from browser_support import PHONE, broken_rules
from bucket_support import ready, until
from site_support import STORES, Host, new_bucket, stores
from threequarter.web.site import write_site

CARRIES: Final = {
    ("54", "knee"): (25, 26, 24, 27),
    ("54", "waist"): (41, 43, 42, 30, 44),
    ("54", "chest"): (66, 64, 67, 65),
    ("58", "knee"): (21, 22, 20),
}


@pytest.fixture
def host(tmp_path: Path) -> Iterator[Host]:
    made = Host(tmp_path)
    yield made
    made.end()


def first_visit(browser: Any, host: Host) -> tuple[Any, list[str]]:
    """A phone that opened the address once; and all that was ever asked for."""
    page = browser.new_context(viewport=PHONE, accept_downloads=True).new_page()
    asked: list[str] = []
    page.context.on("request", lambda request: asked.append(request.url))
    page.set_default_timeout(60_000)
    page.goto(host.address)
    page.get_by_text("Kept on this phone: works without a signal").wait_for()
    return page, asked


def hit(page: Any, carries: dict[tuple[str, str], Any]) -> None:
    for (club, swing), numbers in carries.items():
        page.click(f'#shots button[data-club="{club}"][data-swing="{swing}"]')
        for carry in numbers:
            page.keyboard.type(str(carry))
            page.keyboard.press("Enter")
            until(page, "document.getElementById('typed').textContent.trim() === ''")


def kept(page: Any, count: int) -> None:
    until(page, f"({STORES}).then((found) => found.balls.length === {count})")


def test_a_phone_does_the_whole_bucket_with_no_server_and_asks_nothing_elsewhere(browser: Any, host: Host) -> None:
    page, asked = first_visit(browser, host)
    host.end()
    bucket = new_bucket(page, host)
    hit(page, CARRIES)
    kept(page, 16)
    page.get_by_text("16 balls, all saved on this phone.").wait_for()
    page.get_by_text("± ").first.wait_for()
    assert broken_rules(page) == []
    says = {
        "chart": "Computed on this phone from the 16 balls it has",
        "round": "Computed on this phone from the 16 balls it has",
        "recheck": "This phone has one bucket of Lark Fenn.",
    }
    for name, text in says.items():
        page.goto(f"{host.address}{name}.html#{bucket}")
        page.get_by_text(text).wait_for()
        ready(page)
        assert broken_rules(page) == [], name
    page.goto(f"{host.address}round.html#{bucket}")
    ready(page)
    assert page.locator("#rungs li b").count() >= 3
    page.goto(f"{host.address}of/no/such/page")
    page.get_by_text("but the balls you typed are: nothing is lost.").wait_for()
    assert {one.split("/")[2] for one in asked} == {f"127.0.0.1:{host.port}"}
    page.context.close()


def test_a_ladder_is_typed_closed_scored_and_kept(browser: Any, host: Host) -> None:
    page, _asked = first_visit(browser, host)
    host.end()
    bucket = new_bucket(page, host)
    hit(page, CARRIES)
    kept(page, 16)
    page.goto(f"{host.address}practice.html?game=ladder#{bucket}")
    ready(page)
    smallest = page.evaluate(
        "Math.min(...[...document.querySelectorAll('#pad button, #keep, #take-back')].map((one) => one.getBoundingClientRect().height))"
    )
    assert smallest >= 64
    called = page.inner_text("#called-number")
    for number in (25, 40, 60):
        page.keyboard.type(str(number))
        page.keyboard.press("Enter")
    until(page, f"({STORES}).then((found) => found.tests[0].calls.filter((one) => one.ended !== null).length === 3)")
    page.reload()
    ready(page)
    assert page.locator("#hits li").count() == 3
    assert page.locator("#hits li b").first.inner_text() == called
    assert broken_rules(page) == []
    page.click("#score")
    page.get_by_text("from 3 balls. 1 is your own usual miss").wait_for()
    (test,) = stores(page)["tests"]
    assert test["done"]
    page.reload()
    ready(page)
    page.get_by_text("Tests on this phone").wait_for()
    assert page.locator("#hits li").count() == 0
    page.context.close()


def test_another_day_is_held_against_the_chart_before_it(browser: Any, host: Host) -> None:
    page, _asked = first_visit(browser, host)
    new_bucket(page, host)
    hit(page, CARRIES)
    kept(page, 16)
    page.clock.set_system_time("2027-03-09T10:00:00")
    later = new_bucket(page, host, "lark fenn ")
    hit(page, {shot: [round(one * 0.85) for one in numbers] for shot, numbers in CARRIES.items()})
    kept(page, 32)
    page.goto(f"{host.address}recheck.html#{later}")
    page.get_by_text("It moved", exact=True).wait_for()
    assert page.locator("#lines li").count() >= 2
    page.context.close()


def test_a_copy_goes_to_another_phone_once_and_is_erased_on_the_first(browser: Any, host: Host, tmp_path: Path) -> None:
    page, _asked = first_visit(browser, host)
    new_bucket(page, host)
    hit(page, CARRIES)
    kept(page, 16)
    page.goto(f"{host.address}copy.html")
    ready(page)
    with page.expect_download() as waiting:
        page.click("#save-file")
    file = tmp_path / "copy.json"
    waiting.value.save_as(file)
    told = json.loads(file.read_text(encoding="utf-8"))
    assert [len(one["balls"]) for one in told["buckets"]] == [16]
    assert broken_rules(page) == []

    other, _asked = first_visit(browser, host)
    other.goto(f"{host.address}copy.html")
    ready(other)
    other.set_input_files("#bring", file)
    other.get_by_text("Balls: 16 new, 0 changed, 0 already here.").wait_for()
    other.set_input_files("#bring", file)
    other.get_by_text("Balls: 0 new, 0 changed, 16 already here.").wait_for()
    told["buckets"][0]["balls"][0] |= {"carry": 29, "edits": 1}
    file.write_text(json.dumps(told), encoding="utf-8")
    other.set_input_files("#bring", file)
    other.get_by_text("Balls: 0 new, 1 changed, 15 already here.").wait_for()
    found = stores(other)
    assert len(found["balls"]) == 16
    assert len(found["buckets"]) == 1
    assert sorted(ball["carry"] for ball in found["balls"]).count(29) == 1
    file.write_text("{}", encoding="utf-8")
    other.set_input_files("#bring", file)
    other.get_by_text("copy.json is not a copy of a phone.").wait_for()
    other.context.close()

    page.click("#erase")
    page.get_by_text("16 balls, their buckets and tests on this phone will be erased for good.").wait_for()
    page.click("#erase-now")
    page.get_by_text("Nothing that began on this phone is here.").wait_for()
    assert all(not rows for rows in stores(page).values())
    page.context.close()


def test_a_newer_version_says_so_and_loses_no_ball(browser: Any, host: Host, monkeypatch: pytest.MonkeyPatch) -> None:
    page, _asked = first_visit(browser, host)
    bucket = new_bucket(page, host)
    hit(page, CARRIES)
    kept(page, 16)
    from threequarter.web import site

    monkeypatch.setattr(site, "IN_PAGE", site.IN_PAGE + "; object-src 'none'")
    write_site(host.folder)
    page.reload()
    page.get_by_text("A newer version is here.").wait_for()
    assert page.locator("meta[content*=object-src]").count() == 0
    page.get_by_role("button", name="Open it").click()
    page.locator("meta[content*=object-src]").wait_for(state="attached")
    ready(page)
    page.get_by_text("16 balls, all saved on this phone.").wait_for()
    assert str(page.url).endswith(f"#{bucket}")
    page.context.close()


def test_a_file_that_the_host_changed_is_not_taken(browser: Any, host: Host) -> None:
    page = browser.new_context(viewport=PHONE).new_page()
    script = next(host.folder.glob("static/*/texts.js"))
    script.write_text(script.read_text(encoding="utf-8") + "\n// changed by the host", encoding="utf-8")
    page.goto(host.address)
    page.get_by_text("Not kept on this phone yet").wait_for()
    page.wait_for_timeout(1500)
    assert page.locator("text=works without a signal").count() == 0
    page.context.close()


def test_two_tabs_of_one_bucket_keep_every_ball(browser: Any, host: Host) -> None:
    page, _asked = first_visit(browser, host)
    bucket = new_bucket(page, host)
    other = page.context.new_page()
    other.goto(f"{host.address}keys.html#{bucket}")
    ready(other)
    for k in range(5):
        for tab, carry in ((page, 40 + k), (other, 60 + k)):
            tab.keyboard.type(str(carry))
            tab.keyboard.press("Enter")
    kept(page, 10)
    found = stores(page)["balls"]
    assert sorted(ball["carry"] for ball in found) == [*range(40, 45), *range(60, 65)]
    assert len({ball["key"] for ball in found}) == 10
    for tab in (page, other):
        tab.reload()
        tab.get_by_text("10 balls, all saved on this phone.").wait_for()
    page.context.close()


NO_ROOM = """() => {
  const put = IDBObjectStore.prototype.put;
  window.room = () => { IDBObjectStore.prototype.put = put; };
  IDBObjectStore.prototype.put = () => { throw new DOMException("full", "QuotaExceededError"); };
}"""


def test_a_full_phone_says_so_and_keeps_what_was_kept(browser: Any, host: Host) -> None:
    page, _asked = first_visit(browser, host)
    new_bucket(page, host)
    hit(page, {("54", "waist"): (41, 42)})
    kept(page, 2)
    page.evaluate(NO_ROOM)
    page.keyboard.type("43")
    page.keyboard.press("Enter")
    page.get_by_text("This phone has no room left").wait_for()
    page.get_by_text("3 balls").first.wait_for()
    page.evaluate("room()")
    page.keyboard.type("44")
    page.keyboard.press("Enter")
    until(page, f"({STORES}).then((found) => found.balls.some((ball) => ball.carry === 44))")
    assert {41, 42, 44} <= {ball["carry"] for ball in stores(page)["balls"]}
    page.context.close()


def test_a_browser_that_deleted_the_bucket_is_told(browser: Any, host: Host) -> None:
    page, _asked = first_visit(browser, host)
    bucket = new_bucket(page, host)
    where = page.url
    page.goto("about:blank")
    session = page.context.new_cdp_session(page)
    told = {"origin": f"http://127.0.0.1:{host.port}", "storageTypes": "indexeddb,local_storage"}
    session.send("Storage.clearDataForOrigin", told)
    assert bucket in where
    page.goto(where)
    page.get_by_text("That bucket is not on this phone").wait_for()
    page.context.close()


def test_a_browser_that_keeps_nothing_says_so_before_a_ball_is_typed(browser: Any, host: Host) -> None:
    page, _asked = first_visit(browser, host)
    bucket = new_bucket(page, host)
    spoil = """const open = IDBFactory.prototype.open;
        IDBFactory.prototype.open = function (name, ...more) {
            if (name === "threequarter") throw new DOMException("refused", "SecurityError");
            return open.call(this, name, ...more);
        };"""
    page.add_init_script(spoil)
    page.goto("about:blank")
    page.goto(f"{host.address}keys.html#{bucket}")
    ready(page)
    page.get_by_text("This browser forgets everything when the page closes").wait_for()
    page.context.close()


def test_a_clock_wrong_by_a_year_loses_no_ball(browser: Any, host: Host) -> None:
    page, _asked = first_visit(browser, host)
    page.clock.set_system_time("2031-01-01T10:00:00")
    new_bucket(page, host)
    hit(page, {("54", "waist"): (41, 42)})
    kept(page, 2)
    page.clock.set_system_time("2029-12-31T10:00:00")
    hit(page, {("54", "waist"): (43, 44)})
    kept(page, 4)
    page.reload()
    page.get_by_text("4 balls, all saved on this phone.").wait_for()
    order = sorted(stores(page)["balls"], key=lambda ball: ball["n"])
    assert [ball["carry"] for ball in order] == [41, 42, 43, 44]
    page.context.close()


def test_parts_that_are_loaded_later_work_without_a_signal(browser: Any, host: Host) -> None:
    page, _asked = first_visit(browser, host)
    host.end()
    bucket = new_bucket(page, host)
    page.get_by_text("Kept on this phone: works without a signal").wait_for()
    loaded = "performance.getEntriesByType('resource').filter((one) => /mending|measuring/.test(one.name)).length"
    assert page.evaluate(loaded) == 0
    hit(page, {("54", "waist"): (41, 42)})
    kept(page, 2)
    page.get_by_role("button", name="Correct: 54 waist 42 yd").click()
    page.keyboard.press("Backspace")
    page.keyboard.type("5")
    page.get_by_role("button", name="Save the change").click()
    page.get_by_text("Corrected: 54 waist 45 yd").wait_for()
    page.get_by_text("How the distance was measured").click()
    page.get_by_label("the middle of a pile").check()
    page.get_by_text("the middle of 10 balls").wait_for()
    page.reload()
    ready(page)
    page.get_by_text("the middle of 10 balls").wait_for()
    for name in ("chart", "round", "practice", "recheck", "copy"):
        page.goto(f"{host.address}{name}.html#{bucket}")
        ready(page)
    assert sorted(ball["carry"] for ball in stores(page)["balls"]) == [41, 45]
    page.context.close()


def test_a_child_is_stopped_after_a_childs_balls_on_keys_and_in_practice(browser: Any, host: Host) -> None:
    page, _asked = first_visit(browser, host)
    bucket = new_bucket(page, host)
    page.get_by_text("Blocks or random order").click()
    page.get_by_label("For a child: at most 60 balls a day").check()
    until(page, "localStorage.getItem('by') === 'device'")  # the part that keeps the choices is there
    page.evaluate("localStorage.setItem('pile', '18'); localStorage.setItem('by', 'pile')")
    page.reload()
    ready(page)
    hit(page, {("54", "waist"): (41, 42), ("54", "chest"): (60,)})
    kept(page, 3)
    until(page, "!document.getElementById('until').textContent.includes('Stop here')")
    page.goto(f"{host.address}practice.html#{bucket}")
    ready(page)
    page.locator("#test").wait_for()
    until(page, f"({STORES}).then((found) => found.tests[0].calls.length === 6)")
    page.goto(f"{host.address}keys.html#{bucket}")
    ready(page)
    hit(page, {("58", "waist"): (35,)})
    page.get_by_text("72 balls hit: enough for a child today. Stop here.").wait_for()
    assert not page.locator("#advice").is_visible()
    page.goto(f"{host.address}practice.html?game=row#{bucket}")
    ready(page)
    page.get_by_text("enough for a child today. Stop here.").wait_for()
    page.context.close()


def test_what_the_browser_threw_away_is_fetched_again_before_anything_is_claimed(browser: Any, host: Host) -> None:
    page, _asked = first_visit(browser, host)
    page.evaluate(
        "caches.keys().then((names) => Promise.all(names.map(async (name) => {"
        " const cache = await caches.open(name); for (const one of (await cache.keys()).slice(3)) await cache.delete(one); })))"
    )
    page.reload()
    page.get_by_text("Kept on this phone: works without a signal").wait_for()
    host.end()
    bucket = new_bucket(page, host)
    hit(page, {("54", "waist"): (41, 42)})
    kept(page, 2)
    page.goto(f"{host.address}chart.html#{bucket}")
    page.get_by_text("Computed on this phone from the 2 balls it has").wait_for()
    page.context.close()


@pytest.mark.parametrize("how", ["private", "full"])
def test_a_phone_where_no_bucket_can_be_kept_says_so_at_the_start(browser: Any, host: Host, how: str) -> None:
    page, _asked = first_visit(browser, host)
    spoil = {
        "private": "IDBFactory.prototype.open = () => { throw new DOMException('refused', 'SecurityError'); };",
        "full": "IDBObjectStore.prototype.put = () => { throw new DOMException('full', 'QuotaExceededError'); };",
    }
    page.add_init_script(spoil[how])
    page.reload()
    page.fill("#player", "Lark Fenn")
    page.get_by_role("button", name="Start").click()
    page.get_by_text("The bucket did not start").wait_for()
    assert page.input_value("#player") == "Lark Fenn"
    page.context.close()


def test_two_tabs_of_one_test_write_over_no_ball(browser: Any, host: Host) -> None:
    page, _asked = first_visit(browser, host)
    bucket = new_bucket(page, host)
    hit(page, CARRIES)
    kept(page, 16)
    page.goto(f"{host.address}practice.html#{bucket}")
    ready(page)
    other = page.context.new_page()
    other.goto(page.url)
    ready(other)
    for tab, ended in ((page, 33), (other, 35)):
        tab.keyboard.type(str(ended))
        tab.keyboard.press("Enter")
        tab.wait_for_timeout(300)
    other.get_by_text("This test went on in another tab.").wait_for()
    page.keyboard.type("36")
    page.keyboard.press("Enter")
    until(page, f"({STORES}).then((found) => found.tests[0].calls[1].ended === 36)")
    assert [call["ended"] for call in stores(page)["tests"][0]["calls"][:2]] == [33, 36]
    other.reload()
    ready(other)
    assert other.locator("#hits li").count() == 2
    page.context.close()
