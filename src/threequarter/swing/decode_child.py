"""The decoder's own process: reads one clip, writes its frames to standard output, and can do nothing else.

Run by `decode.py` as a module. A damaged clip can crash or hang a decoder, and a disguised one can make it
open another file; so this process is fenced in, opens one container format chosen by the first bytes, and only codecs
that phones and cameras write.

Output: one JSON line about the clip or an error, then for each frame a header (`HEADER`) and its RGB bytes; a header
with a width of 0 ends the stream, a negative one means "damaged from here". Asked for sound or frame times it sends
those instead: one header and 32 or 64 bit floats.
"""

import contextlib
import json
import os
import struct
import sys
from typing import Any, BinaryIO

from threequarter.fence import fence, leave

HEADER = struct.Struct("<dii")
CODECS = frozenset({"h264", "hevc", "vp8", "vp9", "av1", "libdav1d", "mpeg4", "mjpeg", "prores"})
SOUND_CODECS = frozenset({"aac", "mp3", "mp3float", "opus", "vorbis", "alac", "ac3", "flac", "pcm_s16le", "pcm_s16be"})
MAX_PIXELS = 4096 * 4096
MAX_WORK = 3600 * 60 * 1920 * 1080
"""Pixels of all pictures together: an hour at 60 a second. A clip of a few kB may hold pictures without end that are all alike."""
MEGABYTES = 3072
SOUND_HZ = 16000
SOUND_STEP = 16
"""Sound leaves as its loudness a millisecond: the mean square over so many samples of the high-passed track."""
QUICK = {"skip_loop_filter": "all"}
QUICKER = QUICK | {"skip_frame": "noref"}
"""A quick look leaves out the smoothing between blocks and, of many pictures a second, those that no other needs."""
MANY_FPS = 50


class RefusedError(Exception):
    """The clip cannot be read: why, by a word that `decode.py` knows, and what it is to fill in."""

    def __init__(self, why: str, **values: object) -> None:
        super().__init__(why)
        self.answer = {"error": why, "values": values}


def container_format(first: bytes) -> str:
    """The one demuxer for these first bytes: `mov` (MP4, MOV) or `matroska` (MKV, WebM). Raises RefusedError."""
    if first[4:8] in {b"ftyp", b"moov", b"mdat", b"wide", b"free", b"skip"}:
        return "mov"
    if first[:4] == b"\x1a\x45\xdf\xa3":
        return "matroska"
    raise RefusedError("format")


def run(request: dict[str, Any], source: BinaryIO, sink: BinaryIO) -> None:
    """Answers one request: see `decode.py` for its keys."""
    import av

    av.logging.set_level(None)
    try:
        kind = container_format(source.read(16))
        source.seek(0)
        container = av.open(source, format=kind, container_options={"protocol_whitelist": ""})
        info, stream = _describe(container)
    except RefusedError as error:
        sink.write(json.dumps(error.answer).encode() + b"\n")
        return
    except Exception as error:  # noqa: BLE001 - a decoder may raise anything on damaged bytes
        refused = RefusedError("damaged", error=type(error).__name__)
        sink.write(json.dumps(refused.answer).encode() + b"\n")
        return
    sink.write(json.dumps(info).encode() + b"\n")
    if request.get("probe"):
        return
    damaged = False
    try:
        if request.get("want") == "times":
            _send_times(container, stream, sink)
            return
        if request.get("want") == "sound":
            _send_sound(container, sink)
            return
        if request.get("quick"):
            stream.codec_context.options = QUICKER if (info["fps"] or 0) >= MANY_FPS else QUICK
        for span in request["spans"]:
            _send(container, stream, span, request, sink)
    except (BrokenPipeError, KeyboardInterrupt):
        return
    except Exception:  # noqa: BLE001
        damaged = True
    sink.write(HEADER.pack(0.0, -1 if damaged else 0, 0))


def _describe(container: Any) -> tuple[dict[str, Any], Any]:
    if not container.streams.video:
        raise RefusedError("no picture")
    stream = container.streams.video[0]
    context = stream.codec_context
    if context.name not in CODECS:
        raise RefusedError("codec", codec=context.name)
    width, height = int(context.width), int(context.height)
    if width <= 0 or height <= 0:
        raise RefusedError("no size")
    if width * height > MAX_PIXELS:
        raise RefusedError("too large", width=width, height=height, most=round(MAX_PIXELS / 1e6))
    if width * height * int(stream.frames or 0) > MAX_WORK:
        raise RefusedError("too much", count=int(stream.frames), width=width, height=height)
    stream.thread_type = "AUTO"
    context.thread_count = 2
    duration = None
    if stream.duration and stream.time_base:
        duration = float(stream.duration * stream.time_base)
    elif container.duration:
        duration = container.duration / 1e6
    rate = stream.average_rate or stream.guessed_rate
    info = {
        "width": width,
        "height": height,
        "codec": context.name,
        "duration_s": duration,
        "fps": float(rate) if rate else None,
        "frames": int(stream.frames or 0),
        "filmed_fps": _filmed_fps(container),
    }
    return info, stream


