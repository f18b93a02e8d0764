"""A phone alone: 60 balls typed while the browser is killed with -9, the page closed and opened, the network cut: lost 0, twice 0.

    python tests/torture/phone_alone.py [--kills 50] [--closings 20] [--balls 60] [--seed 1] [--server] [--plant lost|twice]

Over the folder for a web host, or with --server over a real server that is killed and started at random, to which all balls have to come.
A ball counts as promised once its key lit up. After each opening the phone's own store is read: every promised ball there, none twice;
no page may be the browser's own error page. At the end chart, round view, practice and recheck are opened with the network cut. A planted fault must be caught.
"""

import argparse
import contextlib
import json
import os
import random
import signal
import sys
import tempfile
import threading
import time
from pathlib import Path
from typing import Any, Final

sys.path[:0] = [str(Path(__file__).parents[1])]

from browser_support import ARGS, CHROMIUM, PHONE, Server  # noqa: E402
from bucket_support import begin, kept  # noqa: E402
from site_support import STORES, Host, new_bucket  # noqa: E402

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
        all.onsuccess = () => { const rows = all.result; if (rows.length) FAULT; };
        act.oncomplete = () => { asked.result.close(); done(); };
    };
})"""


class BrokenError(AssertionError):
    """A promise that did not hold."""


class Phone:
    """A browser with a store on the disk, which can be killed; a ledger of what its page promised."""

    def __init__(self, play: Any, profile: Path, chance: random.Random) -> None:
        self.play, self.profile, self.chance = play, profile, chance
        self.where = ""
        self.promised: set[float] = set()
        self.there: set[float] = set()

    def open(self) -> None:
        self.context = self.play.chromium.launch_persistent_context(
            str(self.profile), executable_path=CHROMIUM, args=ARGS, viewport=PHONE
        )
        self.context.add_init_script(COUNTS_LIGHTS)
        self.page = self.context.pages[0]
        self.page.set_default_timeout(60_000)
        if self.where:
            self.look(self.where)

    def look(self, address: str) -> None:
        """Opens a page. Raises BrokenError for the browser's own error page."""
        with contextlib.suppress(Exception):  # what was opened instead is looked at
            self.page.goto(address, wait_until="domcontentloaded")
        if self.page.url.startswith("chrome-error") or not self.page.locator("main").count():
            raise BrokenError(f"{address}: the browser's own page ({self.page.url})")
        self.page.wait_for_selector("body[data-ready]")

    def audit(self) -> None:
        """Every promised ball in the store, none twice."""
        carries = [ball["carry"] for ball in self.page.evaluate(STORES)["balls"] if not ball["back"]]
        if len(carries) != len(set(carries)):
            raise BrokenError(f"twice: {sorted(one for one in set(carries) if carries.count(one) > 1)}")
        if self.promised - set(carries):
            raise BrokenError(f"lost: {sorted(self.promised - set(carries))}")
        self.there = set(carries)

    def type(self, carry: float) -> None:
        """A ball; it is promised once the key has lit up."""
        self.page.wait_for_selector("#save:not(.lit)")  # of the ball before
        before = self.page.evaluate("window.lit")
        self.page.keyboard.type(f"{carry:g}")
        self.page.keyboard.press("Enter")
        end = time.monotonic() + 30
        while self.page.evaluate("window.lit") <= before:
            if time.monotonic() > end:
                raise BrokenError(f"{carry}: the key never lit up")
            time.sleep(0.005)
        self.promised.add(carry)

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


class Network:
    """Cut and mended at random moments until told to stop."""

    def __init__(self, host: Host | Server, chance: random.Random) -> None:
        self.host, self.chance, self.cuts = host, chance, 0
        self._over = threading.Event()
        self._thread = threading.Thread(target=self._run, daemon=True)
        self._thread.start()

    def _run(self) -> None:
        while not self._over.wait(self.chance.uniform(0.3, 3)):
            cut(self.host)
            self.cuts += 1
            self._over.wait(self.chance.uniform(0.3, 3))
            mend(self.host)

    def stop(self) -> None:
        self._over.set()
        self._thread.join()


def cut(host: Host | Server) -> None:
    host.end() if isinstance(host, Host) else host.kill()


def mend(host: Host | Server) -> None:
    host.begin() if isinstance(host, Host) else host.start()


