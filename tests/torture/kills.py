"""The server killed with -9 at random moments while phones type: acknowledged balls missing 0, twice 0, integrity sound.

    python tests/torture/kills.py [--kills 200] [--phones 3] [--seed 1]

Each phone sends balls again until it has an answer, in other batches and doubled, as the page does. A planted fault (--plant lost
or --plant twice) shows that the rig would catch one: it must then end with an error.
"""

import argparse
import http.client
import json
import random
import re
import sqlite3
import subprocess
import sys
import tempfile
import threading
import time
import urllib.request
from pathlib import Path
from typing import Any


class Server:
    """A real server process that can be killed and started again on the same port."""

    def __init__(self, data: Path) -> None:
        self.data, self.port = data, 0
        self.slowest = 0.0
        self.start()

    def start(self) -> None:
        begun = time.perf_counter()
        self.child = subprocess.Popen(
            [
                sys.executable,
                "-u",
                "-m",
                "threequarter",
                "serve",
                "--port",
                str(self.port),
                "--no-browser",
                "--data",
                str(self.data),
            ],
            stdout=subprocess.PIPE,
            text=True,
        )
        assert self.child.stdout is not None
        match = re.search(r"127\.0\.0\.1:(\d+)", self.child.stdout.readline())
        assert match, "the server did not come up"
        self.port = int(match[1])
        while True:
            try:
                urllib.request.urlopen(f"{self.address}/health", timeout=2).close()
                break
            except (OSError, http.client.HTTPException):
                time.sleep(0.02)
        self.slowest = max(self.slowest, time.perf_counter() - begun)

    @property
    def address(self) -> str:
        return f"http://127.0.0.1:{self.port}"

    def kill(self) -> None:
        self.child.kill()
        self.child.wait()
        assert self.child.stdout is not None
        self.child.stdout.close()


def post(address: str, path: str, body: Any) -> Any:
    request = urllib.request.Request(address + path, json.dumps(body).encode(), {"content-type": "application/json"})
    with urllib.request.urlopen(request, timeout=5) as answer:
        return json.loads(answer.read())


class Phone(threading.Thread):
    """Types and sends until it is told to stop; `acknowledged` is what the server said it has."""

    def __init__(self, server: Server, session: int, which: int, stop: threading.Event) -> None:
        super().__init__(daemon=True)
        self.server, self.session, self.which, self.stop = server, session, which, stop
        self.rng = random.Random(which)
        self.acknowledged: dict[str, float] = {}
        self.waiting: dict[str, dict[str, Any]] = {}
        self.count = 0

    def run(self) -> None:
        while not self.stop.is_set() or self.waiting:
            while len(self.waiting) < 4 and not self.stop.is_set():
                self.count += 1
                key = f"phone{self.which:03d}-{self.count:08d}"
                self.waiting[key] = {
                    "key": key,
                    "club": "54",
                    "swing": "waist",
                    "carry": 30 + self.count % 40,
                    "unit": "yd",
                }
            batch = self.rng.sample(list(self.waiting.values()), self.rng.randint(1, len(self.waiting)))
            try:
                told = post(self.server.address, f"/api/sessions/{self.session}/balls", {"balls": batch + batch[:1]})
            except (OSError, ValueError, http.client.HTTPException):
                time.sleep(0.02)
                continue
            if self.rng.random() < 0.2:
                continue  # the answer was lost on the way
            for outcome in told["outcomes"]:
                if outcome["state"] in ("saved", "known") and outcome["key"] in self.waiting:
                    self.acknowledged[outcome["key"]] = self.waiting.pop(outcome["key"])["carry"]


def kills(count: int, phones: int, seed: int, plant: str = "") -> dict[str, Any]:
    """Runs the rig; returns what was counted. Raises AssertionError with the numbers where a ball is missing or there twice."""
    rng = random.Random(seed)
    with tempfile.TemporaryDirectory(prefix="threequarter-torture-") as folder:
        server = Server(Path(folder))
        form = urllib.request.Request(f"{server.address}/bucket", b"player=Wren+Sedge&unit=yd")
        with urllib.request.urlopen(form, timeout=5) as answer:
            session = int(re.search(r"/bucket/(\d+)", answer.url)[1])  # type: ignore[index]
        stop = threading.Event()
        typing = [Phone(server, session, i, stop) for i in range(phones)]
        for phone in typing:
            phone.start()
        for _ in range(count):
            time.sleep(rng.uniform(0.05, 0.6))
            server.kill()
            server.start()
        stop.set()
        for phone in typing:
            phone.join(60)
        server.kill()
        acknowledged = {key: carry for phone in typing for key, carry in phone.acknowledged.items()}
        return _judge(Path(folder) / "threequarter.db", acknowledged, server, count, plant)


def _judge(base: Path, acknowledged: dict[str, float], server: Server, count: int, plant: str) -> dict[str, Any]:
    with sqlite3.connect(base) as read:
        sound = read.execute("PRAGMA integrity_check").fetchone()[0]
        kept = read.execute("SELECT client_key, body FROM ball WHERE client_key IS NOT NULL").fetchall()
    if plant == "lost":
        kept = kept[1:]
    elif plant == "twice":
        kept = [*kept, kept[0]]
    carries = {key: round(json.loads(body)["distance_m"] / 0.9144) for key, body in kept}
    missing = [key for key, carry in acknowledged.items() if carries.get(key) != carry]
    twice = len(kept) - len(carries)
    found = {
        "kills": count,
        "acknowledged": len(acknowledged),
        "missing": len(missing),
        "twice": twice,
        "integrity": sound,
        "healthy_again_s": round(server.slowest, 2),
    }
    if missing or twice or sound != "ok":
        raise AssertionError(found)
    return found


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--kills", type=int, default=200)
    parser.add_argument("--phones", type=int, default=3)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--plant", choices=["", "lost", "twice"], default="")
    chosen = parser.parse_args()
    sys.stdout.write(json.dumps(kills(chosen.kills, chosen.phones, chosen.seed, chosen.plant)) + "\n")


if __name__ == "__main__":
    main()
