"""A phone with the bucket page open: what the tests of that page share."""

import time
from pathlib import Path
from typing import Any, Final

from browser_support import PHONE
from threequarter.golf.ball import Ball
from threequarter.golf.units import YARD_M
from threequarter.store.store import Store

PATIENT_MS: Final = 120_000
"""Machines are loaded: a page may take its time, it may not fail."""
WORKER_IS_ACTIVE: Final = "navigator.serviceWorker.getRegistration().then((found) => Boolean(found && found.active))"
"""Asked again and again: `serviceWorker.ready` of a worker that cannot install never answers, and holds a test for good."""


def begin(
    page: Any, address: str, player: str = "Wren Sedge", clubs: str = "54, 58", swings: str = "waist, chest"
) -> str:
    """A new session; returns its address."""
    page.set_default_timeout(PATIENT_MS)
    page.goto(f"{address}/bucket")
    page.fill("#player", player)
    page.fill("#clubs", clubs)
    page.fill("#swings", swings)
    page.get_by_role("button", name="Start").click()
    ready(page)
    return str(page.url)


def ready(page: Any) -> None:
    """Waits until the page takes keys."""
    page.set_default_timeout(PATIENT_MS)
    page.wait_for_selector("body[data-ready]")


def until(page: Any, says: str) -> None:
    """Waits until an expression of the page is true. (The page forbids the browser's own way, which evaluates a text.)"""
    end = time.monotonic() + PATIENT_MS / 1000
    while not page.evaluate(f"Promise.resolve({says})"):
        assert time.monotonic() < end, f"never came true: {says}"
        page.wait_for_timeout(40)


def in_store(expression: str) -> str:
    """JavaScript that asks the page's own store of balls, `BallStore`; a module that is loaded already is not asked for again."""
    return f"""(async () => {{
        const at = document.querySelector('script[src$="/bucket.js"], script[src$="/bucket/waiting.js"]').src;
        const modules = ["ball_store.js", "balls.js"].map((name) => import(at.replace(/bucket(.waiting)?\\.js$/, name)));
        const [store, balls] = await Promise.all(modules);
        const BallStore = {{ ...store, ...balls }};
        return {expression};
    }})()"""


def opened(page: Any, address: str) -> None:
    page.set_default_timeout(PATIENT_MS)
    page.goto(address)
    ready(page)


def phone(browser: Any, **more: Any) -> Any:
    """A page in a browser store of its own."""
    return browser.new_context(viewport=PHONE, **more).new_page()


def type_in(page: Any, *carries: str) -> None:
    """Types balls by keyboard, each until it is kept on the phone."""
    for carry in carries:
        before = count(page)
        page.keyboard.type(carry)
        page.keyboard.press("Enter")
        until(page, in_store(f"BallStore.all().then((all) => all.length > {before})"))
        until(page, "document.getElementById('typed').textContent.trim() === ''")


def count(page: Any) -> int:
    """The balls in the phone's own store."""
    return int(page.evaluate(in_store("BallStore.all().then((all) => all.length)")))


def all_kept(page: Any, number: int) -> None:
    """Waits until the page says that the server has so many."""
    words = (
        "1 ball typed here, safe on the server" if number == 1 else f"{number} balls typed here, all safe on the server"
    )
    page.get_by_text(words).wait_for()


def kept(data: Path, session: int = 1) -> list[Ball]:
    """The balls of a session that count."""
    with Store.open(data) as store:
        return [ball for ball in store.session_balls(session) if ball.use]


def yards(data: Path, session: int = 1) -> list[float]:
    """Their distances."""
    return [round(ball.distance_m / YARD_M, 1) for ball in kept(data, session)]
