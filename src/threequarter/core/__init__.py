"""The compiled core: one source in C, built to WebAssembly, so that Python and a browser run the same bytes.

`core.wasm` lies in the repository beside its source and says which source and compiler it was built from; `hatch_build.py`
builds it anew, to the same bytes, with the compiler that the wheel `ziglang` carries. So only who changes the C needs one.
One array of numbers in, one out; a WebAssembly instance a thread.
"""

import threading
from functools import cache
from importlib.resources import files
from typing import Any, Final

import numpy as np
import wasmtime
from numpy.typing import NDArray

from threequarter.core.source import SUFFIXES, ending

Floats = NDArray[np.float64]

_MINE: Final = threading.local()
_ONE_MAKES: Final = threading.Lock()


class CoreStaleError(RuntimeError):
    """The core is missing, or was built of another source than the one beside it."""


def core_bytes() -> bytes:
    """The core as a WebAssembly module. Raises CoreStaleError rather than run another source's."""
    here = files(__name__)
    sources = {file.name: file.read_bytes() for file in here.iterdir() if file.name.endswith(SUFFIXES)}
    core = here.joinpath("core.wasm")
    found = core.read_bytes() if core.is_file() else b""
    if not found.endswith(ending(sources)):
        raise CoreStaleError(
            "core.wasm is not built of the C beside it. Run: pip install ziglang && python hatch_build.py"
        )
    return found


@cache
def _module() -> tuple[wasmtime.Engine, wasmtime.Module]:
    engine = wasmtime.Engine()
    return engine, wasmtime.Module(engine, core_bytes())


def _instance() -> tuple[wasmtime.Store, Any]:
    """A store and its exports for this thread, made when first asked for."""
    if not hasattr(_MINE, "made"):
        with _ONE_MAKES:  # two threads at the start would both translate it
            engine, module = _module()
        store = wasmtime.Store(engine)
        _MINE.made = store, wasmtime.Instance(store, module, []).exports(store)
    made: tuple[wasmtime.Store, Any] = _MINE.made
    return made


def call(name: str, numbers: Floats, answers: int) -> Floats:
    """Calls a function of the core with an input; the first `answers` numbers of what it gives back."""
    store, exports = _instance()
    place = exports["input_room"](store, len(numbers))
    exports["memory"].write(store, numbers.tobytes(), place)
    begin = exports[name](store, place)
    return np.frombuffer(exports["memory"].read(store, begin, begin + 8 * answers), dtype=np.float64)
