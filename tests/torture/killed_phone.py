"""A browser with a store on the disk, which can be killed, and a ledger of what its pages promised (`phone_alone.py`)."""

import contextlib
import os
import signal
import time
from pathlib import Path
from typing import Any, Final

from browser_support import ARGS, CHROMIUM, PHONE
from site_support import STORES

COUNTS_LIGHTS: Final = """
document.addEventListener("DOMContentLoaded", () => {
    window.lit = 0;
    const key = document.getElementById("save");
    if (!key) return;
    let was = false;
    new MutationObserver(() => {
        const is = key.classList.contains("lit");
        if (is && !was) window.lit += 1;
        was = is;
    }).observe(key, { attributes: true, attributeFilter: ["class"] });
});"""
PLANTS: Final = {
    "lost": "store.delete(rows[0].key)",
    "twice": "store.put({ ...rows[0], key: 'f'.repeat(32) })",
}
PLANTED: Final = """new Promise((done) => {
    const asked = indexedDB.open("threequarter");
    asked.onsuccess = () => {
        const act = asked.result.transaction("balls", "readwrite");
        const store = act.objectStore("balls");
        const all = store.getAll();
        all.onsuccess = () => { const rows = all.result.filter((row) => row.session === BUCKET); if (rows.length) FAULT; };
        act.oncomplete = () => { asked.result.close(); done(); };
    };
})"""
PATIENCE_S: Final = 30


class BrokenError(AssertionError):
    """A promise that did not hold."""


class Phone:
    """The browser, the page of its bucket, and what was promised of it."""

    def __init__(self, play: Any, profile: Path) -> None:
        self.play, self.profile = play, profile
        self.where, self.bucket = "", 0
        self.promised: set[float] = set()
        self.there: set[float] = set()
        self.marked: set[float] = set()

    def open(self) -> None:
        self.context = self.play.chromium.launch_persistent_context(
            str(self.profile), executable_path=CHROMIUM, args=ARGS, viewport=PHONE
        )
        self.context.add_init_script(COUNTS_LIGHTS)
        self.page = self.context.pages[0]
        self.page.set_default_timeout(60_000)
        if self.where:
            self.look(self.where)

    def look(self, address: str, *, waits: bool = True) -> None:
        """Opens a page. Raises BrokenError for the browser's own error page."""
        if self.page.url.partition("#")[0] == address.partition("#")[0]:
            self.page.goto("about:blank")  # else only the hash changes, and nothing is opened
        with contextlib.suppress(Exception):  # what was opened instead is looked at
            self.page.goto(address, wait_until="domcontentloaded")
        self.stand(waits=waits)

    def stand(self, *, waits: bool = True) -> None:
        """Waits until the page that is open is ready. Raises BrokenError where it is none of ours."""
        if self.page.url.startswith("chrome-error") or not self.page.locator("main").count():
            raise BrokenError(f"the browser's own page ({self.page.url})")
        if waits:
            self.page.wait_for_selector("body[data-ready]")

    def audit(self) -> None:
        """Every promised ball in the store, none twice."""
        stores = self.page.evaluate(STORES)
        carries = [ball["carry"] for ball in stores["balls"] if ball["session"] == self.bucket and not ball["back"]]
        hits = [call["ended"] for test in stores["tests"] for call in test["calls"] if call["ended"] is not None]
        for name, found, promised in (("ball", carries, self.promised), ("ball of a test", hits, self.marked)):
            if len(found) != len(set(found)):
                raise BrokenError(f"{name} twice: {sorted(one for one in set(found) if found.count(one) > 1)}")
            if promised - set(found):
                raise BrokenError(f"{name} lost: {sorted(promised - set(found))}")
        self.there = set(carries)

    def type(self, carry: float) -> None:
        """A ball; it is promised once the key has lit up."""
        self.page.wait_for_selector("#save:not(.lit)")  # of the ball before
        before = self.page.evaluate("window.lit")
        self.page.keyboard.type(f"{carry:g}")
        self.page.keyboard.press("Enter")
        self._until(f"window.lit > {before}", f"{carry}: the key never lit up")
        self.promised.add(carry)

    def hit(self, ended: float) -> None:
        """A ball of a test; it is promised once it is marked."""
        marks = "document.querySelectorAll('#hits li').length"
        before = self.page.evaluate(marks)
        self.page.keyboard.type(f"{ended:g}")
        self.page.keyboard.press("Enter")
        self._until(f"{marks} > {before}", f"{ended}: never marked")
        self.marked.add(ended)

    def plant(self, fault: str) -> None:
        """Spoils the store, as a fault of ours would."""
        self.page.evaluate(PLANTED.replace("FAULT", PLANTS[fault]).replace("BUCKET", str(self.bucket)))

    def _until(self, says: str, fault: str) -> None:
        end = time.monotonic() + PATIENCE_S
        while not self.page.evaluate(says):
            if time.monotonic() > end:
                raise BrokenError(fault)
            time.sleep(0.005)

    def kill(self) -> None:
        """-9 to this phone's own browser, found by its folder."""
        for process in Path("/proc").iterdir():
            if not process.name.isdigit():
                continue
            with contextlib.suppress(OSError):
                words = (process / "cmdline").read_bytes().split(b"\0")
                if f"--user-data-dir={self.profile}".encode() in words and not any(b"--type=" in one for one in words):
                    os.kill(int(process.name), signal.SIGKILL)

    def close(self) -> None:
        with contextlib.suppress(Exception):  # it was killed
            self.context.close()
        lock = self.profile / "SingletonLock"
        lock.unlink(missing_ok=True)