def _filmed_fps(container: Any) -> float | None:
    """Pictures a second at which a slow-motion film was taken, where the phone wrote it down."""
    try:
        rate = float(container.metadata.get("com.android.capture.fps") or 0)
    except ValueError:
        return None
    return rate if 1 <= rate <= 2000 else None


def _send_times(container: Any, stream: Any, sink: BinaryIO) -> None:
    """The times of all pictures in order, seconds as 64 bit floats, without decoding any."""
    import numpy as np

    times = sorted(float(p.pts * stream.time_base) for p in container.demux(stream) if p.pts is not None)
    sink.write(HEADER.pack(0.0, len(times), 1))
    sink.write(np.asarray(times, dtype=np.float64).tobytes())


def _send_sound(container: Any, sink: BinaryIO) -> None:
    """Loudness of the high-passed sound, one 32 bit float a millisecond; the header holds its start and their count."""
    import av
    import numpy as np

    tracks = [track for track in container.streams.audio if track.codec_context.name in SOUND_CODECS]
    loud, start, rest = [], 0.0, np.zeros(0, dtype=np.float32)
    last = np.zeros(2, dtype=np.float32)
    if tracks:
        turn = av.AudioResampler(format="fltp", layout="mono", rate=SOUND_HZ)
        first = True
        for frame in container.decode(tracks[0]):
            if first and frame.time is not None:
                start, first = float(frame.time), False
            for part in turn.resample(frame):
                wave = np.concatenate([last, part.to_ndarray()[0]])
                high = wave[2:] - 2 * wave[1:-1] + wave[:-2]  # a second difference: +12 dB an octave
                last = wave[-2:]
                rest = np.concatenate([rest, high])
                whole = len(rest) // SOUND_STEP * SOUND_STEP
                loud.append(np.square(rest[:whole].reshape(-1, SOUND_STEP)).mean(axis=1))
                rest = rest[whole:]
    out = np.concatenate(loud) if loud else np.zeros(0)
    sink.write(HEADER.pack(start, len(out), 1))
    sink.write(out.astype(np.float32).tobytes())


def _send(container: Any, stream: Any, span: list[float | None], request: dict[str, Any], sink: BinaryIO) -> None:
    """Sends the frames of one span [from, to] in seconds on the clip's own clock, at most one per `every_s`."""
    start, end = span
    longest, every = int(request["longest_side_px"]), request.get("every_s") or 0.0
    if start is not None:
        container.seek(max(0, int((start - 0.05) / stream.time_base)), stream=stream, backward=True)
    due = -1e18
    for frame in container.decode(stream):
        if frame.time is None:
            continue
        time = float(frame.time)
        if start is not None and time < start - 1e-6:
            continue
        if end is not None and time > end + 1e-6:
            return
        if time < due - 1e-6:
            continue
        due = max(due + every, time + every * 0.5) if due > -1e17 else time + every
        pixels = _upright(frame, longest, int(request.get("turned") or 0))
        sink.write(HEADER.pack(time, pixels.shape[1], pixels.shape[0]))
        sink.write(pixels.data)


def _upright(frame: Any, longest: int, turned: int = 0) -> Any:
    """The frame as RGB, no side longer than `longest` pixels, turned as its rotation flag says and by more quarters."""
    import numpy as np

    scale = min(1.0, longest / max(frame.width, frame.height))
    width, height = (max(2, round(side * scale / 2) * 2) for side in (frame.width, frame.height))
    pixels = frame.to_ndarray(format="rgb24", width=width, height=height, interpolation="AREA" if scale < 1 else None)
    turns = (round((frame.rotation or 0) / 90) + turned) % 4
    return np.ascontiguousarray(np.rot90(pixels, turns)) if turns else np.ascontiguousarray(pixels)


def main() -> None:
    request = json.loads(sys.argv[1])
    with open(request["path"], "rb") as source:  # noqa: PTH123
        fence(MEGABYTES, int(request["cpu_s"]))
        with contextlib.suppress(BrokenPipeError):
            run(request, source, sys.stdout.buffer)
            leave()
    os._exit(0)  # nobody listens any more


if __name__ == "__main__":
    main()
