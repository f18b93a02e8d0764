"""Long work in a process of its own: what is asked goes in as JSON, what happens comes back as JSON lines."""

import json
import subprocess
import tempfile
import threading
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Final

from threequarter.fence import child as child_command
from threequarter.golf.message import Message, from_json
from threequarter.jobs.shutdown import CHILDREN

MODULE: Final = "threequarter.app.child"


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """How a child ended. `why` is empty where it was killed or crashed; `log` the last of what it printed."""

    done: bool = False
    again: bool = False
    why: Message | str = ""
    log: str = ""


def run_child(
    asked: dict[str, Any], longest_s: float, progress: Callable[[float], bool] = lambda _share: True
) -> Outcome:
    """Has a child do what is asked (see `threequarter.app.child`); ends it where `progress` says False, or it takes too long."""
    with tempfile.TemporaryFile() as log:
        child = subprocess.Popen(
            child_command(MODULE),
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=log,
            text=True,
            encoding="utf-8",
        )
        CHILDREN.add(child)
        watch = threading.Timer(longest_s, child.kill)
        watch.start()
        try:
            last = _listen(child, asked, progress)
        finally:
            watch.cancel()
            child.kill() if child.poll() is None else None
            child.wait()
            CHILDREN.discard(child)
        if last.get("done") and child.returncode == 0:
            return Outcome(done=True)
        log.seek(0)
        printed = log.read()[-2000:].decode("utf-8", "replace").strip()
        why = last.get("failed", "")
        return Outcome(again=bool(last.get("again")), why=from_json(why) if isinstance(why, dict) else why, log=printed)


def _listen(child: "subprocess.Popen[str]", asked: dict[str, Any], progress: Callable[[float], bool]) -> dict[str, Any]:
    """Asks, follows what the child tells, and returns the last that is no progress."""
    assert child.stdin is not None
    assert child.stdout is not None
    last: dict[str, Any] = {}
    try:
        with child.stdin:
            child.stdin.write(json.dumps(asked))
    except BrokenPipeError:
        return last
    with child.stdout:
        for line in child.stdout:
            if not line.endswith("\n"):  # broken off by the end of a child that died
                break
            told = json.loads(line)
            if "progress" not in told:
                last = told
            elif not progress(float(told["progress"])):
                child.kill()
    child.wait()
    return last
