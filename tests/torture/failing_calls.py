"""Each write call of the server failed in turn (EIO, ENOSPC): no false "saved", clear words, works again afterwards.

    python tests/torture/failing_calls.py [--every 1] [--error EIO --error ENOSPC]

`strace` joins the running server, lets exactly the Nth call of a kind fail while one act is asked for, and leaves. Whatever the
answer said must be true of the database and the folder; then the same act is asked again and must succeed, once. A server that
answers "saved" to everything (--plant lies) must be caught.
"""

import argparse
import hashlib
import json
import random
import re
import shutil
import subprocess
import sys
import tempfile
import time
import urllib.error
import urllib.parse
import urllib.request
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from kills import Server

KINDS = ("pwrite64", "fdatasync", "fsync", "ftruncate", "mkdir", "write", "rename", "unlink")
ERRORS = ("EIO", "ENOSPC")


def ask(server: Server, path: str, body: bytes, kind: str, method: str = "POST") -> tuple[int, str]:
    """Status and text of an answer; 0 where the server was gone."""
    request = urllib.request.Request(server.address + path, body, {"content-type": kind}, method=method)
    try:
        with urllib.request.urlopen(request, timeout=300) as answer:
            return answer.status, answer.read().decode()
    except urllib.error.HTTPError as error:
        return error.code, error.read().decode()
    except OSError as error:
        return 0, str(error)


@dataclass
class Act:
    """Something asked of the server. `run(n)` asks and returns the answer and whether it claims to have been done; `there(n)` whether it is."""

    name: str
    run: Callable[[int], tuple[int, str, bool]]
    there: Callable[[int], int]
    files: Callable[[int], list[Path]] | None = None


def acts(server: Server, data: Path, session: int, plant: str) -> list[Act]:
    return [_ball(server, data, session, plant), _clip(server, data, session), _table(server, data)]


def _rows(data: Path, sql: str, *values: Any) -> Any:
    import pysqlite3.dbapi2 as sqlite

    base = sqlite.connect(data / "threequarter.db")
    try:
        return base.execute(sql, values).fetchone()[0]
    finally:
        base.close()


def _ball(server: Server, data: Path, session: int, plant: str) -> Act:
    def run(n: int) -> tuple[int, str, bool]:
        body = {"balls": [{"key": f"failing-{n:05d}", "club": "54", "swing": "waist", "carry": 40, "unit": "yd"}]}
        status, text = ask(server, f"/api/sessions/{session}/balls", json.dumps(body).encode(), "application/json")
        saved = status == 200 and json.loads(text)["outcomes"][0]["state"] in ("saved", "known")
        return status, text, saved or plant == "lies"

    return Act("ball", run, lambda n: _rows(data, "SELECT count(*) FROM ball WHERE client_key = ?", f"failing-{n:05d}"))


def _clip(server: Server, data: Path, session: int) -> Act:
    """A part of a clip: what the server says has come must be on the disk, byte for byte."""
    started: dict[int, tuple[int, bytes]] = {}

    def begun(n: int) -> tuple[int, bytes]:
        if n not in started:
            film = random.Random(n).randbytes(30_000)
            form = {"name": "swing.mp4", "size": len(film), "session": session, "agree": "yes", "by_whom": "a guardian"}
            _, text = ask(
                server, "/clips/begin", urllib.parse.urlencode(form).encode(), "application/x-www-form-urlencoded"
            )
            started[n] = json.loads(text)["id"], film
        return started[n]

    def run(n: int) -> tuple[int, str, bool]:
        clip, film = begun(n)
        status, text = ask(server, f"/clips/{clip}/bytes?at=0", film[:20_000], "application/octet-stream", "PUT")
        return status, text, status == 200 and json.loads(text)["received"] == 20_000

    def there(n: int) -> int:
        clip, film = begun(n)
        received = _rows(data, "SELECT received FROM clip WHERE id = ?", clip)
        file = data / "clips" / str(clip) / "clip.mp4.part"
        whole = (
            received
            and hashlib.sha256(file.read_bytes()[:received]).digest() == hashlib.sha256(film[:received]).digest()
        )
        assert not received or whole, f"clip {clip}: the bytes on the disk are not those that came"
        return int(received == 20_000)

    return Act(
        "clip",
        run,
        there,
        lambda n: [data / "clips" / str(begun(n)[0]) / "clip.mp4.part", data / "clips" / str(begun(n)[0])],
    )


def _table(server: Server, data: Path) -> Act:
    """Lines typed and kept: all three balls of it or none."""

    def run(n: int) -> tuple[int, str, bool]:
        form = urllib.parse.urlencode(
            {
                "text": f"54 waist {n % 90 + 20} {n % 89 + 21} {n % 88 + 22}",
                "unit": "yd",
                "by": "device",
                "player": f"Rig {n}",
            }
        )
        status, text = ask(server, "/type", form.encode(), "application/x-www-form-urlencoded")
        if status != 200:
            return status, text, False
        key = re.search(r'action="(/keep/[^"]+)"', text)
        hidden = dict(re.findall(r'<input[^>]*type="hidden"[^>]*name="([^"]+)"[^>]*value="([^"]*)"', text))
        assert key, text[:2000]
        status, text = ask(
            server,
            key[1],
            urllib.parse.urlencode(hidden | {"whose": f"Rig {n}"}).encode(),
            "application/x-www-form-urlencoded",
        )
        return status, text, status == 200

    def there(n: int) -> int:
        balls = _rows(
            data,
            'SELECT count(*) FROM ball JOIN "import" i ON i.id = import_id JOIN session s ON s.id = i.session_id JOIN player p ON p.id = s.player_id WHERE p.name = ?',
            f"Rig {n}",
        )
        assert balls in (0, 3), f"{balls} of 3 balls were kept"
        return balls // 3

    return Act("table", run, there)


