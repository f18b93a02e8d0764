"""How long the phone's own chart takes in Chromium, the processor slowed: 12 shots of 10 balls, the keys' answer and the whole chart.

    python benchmarks/phone_speed.py [--slowed 1 4] [--balls 120] [--times 15]

The engine runs in a page's own thread here, since Chromium slows only that; on the keys it runs in a worker, which warms up as soon as
the page is idle (`engine/warm.js`). Prints how long warming up takes, then the first answer, the median and the 90th percentile of the
later ones, in milliseconds; and the first answer without it. Asked: 150 ms, the processor slowed four times.
"""

import argparse
import functools
import http.server
import statistics
import sys
import tempfile
import threading
from pathlib import Path
from typing import Any, Final

import numpy as np

ROOT: Final = Path(__file__).parents[1]
sys.path[:0] = [str(ROOT / "tests")]

from browser_support import ARGS, CHROMIUM  # noqa: E402
from threequarter.web.pages.keys.texts import engine_texts  # noqa: E402
from threequarter.web.site import site_files  # noqa: E402

CLUBS: Final = ("46", "50", "54", "58")
SWINGS: Final = {"knee": 0.35, "waist": 0.55, "chest": 0.8}
RUN: Final = """async ({ place, asked, times, what, warmed }) => {
    const names = ["core.js", "live.js", "warm.js"];
    const [core, live, warm] = await Promise.all(names.map((name) => import(`${place}/engine/${name}`)));
    await core.makeReady(await (await fetch(`${place}/engine/core.wasm`)).arrayBuffer());
    const idle = performance.now();
    for (let round = 0; warmed && round < warm.ROUNDS; round++) warm.warmUp(round);
    const took = [performance.now() - idle];
    for (let k = 0; k < times; k++) {
        const now = { ...asked, typed: asked.typed.map((ball) => ({ ...ball, carry: ball.carry + 0.01 * k })) };
        const began = performance.now();
        live[what](now);
        took.push(performance.now() - began);
    }
    return took;
}"""


def question(count: int) -> dict[str, Any]:
    """So many balls of 12 shots in random order, as a phone keeps them."""
    rng = np.random.default_rng(5)
    shots = [(club, swing) for club in CLUBS for swing in SWINGS]
    order = rng.permutation([k % len(shots) for k in range(count)])
    typed = []
    for n, k in enumerate(order, 1):
        club, swing = shots[k]
        carry = (115 - 10 * CLUBS.index(club)) * SWINGS[swing] * float(1 + 0.04 * rng.standard_normal())
        about = {"key": f"key {n}", "n": n, "at": 1_000_000 + n, "rev": 0, "back": False, "why": ""}
        typed.append(about | {"club": club, "swing": swing, "carry": round(carry, 1), "unit": "yd", "by": "device"})
    plan = {"clubs": [{"label": one} for one in CLUBS], "swings": [{"label": one} for one in SWINGS]}
    tongue = {"texts": engine_texts(), "unit": "yd", "mark": "."}
    named = [{"club": club, "swing": swing} for club, swing in shots]
    return {"typed": typed, "known": [], "plan": plan, "shots": named, "ground": "normal", "tongue": tongue}


def main() -> int:
    """Measures, and prints a line each."""
    from playwright.sync_api import sync_playwright

    asked = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    asked.add_argument("--slowed", type=float, nargs="+", default=[1, 4])
    asked.add_argument("--balls", type=int, default=120)
    asked.add_argument("--times", type=int, default=15)
    told = asked.parse_args()
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as play:
        for name, content in site_files().items():
            if name.startswith("static/"):
                place = Path(folder, "static", *Path(name).parts[2:])
                place.parent.mkdir(parents=True, exist_ok=True)
                place.write_bytes(content)
        Path(folder, "page.html").write_text("<!doctype html><title>speed</title>", encoding="utf-8")
        handler = functools.partial(http.server.SimpleHTTPRequestHandler, directory=folder)
        server = http.server.ThreadingHTTPServer(("127.0.0.1", 0), handler)
        threading.Thread(target=server.serve_forever, daemon=True).start()
        browser = play.chromium.launch(executable_path=CHROMIUM, args=ARGS)
        for slowed in told.slowed:
            for what, warmed in (("live", False), ("live", True), ("whole", True)):
                page = browser.new_page()
                page.goto(f"http://127.0.0.1:{server.server_port}/page.html")
                session = page.context.new_cdp_session(page)
                session.send("Emulation.setCPUThrottlingRate", {"rate": slowed})
                values = {"place": "/static", "asked": question(told.balls), "times": told.times, "what": what}
                idle, first, *later = page.evaluate(RUN, values | {"warmed": warmed})
                later.sort()
                print(
                    f"slowed {slowed:g} times, {told.balls} balls, {what}, {f'warmed up in {idle:.0f} ms' if warmed else 'cold'}:"
                    f" first {first:.0f} ms, then {statistics.median(later):.0f} ms"
                    f" (90 % within {later[int(0.9 * (len(later) - 1))]:.0f})",
                    flush=True,
                )
                page.close()
        browser.close()
        server.shutdown()
    return 0


if __name__ == "__main__":
    sys.exit(main())
