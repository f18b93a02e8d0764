"""A phone alone: a whole bucket, chart, card, practice and recheck while the browser is killed with -9, closed and opened, the network
cut before, during and after each step: lost 0, twice 0, never the browser's own error page.

    python tests/torture/phone_alone.py [--kills 50] [--closings 20] [--balls 60] [--seed 1] [--server] [--plant lost|twice]

Over the folder for a web host, or with --server over a real server that is killed and started, to which all balls have to come. A ball
counts as promised once its key lit up, one of a test once it is marked. After each opening the phone's own stores are read: every
promise there, none twice. A planted fault must be caught.
"""

import argparse
import contextlib
import json
import random
import sys
import tempfile
import threading
import time
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Final

sys.path[:0] = [str(Path(__file__).parents[1]), str(Path(__file__).parent)]

from killed_phone import PLANTS, BrokenError, Phone  # noqa: E402

from browser_support import Server  # noqa: E402
from bucket_support import begin, kept, ready  # noqa: E402
from site_support import Host, new_bucket  # noqa: E402

STEPS: Final = ("balls", "chart", "card", "round", "practice", "recheck", "new bucket")
MOMENTS: Final = ("before", "during", "after")
BALLS_OF_A_TEST: Final = 2
A_DAY_BEFORE_S: Final = 86_400
EARLIER: Final = (41, 43, 42, 44, 40, 42)


@dataclass
class Place:
    """Where the pages come from, and where they are."""

    host: Host | Server
    bucket: str = ""
    up: bool = True
    cuts: Counter[str] = field(default_factory=Counter)
    lock: threading.Lock = field(default_factory=threading.Lock)

    @property
    def alone(self) -> bool:
        return isinstance(self.host, Host)

    def page(self, name: str) -> str:
        if self.alone:
            return f"{self.host.address}{name}.html#{self.bucket}"
        return f"{self.host.address}/bucket/{name}#{self.bucket}"

    @property
    def first_page(self) -> str:
        return self.host.address if self.alone else f"{self.host.address}/bucket"

    def cut(self) -> None:
        with self.lock:
            if self.up:
                self.host.end() if isinstance(self.host, Host) else self.host.kill()
            self.up = False

    def mend(self) -> None:
        with self.lock:
            if not self.up:
                self.host.begin() if isinstance(self.host, Host) else self.host.start()
            self.up = True


@contextlib.contextmanager
def network_cut(place: Place, moment: str, chance: random.Random) -> Iterator[None]:
    """Cut before the step, at a random moment of it, or when it is done: the page is then opened anew without a network."""
    place.mend()
    timer = threading.Timer(chance.uniform(0, 0.7), place.cut)
    if moment == "before":
        place.cut()
    elif moment == "during":
        timer.start()
    try:
        yield
    finally:
        if moment == "during":
            timer.join()
        place.cut()
        place.cuts[moment] += 1


@dataclass
class Player:
    """Who hits the balls of the bucket, and looks at its pages."""

    phone: Phone
    place: Place
    carries: list[float]
    share: int
    hits: Iterator[int]
    begun: int = 0

    def act(self, step: str) -> None:
        acts: dict[str, Callable[[], None]] = {
            "balls": self.balls,
            "chart": lambda: self.see("chart", "#cells tbody td"),
            "card": lambda: self.see("chart", "#card li"),
            "round": lambda: self.see("round", "#rungs li b"),
            "practice": self.practice,
            "recheck": lambda: self.see("recheck", "#says:not(:empty)"),
            "new bucket": self.new_bucket,
        }
        acts[step]()

    def balls(self) -> None:
        self.phone.look(self.phone.where)
        for carry in self.left()[: self.share]:
            self.phone.type(carry)

    def left(self) -> list[float]:
        return [carry for carry in self.carries if carry not in self.phone.there and carry not in self.phone.promised]

    def see(self, name: str, what: str) -> None:
        """A page that shows something of the bucket; a bucket without a ball has none of it yet."""
        self.phone.look(self.place.page(name))
        if len(self.phone.there) > 2:
            self.phone.page.locator(what).first.wait_for()
        self.phone.page.reload(wait_until="domcontentloaded")
        self.phone.stand()

    def practice(self) -> None:
        """Some balls of a test; one that is full is scored, so that the next visit finds another."""
        if len(self.phone.there) < 4:
            return
        self.phone.look(self.place.page("practice"))
        page = self.phone.page
        for _ball in range(BALLS_OF_A_TEST):
            if page.inner_text("#called-number") == "✓":
                page.keyboard.press("Enter")
                page.locator("#scored").wait_for()
                return
            self.phone.hit(30 + next(self.hits) / 10)

    def new_bucket(self) -> None:
        """Another bucket of somebody else with a ball, begun on this phone where no server answers."""
        self.phone.look(self.place.first_page, waits=False)
        page = self.phone.page
        if not page.locator("#player").count():
            raise BrokenError("a new bucket cannot be begun")
        self.begun += 1
        page.fill("#player", f"Finch {self.begun}")
        page.get_by_role("button", name="Start").click()
        page.wait_for_url("**#-*" if self.place.alone or not self.place.up else "**/bucket/*")
        ready(page)


