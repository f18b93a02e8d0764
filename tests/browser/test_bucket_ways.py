"""What the bucket page can do besides a number: mend, repeat, move, order, guess, side, and each way to measure."""

import itertools
import re
from typing import Any

import pytest

from browser_support import Server
from bucket_support import all_kept, begin, in_store, kept, opened, phone, ready, type_in, until, yards
from threequarter.golf.ball import MeasuredAs, MeasuredBy, Strike
from threequarter.golf.units import YARD_M


def choose(page: Any, summary: str, *labels: str) -> None:
    """Opens a part below the keys and chooses in it."""
    page.get_by_text(summary, exact=True).click()
    for label in labels:
        page.get_by_label(label).check()


def settled(page: Any) -> None:
    """Waits until nothing waits."""
    until(page, in_store("BallStore.all().then((all) => all.every((ball) => !BallStore.unsent(ball)))"))


def test_balls_alone_are_one_tap_from_today_and_two_when_they_ended(server: Server, browser: Any) -> None:
    page = phone(browser)
    where = begin(page, server.address).partition("?")[0]
    page.goto(server.address)
    page.get_by_role("link", name=re.compile("Wren Sedge.*On the keys")).click()
    ready(page)
    assert page.url == where
    page.goto(server.address)
    page.get_by_role("link", name=re.compile("^Hit balls")).click()
    page.get_by_role("button", name=re.compile("Wren Sedge")).click()
    ready(page)
    assert page.url == where
    page.context.close()


def test_an_earlier_ball_is_mended_deleted_and_brought_back_sent_or_not(server: Server, browser: Any) -> None:
    page = phone(browser)
    begin(page, server.address)
    type_in(page, "41", "43")
    all_kept(page, 2)
    page.route("**/api/sessions/*/balls", lambda route: route.abort())
    type_in(page, "45", "47")
    for old, new, strike in (("41", "40", "fat"), ("45", "44.5", "thin")):
        page.get_by_role("button", name=f"Correct: 54 waist {old} yd").click()
        page.get_by_text(f"Correcting: 54 waist {old} yd").wait_for()
        assert page.inner_text("#typed").strip() == old
        for _ in old:
            page.click("[data-key=back]")
        page.keyboard.type(new)
        page.click(f"[data-strike={strike}]")
        page.get_by_role("radio", name=re.compile("58 chest")).click()
        page.get_by_role("button", name="Save the change").click()
        page.get_by_text(f"Corrected: 58 chest {new} yd {strike}").wait_for()
    page.get_by_role("button", name="Delete: 54 waist 43 yd").click()
    page.get_by_role("button", name="Delete: 54 waist 47 yd").click()
    page.get_by_role("button", name="Bring back: 54 waist 47 yd").click()
    page.unroute_all()
    page.evaluate("window.dispatchEvent(new Event('online'))")
    settled(page)
    page.get_by_role("button", name="Correct: 54 waist 47 yd").click()
    page.get_by_role("button", name="Cancel").click()
    page.context.close()
    balls = kept(server.data)
    assert sorted((b.club, b.swing, round(b.distance_m / YARD_M, 1), b.strike) for b in balls) == [
        ("54", "waist", 47.0, None),
        ("58", "chest", 40.0, Strike.FAT),
        ("58", "chest", 44.5, Strike.THIN),
    ]


def test_one_key_repeats_the_last_ball_and_one_takes_it_back(server: Server, browser: Any) -> None:
    page = phone(browser)
    begin(page, server.address)
    page.click("#again")
    page.get_by_text("No ball to repeat yet").wait_for()
    type_in(page, "41")
    page.click("#again")
    all_kept(page, 2)
    page.click("#undo")
    page.get_by_text("Undone: 54 waist 41 yd.").wait_for()
    settled(page)
    page.context.close()
    assert yards(server.data) == [41.0]


