"""The bucket page when everything goes wrong: every ball once, and what became of it is said."""

import os
import random
import signal
from pathlib import Path
from typing import Any

import psutil
import pytest

from browser_support import ARGS, CHROMIUM, PHONE, Server
from bucket_support import (
    PATIENT_MS,
    WORKER_IS_ACTIVE,
    all_kept,
    begin,
    count,
    in_store,
    opened,
    phone,
    ready,
    type_in,
    until,
    yards,
)
from threequarter.store.balls.phone_balls import PhoneBalls
from threequarter.store.database.schema import SessionRow
from threequarter.store.store import Store

WEATHER = """
let seed = %d + 1; const luck = () => { seed = (seed * 48271) %% 2147483647; return seed / 2147483647; };
const real = window.fetch; const pause = (ms) => new Promise((done) => setTimeout(done, ms));
window.fetch = async (path, options) => {
  if (!window.calm && options && options.method === "POST") {
    const found = luck();
    if (found < 0.2) throw new TypeError("never went out");
    if (found < 0.4) { await real(path, options); throw new TypeError("came, but the answer was lost"); }
    if (found < 0.5) await real(path, options);
    if (found < 0.7) await pause(900 * luck());
  }
  return real(path, options);
};"""
"""What the network does to a page, the same for the same page: cuts before and after, doubles, delays."""


def test_four_pages_type_eighty_balls_through_cuts_doubles_and_reorder(server: Server, browser: Any) -> None:
    rng = random.Random(4)
    first = phone(browser)
    where = begin(first, server.address)
    pages = [first, *(phone(browser) for _ in range(3))]
    for which, page in enumerate(pages):
        page.add_init_script(WEATHER % which)
        opened(page, where)
    expected = []
    for turn in range(20):
        for which, page in enumerate(rng.sample(pages, 4)):
            carry = f"{30 + turn % 40}.{which + 1}"
            page.keyboard.type(carry)
            page.keyboard.press("Enter")
            expected.append(float(carry))
    for page in pages:
        until(page, in_store("BallStore.all().then((all) => all.length === 20)"))
        page.evaluate("window.calm = true")
        page.evaluate("window.dispatchEvent(new Event('online'))")
        all_kept(page, 20)
        page.context.close()
    assert sorted(yards(server.data)) == sorted(expected)


@pytest.mark.slow
def test_a_browser_killed_after_every_key_loses_at_most_the_number_being_typed(
    tmp_path: Path, server: Server, play: Any
) -> None:
    profile = tmp_path / "phone"
    begun = play.chromium.launch(executable_path=CHROMIUM, args=ARGS)
    where = begin(phone(begun), server.address)
    begun.close()
    server.kill()  # nothing leaves the phone
    server.start()
    whole = 0
    keys = ["4", "Enter", "4"]
    for pressed in range(1, len(keys) + 1):
        context = play.chromium.launch_persistent_context(
            str(profile), executable_path=CHROMIUM, args=ARGS, viewport=PHONE
        )
        page = context.pages[0]
        page.route("**/api/**", lambda route: route.abort())
        opened(page, where)
        assert count(page) == whole
        if whole:
            says = "1 earlier ball was brought back" if whole == 1 else f"{whole} earlier balls were brought back"
            page.get_by_text(says).wait_for()
        for key in keys[:pressed]:
            page.keyboard.press(key)
            if key == "Enter":
                whole += 1
                until(page, f"document.getElementById('list').children.length === {whole}")  # the page says: kept
        _kill_browser(profile)
    context = play.chromium.launch_persistent_context(str(profile), executable_path=CHROMIUM, args=ARGS, viewport=PHONE)
    page = context.pages[0]
    opened(page, where)
    all_kept(page, whole)
    context.close()
    assert yards(tmp_path) == [4.0, 4.0]


