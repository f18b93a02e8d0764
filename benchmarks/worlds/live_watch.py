"""A browser whose camera is a film and whose microphone is its sound, on the live page; and what it found against what was so."""

from __future__ import annotations

import os
import signal
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Any

NEAR_S = 0.3
NOTED = """() => {
  window.happened = [];
  document.getElementById('live').addEventListener('swing', (event) => happened.push(event.detail));
}"""


def fake_devices(folder: Path) -> list[str]:
    """Chromium's arguments for camera.mjpeg and sound.wav of a folder."""
    return [
        "--use-fake-ui-for-media-stream",
        "--use-fake-device-for-media-stream",
        f"--use-file-for-fake-video-capture={folder}/camera.mjpeg",
        f"--use-file-for-fake-audio-capture={folder}/sound.wav",
        "--autoplay-policy=no-user-gesture-required",
    ]


def begin(page: Any, address: str, session: int, films: bool = False) -> None:
    """Consents, to clips that may be kept as well where `films`, and starts the camera."""
    page.goto(f"{address}/sessions/{session}/live")
    if page.get_by_role("button", name="Go on").count():
        page.locator("input[name=agreed]").check()
        page.locator("input[name=films]").set_checked(films)
        page.get_by_role("button", name="Go on").click()
    page.locator("#live.ready").wait_for()
    page.evaluate(NOTED)
    page.locator("#live-start").click()


def happened(page: Any) -> list[dict[str, Any]]:
    """What the page answered so far."""
    found: list[dict[str, Any]] = page.evaluate("happened")
    return found


def compared(found: list[dict[str, Any]], truth: dict[str, Any], loops: int = 1) -> dict[str, Any]:
    """Balls and practice swings found, missed and false, while the film went round `loops` times; when it began is what fits most."""
    swings = [{**one, "at_s": one["at_s"] + k * truth["length_s"]} for k in range(loops) for one in truth["swings"]]
    times = [one["t_impact_s"] for one in found if one.get("t_impact_s") is not None]
    begins = [at - swing["at_s"] for at in times for swing in swings]
    fits = {b: sum(any(abs(at - b - s["at_s"]) < NEAR_S for s in swings) for at in times) for b in begins}
    began = max(fits, key=lambda b: fits[b], default=0.0)
    result: dict[str, Any] = {
        "balls": 0,
        "practice": 0,
        "took_s": [],
        "back_off_deg": [],
        "through_off_deg": [],
        "false": [],
    }
    left = list(found)
    for swing in swings:
        near = [one for one in left if abs((one.get("t_impact_s") or -1e9) - began - swing["at_s"]) < NEAR_S]
        if not near:
            continue
        one = near[0]
        left.remove(one)
        result["balls"] += int(one["kind"] == "ball" and swing["ball"])
        result["practice"] += int(one["kind"] == "practice" and not swing["ball"])
        if one["kind"] == "ball" and not swing["ball"]:
            result["false"].append(one)
        if one["kind"] == "ball":
            result["took_s"].append(one["took_s"])
        for name, field in (("back", "lead_arm_top_deg"), ("through", "lead_arm_finish_deg")):
            if one.get(name):
                result[f"{name}_off_deg"].append((one[name]["deg"] - swing[field], one[name]["doubt_deg"]))
    result["false"] += [one for one in left if one["kind"] == "ball"]
    result["refused"] = [one["lines"] for one in left if one["kind"] == "refused"]
    return result


def renderers(root: int) -> list[int]:
    """The processes of pages under a browser's own process."""
    parents, kinds = {}, {}
    for folder in Path("/proc").iterdir():
        if folder.name.isdigit():
            try:
                parents[int(folder.name)] = int((folder / "stat").read_text().rpartition(")")[2].split()[1])
                kinds[int(folder.name)] = (folder / "cmdline").read_bytes()
            except OSError:
                continue
    found = []
    for pid, kind in kinds.items():
        at = pid
        while at in parents and at != root:
            at = parents[at]
        if at == root and b"--type=renderer" in kind:
            found.append(pid)
    return found


@contextmanager
def slowed(pids: Callable[[], list[int]], times: float, slice_s: float = 0.01) -> Iterator[None]:
    """Lets processes run only one part in `times` of the time: the browser's own brake holds the page's thread and leaves workers
    alone. They must have been started by the caller."""
    stop = threading.Event()

    def brake() -> None:
        while not stop.is_set():
            held = pids()
            for pid in held:
                _send(pid, signal.SIGSTOP)
            time.sleep(slice_s * (times - 1))
            for pid in held:
                _send(pid, signal.SIGCONT)
            time.sleep(slice_s)

    thread = threading.Thread(target=brake, daemon=True)
    if times > 1:
        thread.start()
    try:
        yield
    finally:
        stop.set()
        if times > 1:
            thread.join()
        for pid in pids():
            _send(pid, signal.SIGCONT)


def _send(pid: int, what: signal.Signals) -> None:
    with suppress(ProcessLookupError):
        os.kill(pid, what)
