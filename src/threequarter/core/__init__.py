"""The compiled core: one source in C, built to WebAssembly, so that Python and a browser run the same bytes.

`hatch_build.py` builds `core.wasm` with the compiler that the wheel `ziglang` carries. It is not kept in the repository; a
checkout builds it anew where it is missing or older than its source.
"""

import runpy
from functools import cache
from importlib.resources import files
from typing import Final

CORE: Final = "core.wasm"


class CoreMissingError(RuntimeError):
    """The core was not built and cannot be built here."""


@cache
def core_bytes() -> bytes:
    """The core as a WebAssembly module.

    Raises CoreMissingError where it is not there and no compiler is at hand.
    """
    here = files(__name__)
    recipe = here.joinpath("..", "..", "..", "hatch_build.py")
    if recipe.is_file():  # a checkout
        runpy.run_path(str(recipe))["build_core"](quiet=True)
    core = here / CORE
    if not core.is_file():
        raise CoreMissingError("core.wasm is missing. Run: pip install ziglang && python hatch_build.py")
    return core.read_bytes()