def test_guess_first_and_left_or_right_go_with_the_ball_and_to_the_players_page(server: Server, browser: Any) -> None:
    page = phone(browser)
    begin(page, server.address)
    choose(page, "Blocks or random order, guess, left and right", "Guess first", "Also how far left or right")
    page.evaluate("scrollTo({ top: 0, behavior: 'instant' })")
    keys = [key.bounding_box() for key in page.locator(".keys button:visible").all()]
    assert len(keys) == 18
    assert all(box["width"] >= 64 and box["height"] >= 64 and box["y"] >= 422 for box in keys)
    page.keyboard.type("45")
    page.get_by_role("button", name="Save the guess").click()
    page.get_by_text("your guess: 45").wait_for()
    page.keyboard.type("42")
    page.click("[data-side=left]")
    page.keyboard.type("3")
    page.click("#save")
    page.get_by_text("You said 45, it was 42.").wait_for()
    settled(page)
    ball = kept(server.data)[0]
    assert ball.guess_m == pytest.approx(45 * YARD_M)
    assert ball.offline_m == pytest.approx(-3 * YARD_M)
    page.goto(f"{server.address}/players/Wren%20Sedge/practise")
    page.get_by_role("heading", name="How well the player knows the distances").wait_for()
    page.get_by_text("1 guess, on average 3.0 yd off").wait_for()
    page.context.close()


def test_random_order_draws_another_shot_each_ball_and_the_same_draws_again(server: Server, browser: Any) -> None:
    page = phone(browser)
    where = begin(page, server.address)
    choose(page, "Blocks or random order, guess, left and right", "random: another shot each ball")
    hit = []
    for _ in range(8):
        hit.append(page.inner_text("#target"))
        type_in(page, "41")
    assert len(set(hit)) == 4
    assert all(a != b for a, b in itertools.pairwise(hit))
    settled(page)
    now = page.inner_text("#target")
    opened(page, where)
    settled(page)
    assert page.inner_text("#target") == now
    page.context.close()
    assert sorted({(b.club, b.swing) for b in kept(server.data)}) == [
        (c, s) for c in ("54", "58") for s in ("chest", "waist")
    ]


def test_blocks_follow_the_advice_by_one_tap_and_any_shot_is_one_tap_away(server: Server, browser: Any) -> None:
    page = phone(browser)
    begin(page, server.address)
    type_in(page, "41", "43", "42", "44", "40")
    all_kept(page, 5)
    page.locator("#advice").wait_for()
    next_shot = page.inner_text("#advice").removeprefix("Next: ")
    page.click("#advice")
    until(page, f"document.getElementById('target').textContent === '{next_shot}'")
    page.get_by_text(re.compile(r"becomes about ±.*with one more")).wait_for()
    page.get_by_text(re.compile(r"\d+ more balls?\b|Good enough")).first.wait_for()
    page.locator(".shots button").nth(3).click()
    until(page, "document.getElementById('target').textContent === '58 chest'")
    assert page.locator(".shots [aria-checked=true]").count() == 1
    another = phone(browser)
    opened(another, page.url)
    until(another, f"document.getElementById('target').textContent === '{next_shot}'")
    another.context.close()
    page.context.close()


def test_paces_with_an_own_step_and_the_middle_of_a_pile(server: Server, browser: Any) -> None:
    page = phone(browser)
    begin(page, server.address)
    choose(page, "How the distance was measured", "paces to the ball")
    page.get_by_text("We take a step as 0.9 m, which is less sure").wait_for()
    page.get_by_label("Paces I took").fill("12")
    page.get_by_label("over how many metres").fill("100")
    page.get_by_text("A step of 8.33 m cannot be right").wait_for()
    page.get_by_label("Paces I took").fill("112")
    page.get_by_text("A step of 0.89 m.").wait_for()
    page.locator("#target").click()  # out of the field
    type_in(page, "50")
    page.get_by_label("the middle of a pile").check()
    for _ in range(2):
        page.get_by_role("button", name="One ball more in the pile").click()
    page.get_by_text("the middle of 12 balls").wait_for()
    page.locator("#target").click()
    type_in(page, "44")
    settled(page)
    page.reload()
    ready(page)
    page.get_by_text("the middle of 12 balls").first.wait_for()  # the way is remembered on the phone
    page.context.close()
    paced, pile = kept(server.data)
    assert (paced.measured_by, paced.measured_as) == (MeasuredBy.PACES, MeasuredAs.REST)
    assert paced.distance_m == pytest.approx(50 * 100 / 112)
    assert (pile.measured_by, pile.count) == (MeasuredBy.PILE, 12)


