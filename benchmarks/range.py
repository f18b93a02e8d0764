"""How quick the bucket page is, in a real browser against a real server: a ball kept on the phone, the chart that follows it.

Limits: 50 ms from the tap on "save" until the ball is in the phone's store and the page says so, 300 ms until the chart of the
server with this ball stands on the page, 150 KB for the first load. Run: python benchmarks/range.py [balls]
"""

import statistics
import sys
import tempfile
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).parents[1] / "tests"))

from browser_support import ARGS, CHROMIUM, PHONE, Server

KEPT_MS, CHART_MS, LOAD_KB = 50.0, 300.0, 150.0

TIMED = """carry => new Promise((done) => {
  const list = document.getElementById("list"), cell = document.getElementById("cell"), save = document.getElementById("save");
  const before = list.children.length, chart = cell.textContent;
  for (const key of carry) document.querySelector(`[data-key="${key}"]`).click();
  const start = performance.now();
  let kept = 0;
  const watch = new MutationObserver(() => {
    if (!kept && list.children.length > before) kept = performance.now() - start;
    if (kept && cell.textContent !== chart && cell.textContent.includes("±")) { watch.disconnect(); done([kept, performance.now() - start]); }
  });
  watch.observe(document.body, { childList: true, subtree: true, characterData: true });
  setTimeout(() => { watch.disconnect(); done([kept, null]); }, 5000);
  save.click();
})"""


def first_load(browser: Any, where: str) -> float:
    """Kilobytes of all answers of a first visit."""
    page = browser.new_context(viewport=PHONE, service_workers="block").new_page()
    client = page.context.new_cdp_session(page)
    client.send("Network.enable")
    came: dict[str, float] = {}
    client.on("Network.loadingFinished", lambda event: came.update({event["requestId"]: event["encodedDataLength"]}))
    page.goto(where)
    page.wait_for_selector("body[data-ready]")
    page.wait_for_load_state("networkidle")
    page.context.close()
    return sum(came.values()) / 1024


def main() -> None:
    from playwright.sync_api import sync_playwright

    balls = int(sys.argv[1]) if len(sys.argv) > 1 else 60
    with tempfile.TemporaryDirectory() as folder, Server(Path(folder)) as server, sync_playwright() as play:
        browser = play.chromium.launch(executable_path=CHROMIUM, args=ARGS)
        page = browser.new_context(viewport=PHONE).new_page()
        page.goto(f"{server.address}/bucket")
        page.fill("#player", "Wren Sedge")
        page.get_by_role("button", name="Start").click()
        page.wait_for_selector("body[data-ready]")
        page.evaluate(TIMED, "40")  # the first ball of a server compiles what it computes with
        page.wait_for_timeout(3000)
        took = []
        for n in range(balls):
            if n % 7 == 0:
                page.locator(".shots button").nth(n // 7 % 9).click()
                page.wait_for_timeout(300)
            took.append(page.evaluate(TIMED, f"{38 + (n * 7) % 11}.{n % 10}"))
            page.wait_for_timeout(50)
        kept = sorted(one[0] for one in took)
        chart = sorted(one[1] for one in took if one[1] is not None)
        print(f"{balls} balls, {len(chart)} charts seen to follow")
        for name, times, limit in (("kept on the phone", kept, KEPT_MS), ("chart followed", chart, CHART_MS)):
            p95 = times[int(0.95 * (len(times) - 1))]
            print(
                f"{name:18} median {statistics.median(times):6.1f} ms   p95 {p95:6.1f} ms ({p95 / limit:4.2f} of the limit of {limit:.0f} ms)"
            )
        kb = first_load(browser, page.url)
        print(f"{'first load':18} {kb:6.1f} KB ({kb / LOAD_KB:4.2f} of the limit of {LOAD_KB:.0f} KB)")
        browser.close()


if __name__ == "__main__":
    main()