class Fault:
    """Joins the server so that the Nth call of a kind fails; with no error it only counts."""

    def __init__(self, server: Server, kind: str, paths: list[Path], error: str = "", nth: int = 1) -> None:
        self.log = Path(tempfile.mkstemp(prefix="threequarter-fault-")[1])
        command = ["strace", "-f", "-y", "-p", str(server.child.pid), "-e", f"trace={kind}", "-o", str(self.log)]
        if error:
            command += ["-e", f"inject={kind}:error={error}:when={nth}"]
        if kind == "write":  # sockets and the log are written too; only files of the act may fail
            for path in paths:
                command += ["-P", str(path)]
        self.strace = subprocess.Popen(command, stderr=subprocess.PIPE, text=True)
        assert self.strace.stderr is not None
        line = self.strace.stderr.readline()
        assert "attached" in line, f"strace cannot join the server: {line}"

    def leave(self) -> str:
        """Lets the server alone again; returns what was recorded."""
        self.strace.terminate()
        self.strace.wait()
        assert self.strace.stderr is not None
        self.strace.stderr.close()
        said = self.log.read_text(errors="replace")
        self.log.unlink()
        return said


def failing_calls(every: int, errors: tuple[str, ...], plant: str = "") -> dict[str, Any]:
    """Runs the rig; returns what was counted. Raises AssertionError naming act, call and answer where something said was not so."""
    counts = {"injected": 0, "refused": 0, "done_all_the_same": 0, "restarts": 0}
    with tempfile.TemporaryDirectory(prefix="threequarter-failing-") as folder:
        data = Path(folder)
        server = Server(data)
        try:
            form = urllib.request.Request(f"{server.address}/bucket", b"player=Wren+Sedge&unit=yd")
            with urllib.request.urlopen(form, timeout=5) as answer:
                session = int(re.search(r"/bucket/(\d+)", answer.url)[1])  # type: ignore[index]
            n = 0
            for act in acts(server, data, session, plant):
                n += 1
                act.run(n)  # once in peace: threads, imports, tables
                for kind in KINDS:
                    n += 1
                    paths = act.files(n) if act.files else []
                    calls = _count(server, act, kind, n, paths)
                    for nth in range(1, calls + 1, every):
                        for error in errors:
                            n += 1
                            _fail(server, act, kind, error, nth, n, counts)
        finally:
            server.kill()
        assert _rows(data, "PRAGMA integrity_check") == "ok"
    return counts


def _count(server: Server, act: Act, kind: str, n: int, paths: list[Path]) -> int:
    fault = Fault(server, kind, paths)
    act.run(n)
    by_thread: dict[str, int] = {}
    for line in fault.leave().splitlines():
        if f" {kind}(" in line:
            pid = line.split()[0]
            by_thread[pid] = by_thread.get(pid, 0) + 1
    return max(by_thread.values(), default=0)


def _fail(server: Server, act: Act, kind: str, error: str, nth: int, n: int, counts: dict[str, int]) -> None:
    paths = act.files(n) if act.files else []
    fault = Fault(server, kind, paths, error, nth)
    status, text, claimed = act.run(n)
    said = fault.leave()
    where = f"{act.name}, call {nth} of {kind} failed with {error}: answered {status} {text[:200]!r}"
    if "(INJECTED)" in said:
        counts["injected"] += 1
    kept = act.there(n)
    assert not claimed or kept == 1, f"said to be saved, but it is not: {where}"
    if not claimed:
        assert status in (0, 503, 507), f"refused without its own status: {where}"
        assert status == 0 or len(text) > 20, f"refused without words: {where}"
        counts["refused"] += 1
    elif "(INJECTED)" in said:
        counts["done_all_the_same"] += 1
    if server.child.poll() is not None:
        counts["restarts"] += 1
        server.start()
    until = time.monotonic() + 5
    while not act.run(n)[2]:
        assert time.monotonic() < until, f"not healthy again after five seconds: {where}"
    assert act.there(n) == 1, f"not once after asking again: {where}"


def possible() -> bool:
    """Whether this machine lets strace join a process."""
    if shutil.which("strace") is None:
        return False
    return (
        subprocess.run(
            ["strace", "-o", "/dev/null", "-e", "trace=none", "true"], capture_output=True, check=False
        ).returncode
        == 0
    )


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--every", type=int, default=1)
    parser.add_argument("--error", action="append", choices=ERRORS)
    parser.add_argument("--plant", choices=["", "lies"], default="")
    chosen = parser.parse_args()
    found = failing_calls(chosen.every, tuple(chosen.error or ERRORS), chosen.plant)
    sys.stdout.write(json.dumps(found) + "\n")


if __name__ == "__main__":
    main()
