"""A film in memory's reach: pictures as they come, their times, what is true of them; read from and written to a file.

Pictures are uint8 arrays (rows, columns, 3) in RGB. They are made one after the other when the film is written, so that a copy
of a copy costs no memory.
"""

from __future__ import annotations

import json
import struct
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field, replace
from fractions import Fraction
from pathlib import Path
from typing import Any

import av
import numpy as np
from numpy.typing import NDArray

Picture = NDArray[np.uint8]
Floats = NDArray[np.float64]
Truth = dict[str, Any]

TICKS = 90_000  # a second of the file's clock
SOUND_RATE_HZ = 48_000
QUARTER_TURNS = {0: (1, 0, 0, 1), 90: (0, 1, -1, 0), 180: (-1, 0, 0, -1), 270: (0, -1, 1, 0)}


@dataclass(frozen=True)
class Film:
    """Pictures at `times_s` (seconds of the file), and the truth in the form of the open clips' truth files."""

    pictures: Callable[[], Iterator[Picture]]
    times_s: Floats
    truth: Truth
    crf: int = 18
    shown_turned_deg: int = 0  # a quarter turn clockwise that only the file's header asks for
    sound: NDArray[np.float32] | None = field(default=None, repr=False)

    def with_pictures(self, change: Callable[[Iterator[Picture]], Iterator[Picture]], **other: Any) -> Film:
        """The same film with every picture changed on its way."""
        before = self.pictures
        return replace(self, pictures=lambda: change(before()), **other)

    def each(self, change: Callable[[Picture], Picture], **other: Any) -> Film:
        """The same film with one change made to each picture by itself."""
        return self.with_pictures(lambda pictures: map(change, pictures), **other)

    def kept(self, index: NDArray[np.int_], times_s: Floats, truth: Truth) -> Film:
        """Only the pictures of these rising numbers, shown at other times."""
        wanted = set(index.tolist())
        chosen = self.with_pictures(lambda ps: (p for i, p in enumerate(ps) if i in wanted))
        points = np.asarray(truth["keypoints_px"])
        return replace(chosen, times_s=times_s, truth={**truth, "keypoints_px": points[index]})


def read(clip: Path) -> Film:
    """An open clip with its truth file beside it."""
    truth = json.loads(clip.with_suffix(".json").read_text())
    truth["keypoints_px"] = np.asarray(truth["keypoints_px"], dtype=float)
    for swing in truth["swings"]:
        for name in [name for name in swing if name.startswith("frame_")]:
            del swing[name]
    return Film(lambda: _decode(clip), np.arange(truth["frames"]) / truth["fps"], truth)


def _decode(clip: Path) -> Iterator[Picture]:
    with av.open(str(clip)) as file:
        for frame in file.decode(video=0):
            yield frame.to_ndarray(format="rgb24")


def write(film: Film, clip: Path) -> None:
    """The film as mp4, and its truth beside it; a half-written file never bears the name."""
    clip.parent.mkdir(parents=True, exist_ok=True)
    draft = clip.with_suffix(".draft.mp4")
    size = _encode(film, draft)
    if film.shown_turned_deg:
        _ask_for_turn(draft, film.shown_turned_deg, size)
        size = size[::-1] if film.shown_turned_deg % 180 else size
    clip.with_suffix(".json").write_text(json.dumps(_plain({**film.truth, "size": size, "frames": len(film.times_s)})))
    draft.replace(clip)


def _encode(film: Film, path: Path) -> tuple[int, int]:
    ticks = np.round((film.times_s - film.times_s[0]) * TICKS).astype(int)
    rate = Fraction(max(1, round(1 / float(np.median(np.diff(film.times_s))))))
    with av.open(str(path), "w", format="mp4") as file:
        pictures = film.pictures()
        first = next(pictures)
        high, wide = (n // 2 * 2 for n in first.shape[:2])
        video = file.add_stream("libx264", rate=rate, options={"crf": str(film.crf), "preset": "veryfast"})
        video.width, video.height, video.pix_fmt = wide, high, "yuv420p"
        video.codec_context.time_base = Fraction(1, TICKS)
        video.codec_context.thread_count = 1
        audio = file.add_stream("aac", rate=SOUND_RATE_HZ, layout="mono") if film.sound is not None else None
        for tick, picture in zip(ticks, _with(first, pictures), strict=True):
            frame = av.VideoFrame.from_ndarray(np.ascontiguousarray(picture[:high, :wide]), format="rgb24")
            frame.pts, frame.time_base = int(tick), Fraction(1, TICKS)
            file.mux(video.encode(frame))
        file.mux(video.encode(None))
        if audio is not None and film.sound is not None:
            heard = av.AudioFrame.from_ndarray(film.sound[None].astype(np.float32), format="fltp", layout="mono")
            heard.sample_rate, heard.pts = SOUND_RATE_HZ, 0
            file.mux(audio.encode(heard))
            file.mux(audio.encode(None))
    return wide, high


def _with(first: Picture, rest: Iterator[Picture]) -> Iterator[Picture]:
    yield first
    yield from rest


def _ask_for_turn(path: Path, turn_deg: int, size: tuple[int, int]) -> None:
    """Writes a quarter turn into the track header's matrix (ISO/IEC 14496-12, 8.3.2), as phones do."""
    data = bytearray(path.read_bytes())
    at = data.index(b"tkhd") + 4
    version = data[at]
    matrix = at + (48 if version else 36) + 4
    a, b, c, d = QUARTER_TURNS[turn_deg]
    wide, high = size
    x = high if turn_deg == 90 else wide if turn_deg == 180 else 0
    y = wide if turn_deg == 270 else high if turn_deg == 180 else 0
    one = 1 << 16
    data[matrix : matrix + 36] = struct.pack(">9i", a * one, b * one, 0, c * one, d * one, 0, x * one, y * one, 1 << 30)
    path.write_bytes(data)


def _plain(value: Any) -> Any:
    """Without arrays and needless digits, for JSON."""
    if isinstance(value, np.ndarray):
        return np.round(value, 2).tolist()
    if isinstance(value, dict):
        return {name: _plain(one) for name, one in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(one) for one in value]
    if isinstance(value, float | np.floating):
        return round(float(value), 5)
    return value
