"""Several servers and workers of one academy, each a real process that can be killed and started again."""

import http.client
import json
import os
import re
import subprocess
import sys
import time
import urllib.error
import urllib.parse
import urllib.request
from pathlib import Path
from types import TracebackType
from typing import Any

ROOT = Path(__file__).parents[1]
SWINGS = Path(__file__).parent / "data" / "swings"


class Program:
    """One process of `threequarter`; `kill` ends it with -9, `start` again keeps its port."""

    def __init__(self, command: str, data: Path, url: str | None, *options: str, clips: Path | None = None) -> None:
        self.command, self.data, self.options, self.port = command, data, options, 0
        self.env = {**os.environ, "PYTHONPATH": str(ROOT / "src")}
        self.env.pop("THREEQUARTER_DATABASE_URL", None)
        if url:
            self.env["THREEQUARTER_DATABASE_URL"] = url
        if clips:
            self.env["THREEQUARTER_CLIPS"] = str(clips)
        self.log = data / f"{command}-{id(self)}.log"
        self.child: subprocess.Popen[str] | None = None
        self.says = ""

    def begin(self) -> None:
        """Starts the process, without waiting for it."""
        port = ["--port", str(self.port), "--no-browser"] if self.command == "serve" else []
        self.data.mkdir(parents=True, exist_ok=True)
        with self.log.open("ab") as log:
            self.child = subprocess.Popen(
                [
                    sys.executable,
                    "-u",
                    "-m",
                    "threequarter",
                    self.command,
                    *port,
                    "--data",
                    str(self.data),
                    *self.options,
                ],
                stdout=subprocess.PIPE,
                stderr=log,
                text=True,
                env=self.env,
            )

    def ready(self) -> None:
        """Waits for its first line, which says that it is there."""
        assert self.child is not None
        assert self.child.stdout is not None
        self.says = self.child.stdout.readline()
        assert self.says, self.log.read_text()
        found = re.search(r"127\.0\.0\.1:(\d+)", self.says)
        self.port = int(found[1]) if found and self.command == "serve" else self.port

    def start(self) -> None:
        """Starts and waits."""
        self.begin()
        self.ready()

    def kill(self) -> None:
        """Ends it at once, as a crash would."""
        if self.child is not None:
            self.child.kill()
            self.child.wait()
            if self.child.stdout:
                self.child.stdout.close()
            self.child = None

    @property
    def address(self) -> str:
        return f"http://127.0.0.1:{self.port}"

    def get(self, path: str, timeout: float = 30) -> Any:
        """The JSON at a path."""
        with urllib.request.urlopen(self.address + path, timeout=timeout) as answer:
            return json.loads(answer.read())

    def post(self, path: str, body: Any, timeout: float = 30) -> Any:
        """Sends JSON, gives JSON."""
        request = urllib.request.Request(
            self.address + path, json.dumps(body).encode(), {"content-type": "application/json"}
        )
        with urllib.request.urlopen(request, timeout=timeout) as answer:
            return json.loads(answer.read())

    def form(self, path: str, **fields: str) -> str:
        """Sends a form; the address it leads to."""
        request = urllib.request.Request(self.address + path, urllib.parse.urlencode(fields).encode())
        with urllib.request.urlopen(request, timeout=300) as answer:
            return str(answer.url)

    def page(self, path: str) -> str:
        """The text of a page."""
        with urllib.request.urlopen(self.address + path, timeout=300) as answer:
            return str(answer.read().decode())

    def address_of(self, path: str) -> str:
        """The path that an address leads to."""
        with urllib.request.urlopen(self.address + path, timeout=300) as answer:
            return str(answer.url).removeprefix(self.address)

    def begin_bucket(self, player: str = "Wren Sedge") -> int:
        """A new session to type into."""
        found = re.search(r"/bucket/(\d+)", self.form("/bucket", player=player, unit="yd"))
        assert found
        return int(found[1])

    def begin_clinic(self, player: str = "Wren Sedge") -> tuple[int, int]:
        """A clinic of one player; returns its number and that of the player's day."""
        wall = self.form("/clinic", names=player, clubs="54", swings="waist", balls="6", unit="yd")
        clinic = re.search(r"/clinics/(\d+)", wall)
        assert clinic
        day = re.search(r"/bucket/(\d+)", self.page(f"/clinics/{clinic[1]}"))
        assert day
        return int(clinic[1]), int(day[1])

    def upload(self, film: Path, session: int | None = None, *, part: int = 100_000) -> int:
        """Sends a clip in parts, each until it was taken; returns its id."""
        content = film.read_bytes()
        form = {
            "name": film.name,
            "size": str(len(content)),
            "agree": "yes",
            "by_whom": "a guardian",
            "session": str(session or ""),
        }
        clip = int(
            json.loads(
                self._insist(
                    "POST", "/clips/begin", urllib.parse.urlencode(form).encode(), "application/x-www-form-urlencoded"
                )
            )["id"]
        )
        for at in range(0, len(content), part):
            self._insist("PUT", f"/clips/{clip}/bytes?at={at}", content[at : at + part], "application/octet-stream")
        return clip

    def _insist(self, method: str, path: str, body: bytes, kind: str) -> bytes:
        until = time.monotonic() + 300
        while True:
            try:
                request = urllib.request.Request(self.address + path, body, {"content-type": kind}, method=method)
                with urllib.request.urlopen(request, timeout=300) as answer:
                    return bytes(answer.read())
            except (OSError, http.client.HTTPException) as error:
                status = error.code if isinstance(error, urllib.error.HTTPError) else 0
                if status not in (0, 503) or time.monotonic() > until:
                    raise
                time.sleep(0.3)

    def __enter__(self) -> "Program":
        self.start()
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.kill()


def server(data: Path, url: str | None, *options: str, **more: Any) -> Program:
    """A web process that measures no clips."""
    return Program("serve", data, url, "--no-worker", *options, **more)


def worker(data: Path, url: str | None, **more: Any) -> Program:
    """A worker process."""
    return Program("work", data, url, **more)


def wait_until(true: Any, seconds: float, what: str) -> float:
    """Waits until a question is answered with yes; returns how long it took."""
    begun = time.monotonic()
    while not true():
        assert time.monotonic() - begun < seconds, f"not within {seconds} s: {what}"
        time.sleep(0.2)
    return time.monotonic() - begun
