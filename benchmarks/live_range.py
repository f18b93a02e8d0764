"""The live page in headless Chromium: a film of swings, practice swings and a neighbour's strikes as fake camera and microphone.

    python benchmarks/live_range.py [--balls 20] [--practice 3] [--neighbours 8] [--slower 2] [--minutes 0]

Must hold: 19 of 20 balls found, none false, the answer within 2 s of the strike (95 %) with the browser's pages held half of the time.
With --minutes the film runs on in a loop and the memory of the page is told each half minute. The film is put together from the open
rendered clips: good figures show that the chain works, not that a real range is as easy.
"""

import argparse
import json
import sys
import tempfile
import time
from pathlib import Path
from typing import Any

sys.path[:0] = [str(Path(__file__).parents[1])]

import numpy as np  # noqa: E402
from benchmarks.worlds.live_film import Part, make_film  # noqa: E402
from benchmarks.worlds.live_watch import begin, compared, fake_devices, happened, renderers, slowed  # noqa: E402
from playwright.sync_api import sync_playwright  # noqa: E402
from tests.browser_support import ARGS, CHROMIUM, PHONE, Server  # noqa: E402

from threequarter.store.balls.phone_balls import PhoneBalls  # noqa: E402
from threequarter.store.store import Store  # noqa: E402

CLIPS = ("o01_plain", "o02_waist", "o03_heavy", "o05_az_plus12", "o09_three_swings", "o10_indoor_30fps")
MEMORY_EVERY_S = 30.0


def parts_of(balls: int, practice: int) -> list[Part]:
    """The swings in order, practice swings spread among them."""
    every = balls + practice
    rest = {round((k + 0.5) * every / practice) for k in range(practice)} if practice else set()
    return [Part(CLIPS[n % len(CLIPS)], ball=n not in rest) for n in range(every)]


def memory_mb(pids: list[int]) -> float:
    """What the pages hold by themselves (private memory)."""
    total = 0
    for pid in pids:
        for line in Path(f"/proc/{pid}/smaps_rollup").read_text().splitlines():
            if line.startswith(("Private_Clean", "Private_Dirty")):
                total += int(line.split()[1])
    return total / 1024


def watch(given: argparse.Namespace, folder: Path) -> None:
    """Makes the film, watches it, prints the figures."""
    truth = make_film(parts_of(given.balls, given.practice), folder, given.neighbours)
    session = PhoneBalls(Store.open(folder / "data")).begin("Robin")
    seconds = truth["length_s"] + 2 if not given.minutes else 60 * given.minutes
    memory: list[tuple[float, float]] = []
    with Server(folder / "data") as server, sync_playwright() as play:
        browser = play.chromium.launch(executable_path=CHROMIUM, args=ARGS + fake_devices(folder))
        page = browser.new_page(viewport=PHONE)
        begin(page, server.address, session, films=True)  # coding the pictures counts along
        ours = _own_renderers(browser)  # the page's own only now: a blank page has another process
        with slowed(lambda: ours, given.slower):
            start = time.monotonic()
            while (gone := time.monotonic() - start) < seconds:
                page.wait_for_timeout(1000)
                if given.minutes and (not memory or gone - memory[-1][0] >= MEMORY_EVERY_S):
                    memory.append((gone, memory_mb(ours)))
                    print(f"{gone:6.0f} s: {memory[-1][1]:6.1f} MB, {len(happened(page))} answers", flush=True)
            found = happened(page)
            said = page.locator("#live-says").inner_text()
        browser.close()
    if given.minutes:
        _tell_memory(memory)
    else:
        _tell(compared(found, truth), truth, found, said)


def _own_renderers(browser: Any) -> list[int]:
    """The page's processes, started for this run."""
    session = browser.new_browser_cdp_session()
    main = next(
        one["id"] for one in session.send("SystemInfo.getProcessInfo")["processInfo"] if one["type"] == "browser"
    )
    return renderers(main)


def _tell(result: dict[str, Any], truth: dict[str, Any], found: list[dict[str, Any]], said: str) -> None:
    balls = sum(one["ball"] for one in truth["swings"])
    took = sorted(result["took_s"])
    print(f"film {truth['length_s']:.0f} s, {len(truth['neighbours_s'])} strikes of a neighbour; the page says: {said}")
    print(f"balls found {result['balls']} of {balls}; false {len(result['false'])}; refused {len(result['refused'])}")
    print(f"practice swings told apart {result['practice']} of {len(truth['swings']) - balls}")
    if took:
        print(
            f"strike to answer: median {np.median(took):.2f} s, 95 % {np.quantile(took, 0.95):.2f} s, worst {took[-1]:.2f} s"
        )
    for name in ("back", "through"):
        off = np.array(result[f"{name}_off_deg"])
        if len(off):
            held = float((np.abs(off[:, 0]) <= off[:, 1]).mean())
            print(
                f"arm {name}: median error {np.median(np.abs(off[:, 0])):.1f}°, worst {np.abs(off[:, 0]).max():.1f}°, within ± {held:.0%}"
            )
    if result["false"]:
        print(json.dumps([{k: v for k, v in one.items() if k != "words"} for one in result["false"]], indent=1))
    print(f"answers in all: {len(found)}")


def _tell_memory(memory: list[tuple[float, float]]) -> None:
    at, mb = np.array(memory[2:]).T
    slope = np.polyfit(at / 60, mb, 1)[0] if len(at) > 2 else float("nan")
    print(f"memory of the pages: {mb[0]:.0f} MB at first, {mb[-1]:.0f} MB at last, {slope:+.2f} MB a minute")


def main() -> None:
    """Reads the options and runs."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--balls", type=int, default=20)
    parser.add_argument("--practice", type=int, default=3)
    parser.add_argument("--neighbours", type=int, default=8)
    parser.add_argument("--slower", type=float, default=2.0)
    parser.add_argument("--minutes", type=float, default=0.0)
    with tempfile.TemporaryDirectory() as scratch:
        watch(parser.parse_args(), Path(scratch))


if __name__ == "__main__":
    main()