def _kill_browser(profile: Path) -> None:
    """Ends, with -9, the browser that this test started on its own profile."""
    for process in psutil.process_iter(["cmdline"]):
        if any(str(profile) in part for part in process.info["cmdline"] or ()):
            os.kill(process.pid, signal.SIGKILL)
    gone = [
        one
        for one in psutil.process_iter(["cmdline"])
        if any(str(profile) in part for part in one.info["cmdline"] or ())
    ]
    psutil.wait_procs(gone, timeout=300)
    (profile / "SingletonLock").unlink(missing_ok=True)


def test_a_deleted_session_is_told_and_its_balls_go_to_another(server: Server, browser: Any) -> None:
    page = phone(browser)
    where = begin(page, server.address)
    type_in(page, "41")
    all_kept(page, 1)
    with Store.open(server.data) as store:
        other = PhoneBalls(store).begin("Ida Fern")
        with store.writing() as session:
            row = session.get(SessionRow, 1)
            assert row is not None
            row.binned_at = row.made_at  # another phone put it in the bin
    type_in(page, "43", "44")
    page.get_by_text("The day was deleted. The balls stay on this phone").first.wait_for()
    until(page, "document.getElementById('gone-to').options.length > 0")
    page.goto(f"{server.address}/players")  # every page says what waits
    page.get_by_text("2 balls wait on this phone").wait_for()
    opened(page, where)
    page.select_option("#gone-to", str(other))
    page.click("#gone-send")
    page.wait_for_url(f"**/bucket/{other}")
    ready(page)
    all_kept(page, 3)
    page.goto(f"{server.address}/bucket/waiting")
    page.get_by_text("Nothing is waiting on this phone").wait_for()
    page.context.close()
    assert sorted(yards(server.data, other)) == [41.0, 43.0, 44.0]  # all of this phone's; the trash keeps its own


def test_what_waits_for_a_session_erased_for_good_can_be_sent_elsewhere(server: Server, browser: Any) -> None:
    page = phone(browser)
    begin(page, server.address)
    page.route("**/api/sessions/*/balls", lambda route: route.abort())
    type_in(page, "41", "43")
    page.unroute_all()
    with Store.open(server.data) as store:
        other = PhoneBalls(store).begin("Ida Fern")
    page.evaluate(
        in_store("BallStore.all().then((all) => BallStore.put(...all.map((ball) => ({ ...ball, session: 77 }))))")
    )
    page.goto(f"{server.address}/")
    page.get_by_role("link", name="2 balls wait on this phone").click()
    page.get_by_text("Day 77: The day was deleted").wait_for()
    page.get_by_role("button", name="Delete: 54 waist 43 yd").click()
    page.locator("#waiting select").select_option(str(other))
    page.get_by_role("button", name="Send them there").click()
    page.get_by_text("1 ball goes to Ida Fern").wait_for()
    until(page, "document.getElementById('waiting').children.length === 0")
    page.context.close()
    assert yards(server.data, other) == [41.0]


def test_a_refused_ball_keeps_its_reason_until_it_is_mended_deleted_or_saved(server: Server, browser: Any) -> None:
    page = phone(browser)
    begin(page, server.address)
    page.evaluate(
        in_store("""(async () => { for (const [n, carry] of [[1, 900], [2, 901], [3, 902]]) await BallStore.put({ key: BallStore.newKey(), session: 1, n,
        at: Date.now(), club: "54", swing: "waist", carry, unit: "yd", strike: null, by: "device", rev: 0, told: 0, tried: false, sent: false, back: false,
        why: "", base: null }); })()""")
    )
    type_in(page, "41")
    page.get_by_text("3 were refused: No wedge carries 902 yd.").wait_for()
    page.reload()
    ready(page)
    page.get_by_text("No wedge carries 901 yd.").first.wait_for()
    with page.expect_download() as saved:
        page.get_by_role("button", name="Save it as a file: 54 waist 902 yd").click()
    assert b"902" in Path(saved.value.path()).read_bytes()
    page.get_by_role("button", name="Delete: 54 waist 902 yd").click()
    page.get_by_role("button", name="Correct: 54 waist 901 yd").click()
    for _ in range(3):
        page.click("[data-key=back]")
    page.keyboard.type("39")
    page.get_by_role("button", name="Save the change").click()
    page.get_by_text("1 was refused: No wedge carries 900 yd.").wait_for()
    until(page, in_store("BallStore.all().then((all) => all.filter((ball) => ball.sent).length === 2)"))
    page.context.close()
    assert sorted(yards(server.data)) == [39.0, 41.0]


