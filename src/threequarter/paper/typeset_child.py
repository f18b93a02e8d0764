"""The typesetter's own process: one request on standard input, the PDF or PNG on standard output, and nothing else it can do.

`python -m threequarter.paper.typeset_child MEGABYTES SECONDS`. What a user typed is in what is set here, so this process has no
network, writes no file, and is limited in memory and time. Exit 3: one line on standard error.
"""

import contextlib
import json
import os
import sys

_CLONE_NEWUSER, _CLONE_NEWNET, _PR_SET_PDEATHSIG, _PR_SET_NO_NEW_PRIVS = 0x10000000, 0x40000000, 1, 38


def fence(megabytes: int, seconds: int) -> None:
    """Takes away what typesetting does not need, as far as the system can; the parent's clock holds everywhere."""
    try:
        import resource
    except ImportError:  # not on Windows
        return
    for what, value in (
        (resource.RLIMIT_AS, megabytes * 2**20), (resource.RLIMIT_CPU, seconds), (resource.RLIMIT_FSIZE, 0), (resource.RLIMIT_CORE, 0),
    ):  # fmt: skip
        with contextlib.suppress(ValueError, OSError):
            resource.setrlimit(what, (value, value))
    if sys.platform == "linux":
        import ctypes

        libc = ctypes.CDLL(None, use_errno=True)
        libc.prctl(_PR_SET_PDEATHSIG, 9, 0, 0, 0)
        libc.prctl(_PR_SET_NO_NEW_PRIVS, 1, 0, 0, 0)
        if libc.unshare(_CLONE_NEWNET) != 0:
            libc.unshare(_CLONE_NEWUSER | _CLONE_NEWNET)


def main() -> None:
    request = json.loads(sys.stdin.buffer.read())
    import typst

    fence(int(sys.argv[1]), int(sys.argv[2]))
    try:
        made = typst.compile(**request)
    except (RuntimeError, typst.TypstError) as error:
        sys.stderr.write(" ".join(str(error).split())[:300])
        sys.stderr.flush()
        os._exit(3)
    sys.stdout.buffer.write(bytes(made))
    sys.stdout.buffer.flush()
    os._exit(0)  # quicker than tidying up


if __name__ == "__main__":
    main()
