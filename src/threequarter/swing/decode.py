"""Clip to frames: exact times, upright pictures, nothing trusted. The decoding itself runs in `decode_child.py`."""

import json
import subprocess
import threading
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from importlib.util import find_spec
from pathlib import Path
from typing import IO, Any

import numpy as np
from numpy.typing import NDArray

from threequarter.fence import child as child_command
from threequarter.golf.errors import UserError
from threequarter.golf.message import Message
from threequarter.swing.decode_child import HEADER

MAX_DURATION_S = 3600.0
STALLED_S = 60.0
"""A decoder that gives no frame for so long is ended."""

Image = NDArray[np.uint8]


@dataclass(frozen=True, slots=True, kw_only=True)
class ClipInfo:
    """What a clip says of itself: size in pixels as stored, rate, length, codec, and the rate at which a slow-motion film was
    taken. Unknowns are None."""

    width: int
    height: int
    codec: str
    fps: float | None
    duration_s: float | None
    filmed_fps: float | None = None


@dataclass(frozen=True, slots=True)
class Frame:
    """One upright picture. `time_s` is on the clip's own clock; `rgb` has shape (height, width, 3), uint8."""

    time_s: float
    rgb: Image


def require_video() -> None:
    """Raises UserError where the libraries of the video extra are missing."""
    missing = [name for name in ("av", "ai_edge_litert") if find_spec(name) is None]
    if missing:
        raise UserError(Message("swing.no_video"))


def probe(path: Path) -> ClipInfo:
    """What the clip says of itself. Raises UserError with the reason where it cannot be read."""
    with _child(path, {"probe": True}) as (info, _pipe):
        return info


def frames(
    path: Path,
    *,
    spans: Sequence[tuple[float | None, float | None]] = ((None, None),),
    every_s: float = 0.0,
    longest_side_px: int = 960,
    quick: bool = False,
    turned: int = 0,
) -> Iterator[Frame]:
    """The frames of a clip in order, inside `spans` (seconds on the clip's own clock, None = open), at most one in
    `every_s`. With `quick` the decoder spares itself what a coarse look does not need; `turned` quarters anticlockwise set
    pictures upright that lie on their side. A clip that breaks off gives the
    frames before the break. Raises UserError where nothing can be read.
    """
    request = {
        "spans": [list(span) for span in spans],
        "every_s": every_s,
        "longest_side_px": longest_side_px,
        "quick": quick,
        "turned": turned,
    }
    with _child(path, request) as (info, pipe):
        got = 0
        while True:
            head = pipe.read(HEADER.size)
            if len(head) < HEADER.size:
                break
            time, width, height = HEADER.unpack(head)
            if width <= 0:
                break
            size = width * height * 3
            data = pipe.read(size)
            if len(data) < size:
                break
            got += 1
            yield Frame(time, np.frombuffer(data, np.uint8).reshape(height, width, 3))
        if not got and list(spans) == [(None, None)]:
            raise UserError(Message("swing.clip_no_frame", file=path.name, codec=info.codec))


def frame_times(path: Path) -> NDArray[np.float64]:
    """The times of all pictures of a clip in order, in seconds on its own clock, (n,). Raises UserError as `probe`."""
    return _floats(path, "times", np.float64)[1]


def loudness(path: Path) -> tuple[float, NDArray[np.float64]]:
    """The loudness of a clip's sound (mean square, high-passed), one value a millisecond (n,), and the time of the first;
    empty where there is no sound that can be read. Raises UserError as `probe`.
    """
    return _floats(path, "sound", np.float32)


def _floats(path: Path, want: str, kind: type) -> tuple[float, NDArray[np.float64]]:
    with _child(path, {"want": want}) as (_info, pipe):
        head = pipe.read(HEADER.size)
        if len(head) < HEADER.size:
            return 0.0, np.zeros(0)
        start, count, _one = HEADER.unpack(head)
        data = pipe.read(max(0, count) * np.dtype(kind).itemsize)
        return start, np.frombuffer(data, kind).astype(np.float64)


@contextmanager
def _child(path: Path, request: dict[str, Any]) -> Iterator[tuple[ClipInfo, IO[bytes]]]:
    """Starts the decoder, reads its first line, and ends it whatever happens."""
    require_video()
    try:
        with path.open("rb") as file:
            if not file.read(1):
                raise UserError(Message("swing.clip_empty", file=path.name))
    except OSError as error:
        raise UserError(Message("swing.clip_closed", file=str(path), why=error.strerror)) from error
    request = {**request, "path": str(path.absolute()), "cpu_s": 7200}
    command = child_command("threequarter.swing.decode_child", json.dumps(request))
    process = subprocess.Popen(command, stdin=subprocess.DEVNULL, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL)
    assert process.stdout is not None
    watch = _Watch(process)
    try:
        line = process.stdout.readline()
        yield _info(path, line), _Watched(process.stdout, watch)  # type: ignore[misc]
    finally:
        watch.stop()
        process.kill()
        process.stdout.close()
        process.wait()


def _info(path: Path, line: bytes) -> ClipInfo:
    if not line:
        raise UserError(Message("swing.clip_stopped", file=path.name))
    answer = json.loads(line)
    if "error" in answer:
        why = answer["error"].replace(" ", "_")
        raise UserError(Message(f"swing.clip_{why}", file=path.name, **answer["values"]))
    if answer["duration_s"] and answer["duration_s"] > MAX_DURATION_S:
        raise UserError(Message("swing.clip_too_long", file=path.name, minutes=answer["duration_s"] / 60))
    return ClipInfo(**{key: answer[key] for key in ("width", "height", "codec", "fps", "duration_s", "filmed_fps")})


class _Watch:
    """Ends a decoder that has been silent too long while somebody waits for it."""

    def __init__(self, process: subprocess.Popen[bytes]) -> None:
        self._process = process
        self._timer: threading.Timer | None = None
        self.waiting()

    def waiting(self) -> None:
        self.stop()
        self._timer = threading.Timer(STALLED_S, self._process.kill)
        self._timer.daemon = True
        self._timer.start()

    def stop(self) -> None:
        if self._timer is not None:
            self._timer.cancel()
            self._timer = None


class _Watched:
    """A pipe whose reads are watched."""

    def __init__(self, pipe: IO[bytes], watch: _Watch) -> None:
        self._pipe, self._watch = pipe, watch

    def read(self, size: int) -> bytes:
        self._watch.waiting()
        data = self._pipe.read(size)
        self._watch.stop()
        return data
