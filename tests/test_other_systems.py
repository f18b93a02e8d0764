"""What a Linux machine can say about Windows: every module loads without what only POSIX has; locks and doctor do their part."""

import importlib
import os
import subprocess
import sys
import types
from pathlib import Path

import pytest

from threequarter import fence
from threequarter.store.database import fsync, sqlite

LOADS_ALL = """
import asyncio, logging.handlers, multiprocessing, os, pkgutil, importlib, signal, subprocess, tempfile, sys, threading
import numpy, sqlalchemy, fastapi, uvicorn, click, rich.console, zeroconf, wasmtime  # others' modules are their own care

class Hidden:
    NAMES = {"fcntl", "resource", "pwd", "grp", "termios", "tty", "pty", "syslog", "readline", "curses", "crypt", "spwd"}
    def find_spec(self, name, path=None, target=None):
        if name in self.NAMES:
            raise ModuleNotFoundError(f"No module named {name!r} (hidden)", name=name)

for name in Hidden.NAMES:
    sys.modules.pop(name, None)
sys.meta_path.insert(0, Hidden())
for name in ("fork", "forkpty", "getuid", "geteuid", "getgid", "setsid", "killpg", "getpgid", "chown", "nice", "mkfifo", "O_CLOEXEC",
             "O_NOFOLLOW", "O_DIRECTORY", "sched_getaffinity", "statvfs", "getloadavg", "uname"):
    if hasattr(os, name):
        delattr(os, name)
for name in ("SIGKILL", "SIGHUP", "SIGUSR1", "SIGUSR2", "SIGALRM", "SIGCHLD", "SIGPIPE", "alarm", "setitimer", "pthread_sigmask"):
    if hasattr(signal, name):
        delattr(signal, name)

import threequarter
failed, seen = [], 0
for module in pkgutil.walk_packages(threequarter.__path__, "threequarter."):
    if module.name.endswith("__main__") or ".migrations." in module.name:
        continue
    seen += 1
    try:
        importlib.import_module(module.name)
    except ImportError as error:
        if error.name in Hidden.NAMES or error.name is None or error.name.startswith("threequarter"):
            failed.append(f"{module.name}: {error}")
    except AttributeError as error:
        failed.append(f"{module.name}: {error}")
print(seen)
print("\\n".join(failed))
"""


@pytest.mark.slow
def test_every_module_loads_without_what_only_posix_has() -> None:
    done = subprocess.run(
        [sys.executable, "-c", LOADS_ALL],
        capture_output=True,
        text=True,
        check=False,
        env=os.environ | {"PYTHONWARNINGS": ""},
    )
    assert done.returncode == 0, done.stderr
    seen, *failed = done.stdout.strip().split("\n")
    assert int(seen) > 300
    assert failed == []


def test_the_windows_lock_keeps_a_second_holder_out(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """The branch for Windows, over a stand-in for its lock of a byte that refuses a second handle as the real one does."""
    held: set[str] = set()

    def locking(handle: int, mode: int, count: int) -> None:
        assert (mode, count) == (2, 1)
        name = str(Path(f"/proc/self/fd/{handle}").readlink())
        if name in held:
            raise PermissionError(13, "Permission denied")
        held.add(name)

    monkeypatch.setitem(sys.modules, "msvcrt", types.SimpleNamespace(locking=locking, LK_NBLCK=2))
    monkeypatch.setattr(fsync.sys, "platform", "win32")
    with (tmp_path / "a.lock").open("w") as one, (tmp_path / "a.lock").open("w") as two:
        fsync.lock_file(one.fileno(), wait=False)
        with pytest.raises(OSError, match="Permission denied"):
            fsync.lock_file(two.fileno(), wait=False)


def test_a_system_that_cannot_fence_is_told_and_not_asked_for_what_it_lacks(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(fence.sys, "platform", "win32")
    monkeypatch.setitem(sys.modules, "resource", None)  # importing it would fail
    monkeypatch.setattr(fence, "_network", lambda: "")
    assert fence.left_by_fence() == ["network", "files", "memory"]


@pytest.mark.parametrize("left", ["", "network memory"])
def test_doctor_says_what_the_reading_process_can_still_reach(monkeypatch: pytest.MonkeyPatch, left: str) -> None:
    from threequarter.cli import doctor

    monkeypatch.setattr(doctor, "child", lambda _: [sys.executable, "-c", f"print({left!r})"])
    finding = doctor.sandbox()
    assert finding.well is not bool(left)
    assert not finding.needed
    assert finding.found == (
        "can still reach: the network, memory without limit" if left else "no network, writes nothing"
    )


def test_a_process_that_was_fenced_tells_what_it_tried() -> None:
    done = subprocess.run(fence.child("threequarter.fence"), capture_output=True, text=True, check=True)
    assert set(done.stdout.split()) <= {"network", "files", "memory"}
    assert "files" not in done.stdout or sys.platform == "win32"


def test_where_no_wheel_of_sqlite_is_made_pythons_own_serves_and_its_age_is_looked_at(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    from threequarter.store.database.engines import safe_version

    real = importlib.import_module

    def without(name: str) -> types.ModuleType:
        if name.startswith("pysqlite3"):
            raise ImportError(name)
        return real(name)

    monkeypatch.setattr(sqlite.importlib, "import_module", without)
    assert sqlite.library().__name__ == "sqlite3"
    assert not safe_version((3, 40, 1))
    assert safe_version((3, 51, 3))


def test_no_two_files_of_the_repository_differ_only_in_case_or_have_names_windows_refuses() -> None:
    """Windows and macOS keep one of two; Windows knows no file CON, AUX or one that ends with a dot (Microsoft, Naming Files)."""
    root = Path(__file__).parents[1]
    listed = subprocess.run(["git", "ls-files"], cwd=root, capture_output=True, text=True, check=False).stdout.split(
        "\n"
    )
    if len(listed) < 10:
        pytest.skip("not a checkout")
    assert len({name.lower() for name in listed}) == len(listed)
    for name in filter(None, listed):
        for part in name.split("/"):
            assert part.split(".")[0].upper() not in {"CON", "PRN", "AUX", "NUL", "COM1", "LPT1"}, name
            assert not set(part) & set('<>:"\\|?*'), name
            assert part[-1] not in ". ", name
