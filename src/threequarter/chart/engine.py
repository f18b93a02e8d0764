"""The sampler's run in the compiled core. One array in, one array out; one instance a thread."""

import threading
from functools import cache
from typing import Any, Final

import numpy as np
import wasmtime
from numpy.typing import NDArray

from threequarter.core import core_bytes

Floats = NDArray[np.float64]

_MINE: Final = threading.local()


@cache
def _module() -> tuple[wasmtime.Engine, wasmtime.Module]:
    engine = wasmtime.Engine()
    return engine, wasmtime.Module(engine, core_bytes())


def _instance() -> tuple[wasmtime.Store, Any]:
    """A store and its exports for this thread, made when first asked for."""
    if not hasattr(_MINE, "made"):
        engine, module = _module()
        store = wasmtime.Store(engine)
        _MINE.made = store, wasmtime.Instance(store, module, []).exports(store)
    made: tuple[wasmtime.Store, Any] = _MINE.made
    return made


def run(numbers: Floats, answers: int) -> Floats:
    """Runs the core over an input; the first `answers` numbers of what it gives back."""
    store, exports = _instance()
    place = exports["input_room"](store, len(numbers))
    exports["memory"].write(store, numbers.tobytes(), place)
    start = exports["run"](store, place)
    return np.frombuffer(exports["memory"].read(store, start, start + 8 * answers), dtype=np.float64)