def test_the_phone_carried_to_the_ball_brings_both_errors(server: Server, browser: Any) -> None:
    context = browser.new_context(
        viewport={"width": 390, "height": 844},
        permissions=["geolocation"],
        geolocation={"latitude": 47.0, "longitude": 8.0, "accuracy": 3},
    )
    page = context.new_page()
    begin(page, server.address)
    assert page.evaluate("fetch(location.href).then((a) => a.headers.get('permissions-policy'))").endswith(
        "geolocation=(self)"
    )
    assert page.evaluate("fetch('/').then((a) => a.headers.get('permissions-policy'))").endswith("geolocation=()")
    choose(page, "How the distance was measured", "this phone, carried to the ball")
    page.get_by_text("never walk out on a live range").wait_for()
    page.click("#at-mat")
    page.get_by_text("Only when nobody plays and the staff agree: tick that box first").wait_for()
    page.get_by_label("Nobody is playing here now, and the staff agree").check()
    page.click("#at-ball")
    page.get_by_text("Mark the mat first").wait_for()
    page.click("#at-mat")
    page.get_by_text("Mat marked, to 3 m").wait_for()
    # a degree of latitude is 111.17 km at 47 N on WGS 84 (geodesic tables, from memory: 111.132 at 45 N, 111.412 at 60
    # N)
    context.set_geolocation({"latitude": 47.0005, "longitude": 8.0, "accuracy": 2})
    page.click("#at-ball")
    page.get_by_text("from the mat, ±").wait_for()
    page.click("#save")
    settled(page)
    context.set_geolocation({"latitude": 47.0001, "longitude": 8.0, "accuracy": 60})
    page.click("#at-ball")
    page.get_by_text("too rough for this distance").wait_for(timeout=120_000)
    context.close()
    (ball,) = kept(server.data)
    assert ball.measured_by is MeasuredBy.POSITION
    assert ball.distance_m == pytest.approx(55.59, abs=0.1)
    assert ball.error_sd_m == pytest.approx(2 / 2.448)
    assert ball.shared_sd_m == pytest.approx(3 / 2.448)
    stored = b"".join(path.read_bytes() for path in server.data.glob("threequarter.db*"))
    assert b"47.000" not in stored  # places stay on the phone


def test_a_phone_that_may_not_tell_where_it_is_says_so(server: Server, browser: Any) -> None:
    page = phone(browser)
    begin(page, server.address)
    choose(page, "How the distance was measured", "this phone, carried to the ball")
    page.get_by_label("Nobody is playing here now").check()
    page.click("#at-mat")
    page.get_by_text("does not let us use its position").wait_for()
    page.context.close()


def test_in_a_clinic_the_player_is_large_one_tap_away_and_wrong_balls_move_in_one_act(
    server: Server, browser: Any
) -> None:
    page = phone(browser)
    page.set_default_timeout(120_000)
    page.goto(f"{server.address}/clinic")
    page.get_by_label("Who is coming").fill("Ida Fern\nMax Birch\nUna Reed")
    page.get_by_role("button", name="Start", exact=True).click()
    page.get_by_role("link", name="Ida Fern").click()
    ready(page)
    assert page.inner_text("h1") == "Ida Fern"
    type_in(page, "41", "43", "60")
    all_kept(page, 3)
    page.get_by_text("Typed for the wrong player?").click()
    page.get_by_label("How many of the last balls").fill("2")
    until(page, "document.getElementById('wrong-to').options.length > 0")
    page.select_option("#wrong-to", label=page.locator("#wrong-to option", has_text="Max Birch").inner_text())
    page.get_by_role("button", name="Give them", exact=True).click()
    page.get_by_text("2 balls given to Max Birch").wait_for()
    page.get_by_role("link", name="Max Birch").click()
    ready(page)
    assert page.inner_text("h1") == "Max Birch"
    all_kept(page, 2)
    page.context.close()
    assert (yards(server.data, 1), yards(server.data, 2)) == ([41.0], [43.0, 60.0])
