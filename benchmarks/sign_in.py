"""Forty sign-ins at once: how much memory the server takes for them, how long they last, and how other pages fare meanwhile.

Limits: growth under 150 MiB; other pages' 95th percentile under 500 ms (two cores, nothing else running). Compared in the same
run: the same forty with the library's own costs (64 MiB, three passes, four lanes), all at once, in a process of their own.
"""

import re
import statistics
import subprocess
import sys
import tempfile
import time
import urllib.error
import urllib.parse
import urllib.request
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import psutil

from threequarter.store.accounts.accounts import Accounts
from threequarter.store.store import Store

AT_ONCE = 40
LIMIT_MIB = 150
PASSWORD = "mossy gate under lantern"
PEER = """
import psutil, threading
from concurrent.futures import ThreadPoolExecutor
from argon2 import PasswordHasher
hasher = PasswordHasher(); kept = hasher.hash("x"); me = psutil.Process(); before = me.memory_info().rss; most = [before]; over = threading.Event()
def watch():
    while not over.wait(0.005): most[0] = max(most[0], me.memory_info().rss)
threading.Thread(target=watch, daemon=True).start()
with ThreadPoolExecutor(40) as pool: list(pool.map(lambda _n: hasher.verify(kept, "x"), range(40)))
over.set(); print((most[0] - before) / 2**20)
"""


class Stay(urllib.request.HTTPRedirectHandler):
    """The answer itself, not where it leads."""

    def redirect_request(self, *_: object) -> None:
        return None


def sign_in(address: str, name: str) -> int:
    """One sign-in; its status."""
    body = urllib.parse.urlencode({"name": name, "password": PASSWORD}).encode()
    try:
        return int(urllib.request.build_opener(Stay).open(f"{address}/sign-in", body, timeout=120).status)
    except urllib.error.HTTPError as error:
        return error.code


def main() -> None:
    """Runs it and prints the figures."""
    with tempfile.TemporaryDirectory() as folder:
        with Store(Path(folder)) as store:
            people = Accounts(store)
            for number in range(AT_ONCE):
                people.accept(
                    people.invite(people.add("head" if number == 0 else "coach", f"Person {number}")), PASSWORD
                )
        command = [sys.executable, "-u", "-m", "threequarter", "serve", "--port", "0", "--no-browser", "--data", folder]
        server = subprocess.Popen(command, stdout=subprocess.PIPE, text=True)
        try:
            assert server.stdout is not None
            found = re.search(r"http://127\.0\.0\.1:\d+", server.stdout.readline())
            assert found
            measure(server.pid, found[0])
        finally:
            server.terminate()
            server.wait()


def measure(pid: int, address: str) -> None:
    """Forty at once, beside a page asked for again and again."""
    process = psutil.Process(pid)
    for number in range(3):
        sign_in(address, f"Person {number}")
        urllib.request.urlopen(f"{address}/sign-in", timeout=60).read()
    before = most = process.memory_info().rss
    times: list[float] = []
    with ThreadPoolExecutor(AT_ONCE) as pool:
        began = time.perf_counter()
        jobs = [pool.submit(sign_in, address, f"Person {number}") for number in range(AT_ONCE)]
        while not all(job.done() for job in jobs):
            asked = time.perf_counter()
            urllib.request.urlopen(f"{address}/sign-in", timeout=60).read()
            times.append(time.perf_counter() - asked)
            most = max(most, process.memory_info().rss)
        took = time.perf_counter() - began
        statuses = [job.result() for job in jobs]
    growth = (most - before) / 2**20
    peer = float(subprocess.run([sys.executable, "-c", PEER], capture_output=True, text=True, check=True).stdout)
    p95 = statistics.quantiles(times, n=20)[-1] if len(times) > 1 else times[0]
    print(
        f"{AT_ONCE} sign-ins at once: all in {took:.1f} s, {statuses.count(303)} of {AT_ONCE} in; memory +{growth:.0f} MiB (limit {LIMIT_MIB})"
    )
    print(f"the library's own costs, all at once: +{peer:.0f} MiB, {peer / max(growth, 1):.0f} times as much")
    print(
        f"another page meanwhile: median {1000 * statistics.median(times):.0f} ms, 95th percentile {1000 * p95:.0f} ms (limit 500), {len(times)} asked"
    )
    if growth > LIMIT_MIB or statuses.count(303) != AT_ONCE:
        sys.exit(1)


if __name__ == "__main__":
    main()
