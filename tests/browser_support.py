"""A real server in a process of its own, and the browser that visits it."""

import re
import shutil
import subprocess
import sys
from pathlib import Path
from types import TracebackType
from typing import Any, Final

CHROMIUM: Final = shutil.which("chromium") or shutil.which("chromium-browser")
ARGS: Final = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
AXE: Final = (Path(__file__).parent / "vendor" / "axe.min.js").read_text(encoding="utf-8")
PHONE: Final = {"width": 390, "height": 844}
LAPTOP: Final = {"width": 1280, "height": 800}


class Server:
    """`threequarter serve` over a data folder; `kill` and `start` again keep the address."""

    def __init__(self, data: Path) -> None:
        self.data, self.port = data, 0

    def start(self) -> None:
        command = [
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
        ]
        self._child = subprocess.Popen(command, stdout=subprocess.PIPE, text=True)
        assert self._child.stdout is not None
        match = re.search(r"http://127\.0\.0\.1:(\d+)", self._child.stdout.readline())
        assert match
        self.port = int(match[1])

    @property
    def address(self) -> str:
        return f"http://127.0.0.1:{self.port}"

    def kill(self) -> None:
        """Ends it with -9, as a crash would."""
        self._child.kill()
        self._child.wait()
        if self._child.stdout:
            self._child.stdout.close()

    def __enter__(self) -> "Server":
        self.start()
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.kill()


def broken_anywhere(page: Any) -> list[tuple[Any, ...]]:
    """What axe finds on phone and laptop by day, and how far the page scrolls sideways; of the dark look, which differs in its
    inks alone, what it finds of contrast on the laptop."""
    found: list[tuple[Any, ...]] = []
    for size in (PHONE, LAPTOP):
        page.set_viewport_size(size)
        for scheme, rules in (("light", ()), ("dark", ("color-contrast",)))[: 1 + (size is LAPTOP)]:
            page.emulate_media(color_scheme=scheme)
            found += [(size["width"], scheme, *one) for one in broken_rules(page, *rules)]
        wide = page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth")
        found += [(size["width"], "scrolls sideways", wide)] if wide > 0 else []
    return found


def broken_rules(page: Any, *rules: str) -> list[tuple[str, list[str]]]:
    """What axe finds against the rules named (all of WCAG 2.2 AA and best practice by default)."""
    if not page.evaluate("'axe' in window"):
        page.evaluate(AXE)
    chosen = list(rules) or ["wcag2a", "wcag2aa", "wcag21aa", "wcag22aa", "best-practice"]
    found = page.evaluate("rules => axe.run({runOnly: rules})", chosen)
    return [(v["id"], [n["html"] for n in v["nodes"]][:3]) for v in found["violations"]]


def small_targets(page: Any) -> list[str]:
    """What is pressed and smaller than 44 pixels; a link within a line of text may be (WCAG 2.2, 2.5.8)."""
    return list(
        page.evaluate(
            """() => [...document.querySelectorAll("main a, main button, main summary, nav a")]
              .filter((one) => one.checkVisibility() && getComputedStyle(one).display !== "inline")
              .filter((one) => { const box = one.getBoundingClientRect(); return box.height < 43.5 || box.width < 43.5; })
              .map((one) => one.outerHTML.slice(0, 90))"""
        )
    )