def test_a_conflict_and_a_double_are_shown_with_both_and_settled_by_a_tap(server: Server, browser: Any) -> None:
    page, other = phone(browser), phone(browser)
    where = begin(page, server.address)
    type_in(page, "41", "44")
    all_kept(page, 2)
    opened(other, where)
    type_in(other, "41")
    other.evaluate(
        """fetch("/api/sessions/1/balls", { method: "POST", headers: { "content-type": "application/json" }, body: JSON.stringify({ balls: [
        { key: "a-key-of-its-own", club: "58", swing: "chest", carry: 50, unit: "yd" }, { key: "a-key-of-its-own", club: "58", swing: "chest", carry: 51, unit: "yd" }] }) })"""
    )
    other.reload()
    ready(other)
    other.get_by_role("link", name="2 things to check").wait_for()
    other.get_by_text("54 waist 41 yd was typed on two phones").wait_for()
    other.get_by_role("button", name="One ball").click()
    other.get_by_role("link", name="1 thing to check").wait_for()
    other.get_by_role("button", name="58 chest 51 yd").click()
    until(other, "document.getElementById('look-at').hidden")
    for one in (page, other):
        one.context.close()
    assert sorted(yards(server.data)) == [41.0, 44.0, 51.0]


REFUSING = {
    "private": "window.indexedDB.open = () => { throw new DOMException('no', 'SecurityError'); };",
    "full": "IDBObjectStore.prototype.put = () => { throw new DOMException('full', 'QuotaExceededError'); };",
}


@pytest.mark.parametrize("how", REFUSING)
def test_a_phone_that_keeps_nothing_says_so_and_sends_at_once(server: Server, browser: Any, how: str) -> None:
    page = phone(browser)
    page.add_init_script(REFUSING[how])
    begin(page, server.address)
    page.keyboard.type("41")
    page.keyboard.press("Enter")
    all_kept(page, 1)
    page.get_by_text("forgets everything when the page closes" if how == "private" else "has no room left").wait_for()
    page.context.close()
    assert yards(server.data) == [41.0]


@pytest.mark.parametrize("year", [1970, pytest.param(2029, marks=pytest.mark.long)])
def test_a_wrong_clock_changes_nothing_but_the_age(server: Server, browser: Any, year: int) -> None:
    right, wrong = phone(browser), phone(browser)
    where = begin(right, server.address)
    wrong.add_init_script(
        f"const real = Date.now; const start = real(); Date.now = () => Date.UTC({year}, 0, 2) + real() - start;"
    )
    opened(wrong, where)
    type_in(right, "41")
    all_kept(right, 1)
    type_in(wrong, "43", "44")
    all_kept(wrong, 2)
    type_in(right, "45")
    all_kept(right, 2)
    wrong.route("**/api/**", lambda route: route.abort())
    type_in(wrong, "46")
    wrong.evaluate(f"Date.now = () => Date.UTC({year + 30}, 0, 2)")  # the clock is set while the ball waits
    wrong.reload()
    ready(wrong)
    wrong.unroute_all()
    wrong.evaluate("window.dispatchEvent(new Event('online'))")
    all_kept(wrong, 3)
    for one in (right, wrong):
        one.context.close()
    assert yards(server.data) == [41.0, 43.0, 44.0, 45.0, 46.0]