def run(
    folder: Path, *, kills: int, closings: int, balls: int, seed: int, server: bool, plant: str = ""
) -> dict[str, int]:
    """The whole of it; what was counted. Raises BrokenError where a promise did not hold."""
    from playwright.sync_api import sync_playwright

    chance = random.Random(seed)
    host: Host | Server = Server(folder / "data") if server else Host(folder)
    if isinstance(host, Server):
        host.start()
    carries = [round(30 + 0.3 * k, 1) for k in range(balls)]
    acts = ["kill"] * kills + ["close"] * closings
    chance.shuffle(acts)
    with sync_playwright() as play:
        phone = Phone(play, folder / "profile", chance)
        phone.open()
        if isinstance(host, Host):
            phone.page.goto(host.address)
            phone.page.get_by_text("works without a signal").wait_for()
            new_bucket(phone.page, host)
        else:
            begin(phone.page, host.address)
        phone.page.get_by_text("works without a signal").first.wait_for()
        phone.where = phone.page.url
        network = Network(host, chance)
        try:
            for act in acts:
                _some_balls(phone, carries, act, len(acts))
                phone.close()
                phone.open()
                if plant:
                    phone.page.evaluate(PLANTED.replace("FAULT", PLANTS[plant]))
                phone.audit()
            for carry in carries:
                if carry not in phone.there:
                    phone.type(carry)
            phone.audit()
        finally:
            network.stop()
        if len(phone.there) != balls:
            raise BrokenError(f"{len(phone.there)} of {balls}")
        pages = _other_pages(phone, host)
        if isinstance(host, Server):
            _all_with(phone, host, balls)
        phone.close()
    cut(host)
    return {"balls": balls, "kills": kills, "closings": closings, "cuts": network.cuts, "pages": pages}


def _some_balls(phone: Phone, carries: list[float], act: str, acts: int) -> None:
    """The next balls of this stretch; a kill comes at any moment of it."""
    left = [carry for carry in carries if carry not in phone.there and carry not in phone.promised]
    share = max(1, round(len(carries) / acts))
    if act == "kill":
        timer = threading.Timer(phone.chance.uniform(0, 0.6), phone.kill)
        timer.start()
        with contextlib.suppress(
            Exception
        ):  # the browser goes away under the typing; a fault is told by the audit that follows
            for carry in left[:share]:
                phone.type(carry)
        timer.join()
        return
    for carry in left[:share]:
        phone.type(carry)


def _other_pages(phone: Phone, host: Host | Server) -> int:
    """Chart with card, round view, practice with two balls, recheck: all with the network cut."""
    cut(host)
    bucket = phone.where.rpartition("#" if isinstance(host, Host) else "/")[2]
    names = ("chart", "round", "practice", "recheck", "here")
    for name in names:
        if isinstance(host, Host):
            page = f"{host.address}{'keys' if name == 'here' else name}.html#{bucket}"
        else:
            page = f"{host.address}/bucket/{name}#{bucket}"
        phone.look(page if name != "here" else phone.where)
    phone.look(
        f"{host.address}practice.html#{bucket}"
        if isinstance(host, Host)
        else f"{host.address}/bucket/practice#{bucket}"
    )
    for number in ("33", "35"):
        phone.page.keyboard.type(number)
        phone.page.keyboard.press("Enter")
    end = time.monotonic() + 30
    while not phone.page.evaluate(f"({STORES}).then((found) => found.tests[0]?.calls[1]?.ended === 35)"):
        if time.monotonic() > end:
            raise BrokenError("the balls of a test were not kept")
        time.sleep(0.05)
    phone.kill()
    phone.close()
    phone.open()
    if phone.page.evaluate(f"({STORES}).then((found) => found.tests[0].calls[1].ended)") != 35:
        raise BrokenError("a ball of a test is lost")
    mend(host)
    return len(names)


def _all_with(phone: Phone, host: Server, balls: int) -> None:
    phone.look(phone.where)
    phone.page.get_by_text(f"{balls} balls typed here, all safe on the server").wait_for()
    found = [round(ball.distance_m / 0.9144, 1) for ball in kept(host.data)]
    if sorted(found) != sorted(phone.there):
        raise BrokenError(f"the server has {len(found)} balls of {balls}")


def main() -> int:
    """Runs it, and prints what was counted."""
    asked = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    for name, usual in (("kills", 50), ("closings", 20), ("balls", 60), ("seed", 1)):
        asked.add_argument(f"--{name}", type=int, default=usual)
    asked.add_argument("--server", action="store_true")
    asked.add_argument("--plant", choices=list(PLANTS), default="")
    told = vars(asked.parse_args())
    began = time.monotonic()
    with tempfile.TemporaryDirectory(prefix="phone-alone-") as folder:
        counted = run(Path(folder), **told)
    counted |= {"lost": 0, "twice": 0, "error_pages": 0, "seconds": round(time.monotonic() - began)}
    sys.stdout.write(json.dumps(counted) + "\n")
    return 0


if __name__ == "__main__":
    sys.exit(main())
