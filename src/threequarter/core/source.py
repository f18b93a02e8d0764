"""Which source `core.wasm` was built of: it ends with a digest of it, so that a core of another source is never run.

`hatch_build.py` reads this file by itself and builds by these options; nothing else of ours is imported here.
"""

import hashlib
from collections.abc import Mapping
from typing import Final

FLAGS: Final = (
    *(
        "-target",
        "wasm32-freestanding",
        "-O3",
        "-msimd128",
        "-ffp-contract=off",
        "-g0",
        "-Wall",
        "-Wextra",
        "-nostdlib",
    ),
    *("-fno-builtin-memset", "-Wl,--no-entry", "-Wl,--strip-all"),
)
SUFFIXES: Final = (".c", ".h")
_SAYS: Final = b"\x0fbuilt of source"  # a name, its length before it


def ending(sources: Mapping[str, bytes]) -> bytes:
    """How a core built of these files (content by name) ends: a name, then a digest of them and of the compiler's options."""
    told = hashlib.sha256(" ".join(FLAGS).encode())
    for name in sorted(sources):
        told.update(name.encode() + b"\0" + sources[name].replace(b"\r\n", b"\n") + b"\0")
    return _SAYS + told.digest()