def test_hasty_fingers_make_no_ball_twice_and_no_ball_of_nonsense(server: Server, browser: Any) -> None:
    page = phone(browser)
    where = begin(page, server.address)
    page.keyboard.type("41")
    page.evaluate(
        "document.getElementById('save').click(); document.getElementById('save').click();"
    )  # two taps at once
    all_kept(page, 1)
    for nonsense, says in (
        (".", "Type the carry first"),
        ("0", "is not a carry"),
        ("1000", "is further than a wedge goes"),
        ("", "Type the carry first"),
    ):
        page.keyboard.type(nonsense)
        page.click("#save")
        page.get_by_text(says).wait_for()
        for _ in range(4):
            page.keyboard.press("Backspace")
    page.keyboard.type("4.")  # half typed: four yards, as it stands
    page.click("#save")
    all_kept(page, 2)
    page.keyboard.type("12345")  # a fifth digit is not taken
    assert page.inner_text("#typed").strip() == "1234"
    page.goto(f"{server.address}/players")
    page.go_back()
    ready(page)
    assert page.url == where
    all_kept(page, 2)
    page.context.close()
    assert yards(server.data) == [41.0, 4.0]


def test_a_phone_let_in_no_more_keeps_its_balls_and_forgets_the_pages(server: Server, browser: Any) -> None:
    page = phone(browser)
    begin(page, server.address)
    until(page, WORKER_IS_ACTIVE)
    page.reload()
    ready(page)
    seen = "caches.open('threequarter-seen').then((cache) => cache.keys()).then((keys) => keys.length)"
    until(page, f"{seen}.then((count) => count > 0)")
    page.context.route(
        "**/api/sessions/*/balls", lambda route: route.fulfill(status=403, body="This phone is not paired.")
    )
    type_in(page, "41")
    page.get_by_text("This phone is no longer let in. The balls stay here").wait_for()
    assert page.get_by_role("link", name="Pair it again").get_attribute("href") == "/pair"
    until(page, f"{seen}.then((count) => count === 0)")
    assert count(page) == 1
    page.context.close()


@pytest.mark.parametrize(
    ("status", "says", "link"),
    [(401, "You are signed out. The balls stay on this phone", "Sign in"), (403, "Your account may not do that.", "")],
)
def test_an_account_that_is_out_or_may_not_is_told_and_the_balls_stay(
    server: Server, browser: Any, status: int, says: str, link: str
) -> None:
    page = phone(browser)
    begin(page, server.address)
    page.route(
        "**/api/sessions/*/balls",
        lambda route: route.fulfill(status=status, json={"detail": "Your account may not do that."}),
    )
    type_in(page, "41")
    page.get_by_text(says).wait_for()
    assert page.locator("#notice a").count() == bool(link)
    assert count(page) == 1
    page.context.close()


NAMES = {
    "emoji": "🦊⛳ Fern",
    "long": "Wilhelmina " * 27,
    "right to left": "\u200f\u0646\u0648\u0631 \u0627\u0644\u0647\u062f\u0649",
    "hostile": "<img src=x onerror=alert(1)>",
}


@pytest.mark.parametrize("kind", NAMES)
def test_any_name_leaves_the_keys_where_they_are(server: Server, browser: Any, kind: str) -> None:
    page = phone(browser)
    page.on("dialog", lambda dialog: pytest.fail("a name was run"))
    begin(page, server.address, player=NAMES[kind][:300])
    assert page.inner_text("h1").strip()[:4] == NAMES[kind].strip()[:4]
    save = page.locator("#save").bounding_box()
    assert save["y"] + save["height"] <= 844
    assert page.locator("[data-key='7']").bounding_box()["y"] >= 422
    assert page.evaluate("document.documentElement.scrollWidth") <= 390
    page.context.close()


def test_the_server_full_or_busy_is_quoted_and_asked_again(server: Server, browser: Any) -> None:
    page = phone(browser)
    begin(page, server.address)
    page.route("**/api/sessions/*/balls", lambda route: route.fulfill(status=507, json={"detail": "The disk is full."}))
    type_in(page, "41")
    page.get_by_text("The server said: The disk is full.").wait_for()
    page.unroute_all()
    page.get_by_text("1 ball typed here, safe on the server").wait_for(timeout=PATIENT_MS)
    page.context.close()
    assert yards(server.data) == [41.0]