def run(
    folder: Path, *, kills: int, closings: int, balls: int, seed: int, server: bool, plant: str = ""
) -> dict[str, Any]:
    """The whole of it; what was counted. Raises BrokenError where a promise did not hold."""
    from playwright.sync_api import sync_playwright

    chance = random.Random(seed)
    host: Host | Server = Server(folder / "data") if server else Host(folder)
    if isinstance(host, Server):
        host.start()
    place = Place(host)
    with sync_playwright() as play:
        phone = Phone(play, folder / "profile")
        phone.open()
        verdict = _begin(phone, place)
        player = Player(phone, place, [round(30 + 0.3 * k, 1) for k in range(balls)], 1, iter(range(10_000)))
        done = _all_acts(player, kills, closings, chance, plant)
        for carry in player.left():
            phone.type(carry)
        phone.audit()
        if len(phone.there) != balls:
            raise BrokenError(f"{len(phone.there)} of {balls}")
        if place.alone:
            _recheck(phone, place, verdict)
        else:
            _all_with(phone, place, balls)
        phone.close()
    place.cut()
    return {
        **{"balls": balls, "kills": kills, "closings": closings, "of_tests": len(phone.marked)},
        **{"cuts": dict(place.cuts), "steps": dict(done), "buckets": 2 + player.begun},
    }


def _begin(phone: Phone, place: Place) -> str:
    """A bucket of the day before on a phone alone, then the bucket of today. Returns the address of today's recheck."""
    host, page = place.host, phone.page
    page.goto(place.first_page)
    if isinstance(host, Host):
        page.get_by_text("works without a signal").wait_for()
        page.clock.set_system_time(time.time() - A_DAY_BEFORE_S)
        new_bucket(page, host, "Lark Fenn")
        for carry in EARLIER:
            phone.type(carry)
        phone.promised.clear()
        phone.close()
        phone.open()
        page = phone.page
        place.bucket = new_bucket(page, host, "Lark Fenn")
    else:
        begin(page, host.address)
        place.bucket = page.url.rpartition("/")[2]
    page.get_by_text("works without a signal").first.wait_for()
    phone.where, phone.bucket = page.url, int(place.bucket)
    return place.page("recheck")


def _all_acts(player: Player, kills: int, closings: int, chance: random.Random, plant: str) -> Counter[str]:
    """Each step with the network cut at each moment, ended by a kill or a closing; every second one is typing, until all is typed."""
    phone, place = player.phone, player.place
    ends = ["kill"] * kills + ["close"] * closings
    chance.shuffle(ends)
    others = [(step, moment) for step in STEPS[1:] for moment in MOMENTS]
    chance.shuffle(others)
    player.share = max(1, round(2 * len(player.carries) / max(1, len(ends))))
    done: Counter[str] = Counter()
    for k, end in enumerate(ends):
        step, moment = ("balls", MOMENTS[k // 2 % 3]) if k % 2 == 0 else others[k // 2 % len(others)]
        timer = threading.Timer(chance.uniform(0, 1.2), phone.kill)
        with network_cut(place, moment, chance):
            if end == "kill":
                timer.start()
            try:
                player.act(step)
            except BrokenError:
                raise
            except Exception:
                if end != "kill":
                    raise  # the browser went away under the step: told by the audit that follows
            timer.join() if end == "kill" else None
        done[f"{step}, cut {moment}"] += 1
        phone.close()
        if chance.random() < 0.5:
            place.mend()
        phone.open()
        if plant:
            phone.plant(plant)
        phone.audit()
    place.mend()
    phone.look(phone.where)
    return done


def _recheck(phone: Phone, place: Place, address: str) -> None:
    """The verdict on the day before, without a network, the page opened again after a kill."""
    place.cut()
    for _turn in range(2):
        phone.look(address)
        phone.page.locator("#verdict:not([hidden])").wait_for()
        phone.kill()
        phone.close()
        phone.open()


def _all_with(phone: Phone, place: Place, balls: int) -> None:
    """Every ball has come to the server once; those of the other buckets with them."""
    assert isinstance(place.host, Server)
    place.mend()
    phone.look(phone.where)
    phone.page.get_by_text(f"{balls} balls typed here, all safe on the server").wait_for()
    found = [round(ball.distance_m / 0.9144, 1) for ball in kept(place.host.data)]
    if sorted(found) != sorted(phone.there):
        raise BrokenError(f"the server has {len(found)} balls of {balls}")


def main() -> int:
    """Runs it, and prints what was counted."""
    asked = argparse.ArgumentParser(description=(__doc__ or "").split("\n")[0])
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
