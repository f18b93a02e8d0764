"""Signing in in a real Chromium: a first account from its link, a passkey made and used (virtual authenticator), pages
for phone and laptop."""

import os
import subprocess
import sys
from typing import Any

import pytest
from playwright.sync_api import sync_playwright
from tests.browser_support import ARGS, CHROMIUM, LAPTOP, PHONE, Server, broken_rules

pytestmark = pytest.mark.slow
GOOD = "mossy gate under lantern"
PICTURES = os.environ.get("PICTURES")
PATIENCE_MS = 120_000


def first_link(server: Server) -> str:
    """What the command prints for the first head."""
    address = f"http://localhost:{server.port}"
    command = [
        sys.executable,
        "-m",
        "threequarter",
        "account",
        "add-head",
        "Kim Fescue",
        "--address",
        address,
        "--data",
        str(server.data),
    ]
    return subprocess.run(command, capture_output=True, text=True, check=True).stdout.split()[-1]


def shown(page: Any, name: str) -> None:
    """Looked at for access on phone and laptop; kept as a picture where asked."""
    for size, view in (("phone", PHONE), ("laptop", LAPTOP)):
        page.set_viewport_size(view)
        assert broken_rules(page) == [], (name, size)
        if PICTURES:
            page.screenshot(path=f"{PICTURES}/{name}-{size}.png", full_page=True)


def test_from_the_first_link_to_a_passkey_and_back_in_with_it(server: Server) -> None:
    link = first_link(server)
    with sync_playwright() as play:
        chromium = play.chromium.launch(executable_path=CHROMIUM, args=ARGS)
        page = chromium.new_page()
        page.set_default_timeout(PATIENCE_MS)
        devtools = page.context.new_cdp_session(page)
        devtools.send("WebAuthn.enable")
        options = {
            "protocol": "ctap2",
            "transport": "internal",
            "hasResidentKey": True,
            "hasUserVerification": True,
            "isUserVerified": True,
            "automaticPresenceSimulation": True,
        }
        device = devtools.send("WebAuthn.addVirtualAuthenticator", {"options": options})["authenticatorId"]
        page.goto(link)
        shown(page, "invitation")
        page.fill("#password", GOOD)
        page.fill("#again", GOOD)
        page.click("main button[type=submit]")
        page.wait_for_url("**/account?new=1")
        page.fill("#key-name", "range laptop")
        page.click("#new-passkey button")
        page.wait_for_url("**/account?passkey=1")
        assert "range laptop" in page.inner_text("main")
        shown(page, "account")
        page.goto(f"http://localhost:{server.port}/people")
        page.click("summary:has-text('A new coach')") if not page.locator("#coach-name").is_visible() else None
        page.fill("#coach-name", "Ash Marram")
        page.locator("form:has(#coach-name) button").click()
        page.wait_for_selector("#link")
        shown(page, "made-link")
        coach_link = page.input_value("#link")
        page.goto(f"http://localhost:{server.port}/people")
        shown(page, "people")
        page.goto(f"http://localhost:{server.port}/audit")
        assert "made an account" in page.inner_text("main")
        shown(page, "audit")
        page.goto(f"http://localhost:{server.port}/films-ending")
        shown(page, "films-ending")
        page.click(".who button")
        page.wait_for_url("**/sign-in?out=1")
        shown(page, "sign-in")
        page.click("#by-passkey button")
        page.wait_for_url(f"http://localhost:{server.port}/")
        assert "Kim Fescue" in page.inner_text("header")
        page.click(".who button")
        page.wait_for_url("**/sign-in?out=1")
        devtools.send("WebAuthn.setUserVerified", {"authenticatorId": device, "isUserVerified": False})
        page.click("#by-passkey button")  # the finger is not the one: the device refuses, or we do
        page.wait_for_selector("#passkey-says:not(:empty)")
        assert "/sign-in" in page.url
        _coach_and_guardian(page, server, coach_link)
        chromium.close()


def _coach_and_guardian(page: Any, server: Server, coach_link: str) -> None:
    """A coach takes the invitation, opens the demo, lets a guardian in, shares a report; the guardian sees the child
    and takes consent back."""
    home = f"http://localhost:{server.port}"
    page.goto(coach_link)
    page.fill("#password", "wet boots by the stove")
    page.fill("#again", "wet boots by the stove")
    page.click("main button[type=submit]")
    page.wait_for_url("**/account?new=1")
    page.goto(home)
    page.click("text=Open the demo")
    page.wait_for_selector("table.matrix")
    session = f"{home}/sessions/1"
    page.goto(f"{home}/players")
    shown(page, "coach-players")
    page.goto(f"{session}/report")
    page.select_option("#share-what", "card")
    page.click("text=Make a link")
    page.wait_for_selector("#link")
    assert "/shared/" in page.input_value("#link")
    page.goto(f"{session}/report")
    assert "open until" in page.inner_text("#main")
    shown(page, "report-links")
    page.goto(f"{home}/people")
    page.select_option("#o-role", "guardian")
    page.fill("#o-name", "Pat Sedge")
    page.locator("form:has(#o-name) button").click()
    page.wait_for_selector("#link")
    guardian_link = page.input_value("#link")
    page.goto(f"{home}/people")
    shown(page, "coach-people")
    page.goto(guardian_link)
    page.fill("#password", "three spoons of honey")
    page.fill("#again", "three spoons of honey")
    page.click("main button[type=submit]")
    page.wait_for_url("**/account?new=1")
    page.goto(home)
    shown(page, "guardian-start")
    page.goto(f"{home}/players")
    page.click("main ul.sessions a >> nth=0")
    shown(page, "guardian-player")
    page.goto(page.url.split("?")[0].split("#")[0] + "/consent")
    shown(page, "consent")
    assert page.goto(f"{home}/people").status == 403
