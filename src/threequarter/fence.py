"""Work on what somebody sent is done in processes of their own; this takes away from such a process what it does not need.

A clip, a workbook or a text to print can crash, hang or mislead the library that reads it. So it runs apart: no network, no file
written, limited memory and processor time, ended with its parent. What a system cannot take away is left; the parent's clock
holds everywhere.
"""

import contextlib
import os
import sys
from typing import Final

_CLONE_NEWUSER, _CLONE_NEWNET, _PR_SET_PDEATHSIG, _PR_SET_NO_NEW_PRIVS = 0x10000000, 0x40000000, 1, 38
MEGABYTE: Final = 2**20


def child(module: str, *arguments: str) -> list[str]:
    """The command that runs a module of ours apart. Nothing of the folder one stands in can take a library's place (-P)."""
    return [sys.executable, "-P", "-X", "utf8", "-m", module, *arguments]


def fence(megabytes: int, seconds: int) -> None:
    """Fences this process in; called by a child before it looks at anything. Windows has none of it."""
    if sys.platform != "win32":
        import resource

        limits = (
            (resource.RLIMIT_AS, megabytes * MEGABYTE, megabytes * MEGABYTE),
            (resource.RLIMIT_CPU, seconds, seconds + 1),
            (resource.RLIMIT_FSIZE, 0, 0),
            (resource.RLIMIT_CORE, 0, 0),
        )
        for what, soft, hard in limits:
            with contextlib.suppress(ValueError, OSError):
                resource.setrlimit(what, (soft, hard))
    if sys.platform == "linux":
        _cut_off()


def left_by_fence() -> list[str]:
    """Fences this process in, then looks what it can still reach, of "network", "files", "memory"."""
    before = _network()
    fence(1024, 10)
    left = ["network"] if _network() == before else []
    if sys.platform != "win32":
        import resource

        left += ["files"] if resource.getrlimit(resource.RLIMIT_FSIZE)[0] != 0 else []
        limited = resource.getrlimit(resource.RLIMIT_AS)[0] != resource.RLIM_INFINITY
        left += [] if limited and sys.platform != "darwin" else ["memory"]  # macOS takes the limit and does not keep it
    else:
        left += ["files", "memory"]
    return left


def _network() -> str:
    """The name of the network this process is in, empty where the system has no such name."""
    try:
        return os.readlink("/proc/self/ns/net")  # noqa: PTH115  (rooms without files import this)
    except OSError:
        return ""


def end_with_parent() -> None:
    """This process ends when the one that started it does, where the system can do that."""
    if sys.platform == "linux":
        import ctypes

        ctypes.CDLL(None, use_errno=True).prctl(_PR_SET_PDEATHSIG, 9, 0, 0, 0)


def give_way(by: int = 10) -> None:
    """From here on this process and those it starts take what others leave of the processors: nobody waits for them as for a page."""
    if hasattr(os, "nice"):
        os.nice(by)


def _cut_off() -> None:
    """Ends with the parent, gains no rights, has no network."""
    import ctypes

    end_with_parent()
    libc = ctypes.CDLL(None, use_errno=True)
    libc.prctl(_PR_SET_NO_NEW_PRIVS, 1, 0, 0, 0)
    if libc.unshare(_CLONE_NEWNET) != 0:
        libc.unshare(_CLONE_NEWUSER | _CLONE_NEWNET)


def leave() -> None:
    """Ends at once with what was said; quicker than tidying up, and safe after a library was misled."""
    sys.stdout.buffer.flush()
    sys.stderr.flush()
    os._exit(0)


if __name__ == "__main__":
    print(*left_by_fence())  # noqa: T201
