"""The second step in a real Chromium: switched on from the page, asked for at the next sign-in, a recovery code in its
place."""

import base64
import datetime
import time
from typing import Any

import pytest
from cryptography.hazmat.primitives.hashes import SHA1
from cryptography.hazmat.primitives.twofactor.totp import TOTP
from playwright.sync_api import sync_playwright
from tests.browser.test_accounts import GOOD, PATIENCE_MS, first_link, shown
from tests.browser_support import ARGS, CHROMIUM, Server

pytestmark = pytest.mark.slow


def now_step() -> int:
    return int(time.time()) // 30


def shown_by_app(secret: str) -> str:
    now = datetime.datetime.now(datetime.UTC).timestamp()
    return TOTP(base64.b32decode(secret), 6, SHA1(), 30).generate(int(now)).decode()


def test_switched_on_asked_for_and_a_recovery_code_in_its_place(server: Server) -> None:
    home = f"http://localhost:{server.port}"
    with sync_playwright() as play:
        chromium = play.chromium.launch(executable_path=CHROMIUM, args=ARGS)
        page = chromium.new_page()
        page.set_default_timeout(PATIENCE_MS)
        page.goto(first_link(server))
        page.fill("#password", GOOD)
        page.fill("#again", GOOD)
        page.click("main button[type=submit]")
        page.wait_for_url("**/account?new=1")
        page.click("text=Switch it on")
        page.wait_for_url("**/account/second-step")
        shown(page, "second-step")
        secret = page.inner_text("code.secret").replace(" ", "")
        assert page.get_attribute("main a[href^='otpauth:']", "href").count(secret) == 1
        page.fill("#code", "000000")
        page.keyboard.press("Enter")
        page.wait_for_selector("[role=alert]")
        page.fill("#code", shown_by_app(secret))
        used = now_step()
        page.keyboard.press("Enter")
        page.wait_for_selector(".codes")
        codes = page.locator(".codes code").all_inner_texts()
        assert len(codes) == 10
        assert page.locator("#print").is_visible()
        shown(page, "recovery-codes")
        page.click("text=I have them")
        shown(page, "account-second")
        _sign_in(page, home)
        shown(page, "second")
        page.fill("#code", codes[0])
        page.keyboard.press("Enter")
        page.wait_for_url(f"{home}/")
        _sign_in(page, home)
        while now_step() == used:  # the code of that half minute was taken
            time.sleep(0.5)
        page.fill("#code", shown_by_app(secret))
        page.keyboard.press("Enter")
        page.wait_for_url(f"{home}/")
        page.goto(f"{home}/account/second-step")
        shown(page, "second-step-on")
        page.fill("#code", codes[1])
        page.click("text=Switch the second step off")
        page.wait_for_url("**/account?second=off")
        chromium.close()


def _sign_in(page: Any, home: str) -> None:
    page.context.clear_cookies()
    page.goto(f"{home}/sign-in")
    page.fill("#name", "Kim Fescue")
    page.fill("#password", GOOD)
    page.keyboard.press("Enter")
    page.wait_for_url("**/sign-in/second**")
