"""A real PostgreSQL of the tests' own: made in a folder that goes away, started on a free port, killed and started at will.

It runs with fsync on, as the program demands. Where no durability is tested its folder lies in memory (/dev/shm), where fsync
costs nothing; `Server(durable=True)` keeps it on the disk.
"""

import ctypes
import os
import pwd
import shutil
import signal
import socket
import subprocess
import tempfile
import time
import uuid
from pathlib import Path
from typing import Final

NOT_HERE: Final = "NOT TESTED HERE: no PostgreSQL found (initdb); on Debian or Ubuntu: sudo apt-get install postgresql"
USER: Final = "threequarter"
PASSWORD: Final = "only-for-tests"
MEMORY: Final = Path("/dev/shm")
MEMORY_NEEDED: Final = 2**30
SETTINGS: Final = (
    "max_wal_size=128MB",
    "wal_level=minimal",
    "max_wal_senders=0",
    "autovacuum=off",
    "shared_buffers=32MB",
    "max_connections=200",
    "logging_collector=off",
    "jit=off",
)


def binaries() -> Path | None:
    """The folder of initdb and postgres, the newest version first; None where there is none."""
    found = shutil.which("initdb")
    if found:
        return Path(found).resolve().parent
    known = sorted(Path("/usr/lib/postgresql").glob("*/bin/initdb"), key=lambda path: int(path.parts[-3]))
    return known[-1].parent if known else None


def _other_user() -> int | None:
    """PostgreSQL refuses to run as root; then another user runs it."""
    if os.geteuid() != 0:
        return None
    for name in ("postgres", "nobody"):
        try:
            return pwd.getpwnam(name).pw_uid
        except KeyError:
            continue
    return 65534


def _end_with_parent() -> None:
    ctypes.CDLL(None).prctl(1, signal.SIGQUIT)  # PR_SET_PDEATHSIG: tests that are killed leave no server behind


def _in_memory() -> bool:
    return MEMORY.is_dir() and os.access(MEMORY, os.W_OK) and shutil.disk_usage(MEMORY).free > MEMORY_NEEDED


class Server:
    """A PostgreSQL server. `url` makes a fresh database; `stop` and `start` as often as you like."""

    def __init__(self, *, durable: bool = False, settings: tuple[str, ...] = ()) -> None:
        found = binaries()
        assert found is not None, NOT_HERE
        self.binaries, self.settings, self._user = found, (*SETTINGS, *settings), _other_user()
        base = MEMORY if not durable and _in_memory() else None
        self.folder = Path(tempfile.mkdtemp(prefix="tq-pg-", dir=base))
        self.data = self.folder / "data"
        self.log = self.folder / "log"
        with socket.socket() as probe:
            probe.bind(("127.0.0.1", 0))
            self.port = int(probe.getsockname()[1])
        if self._user is not None:
            os.chown(self.folder, self._user, -1)
        self._process: subprocess.Popen[bytes] | None = None
        self._make()

    def _run(self, *command: str | Path) -> None:
        done = subprocess.run(command, capture_output=True, text=True, user=self._user, cwd=self.folder)
        assert done.returncode == 0, done.stderr

    def _make(self) -> None:
        secret = self.folder / "password"
        secret.write_text(PASSWORD)
        secret.chmod(0o644)
        self._run(
            self.binaries / "initdb",
            "-D",
            self.data,
            "-U",
            USER,
            "-A",
            "scram-sha-256",
            f"--pwfile={secret}",
            "-E",
            "UTF8",
            "--locale=C.UTF-8",
            "--no-sync",
        )

    def start(self) -> None:
        """Starts the server and waits until it answers."""
        command = [
            str(self.binaries / "postgres"),
            "-D",
            str(self.data),
            "-p",
            str(self.port),
            "-k",
            str(self.folder),
            "-h",
            "127.0.0.1",
        ]
        for setting in self.settings:
            command += ["-c", setting]
        with self.log.open("ab") as log:
            self._process = subprocess.Popen(
                command, stdout=log, stderr=log, user=self._user, cwd=self.folder, preexec_fn=_end_with_parent
            )
        until = time.monotonic() + 300
        while not self.answers():
            assert self._process.poll() is None, self.log.read_text()
            assert time.monotonic() < until, self.log.read_text()
            time.sleep(0.05)

    def answers(self) -> bool:
        """Whether it takes connections now."""
        import psycopg

        try:
            with psycopg.connect(self._url("postgres", "postgresql"), connect_timeout=5):
                return True
        except psycopg.OperationalError:
            return False

    def stop(self, how: signal.Signals = signal.SIGQUIT) -> None:
        """Stops it: at once as in a crash (SIGQUIT, the default), or in order (SIGINT)."""
        if self._process is not None:
            self._process.send_signal(how)
            self._process.wait(60)
            self._process = None

    def remove(self) -> None:
        """Stops it and removes its folder."""
        self.stop()
        shutil.rmtree(self.folder, ignore_errors=True)

    def _url(self, name: str, scheme: str = "postgresql+psycopg") -> str:
        return f"{scheme}://{USER}:{PASSWORD}@127.0.0.1:{self.port}/{name}"

    def execute(self, statement: str, database: str = "postgres") -> None:
        """Runs one statement outside of a transaction."""
        import psycopg

        with psycopg.connect(self._url(database, "postgresql"), autocommit=True) as connection:
            connection.execute(statement)  # type: ignore[arg-type]

    def url(self, *, options: str = "") -> str:
        """The URL of a fresh, empty database."""
        name = f"t{uuid.uuid4().hex[:12]}"
        self.execute(f'CREATE DATABASE "{name}" {options}')
        return self._url(name)

    def drop(self, url: str) -> None:
        """Removes a database, whoever is connected to it."""
        self.execute(f'DROP DATABASE IF EXISTS "{url.rsplit("/", 1)[1]}" WITH (FORCE)')
