"""Hostile clips: cut, flipped, spliced, disguised, enormous. Each gives frames or one line of words, in time, and the parent lives.

    python tests/torture/clips.py [--clips 2000] [--seed 1]

A canary film lies in the same folder: a disguised play list that names it must never show its pictures. `strace`, where it may be
used, tells which files a decoder opened on one of them.
"""

import argparse
import json
import random
import shutil
import struct
import subprocess
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np

from threequarter.golf.errors import UserError
from threequarter.swing.decode import frames

LONGEST_S = 300.0
DISGUISED = {
    "list": b"ffconcat version 1.0\nfile canary.mp4\n",
    "playlist": b"#EXTM3U\n#EXTINF:1,\ncanary.mp4\n#EXT-X-ENDLIST\n",
    "drawing": b'<svg xmlns="http://www.w3.org/2000/svg"><image href="canary.mp4"/></svg>',
    "list behind a box": b"\x00\x00\x00\x08ftyp" + b"ffconcat version 1.0\nfile canary.mp4\n",
    "nothing": b"",
    "one byte": b"\x00",
    "text": b"carry,club\n51,54\n",
    "zeros": bytes(100_000),
}


def film(path: Path, colour: tuple[int, int, int], count: int = 24, side: int = 64, sound: bool = False) -> None:
    """A small clip of our own; only a tone where `sound` is asked for."""
    import av

    with av.open(str(path), "w") as out:
        if sound:
            stream = out.add_stream("aac", rate=8000)
            tone = av.AudioFrame.from_ndarray(np.zeros((1, 1024), np.float32), format="fltp", layout="mono")
            tone.sample_rate = 8000
            for packet in [*stream.encode(tone), *stream.encode(None)]:
                out.mux(packet)
            return
        video = out.add_stream("mpeg4", rate=30)
        video.width = video.height = side
        video.pix_fmt = "yuv420p"
        for i in range(count):
            picture = np.full((side, side, 3), colour, np.uint8)
            picture[:, i % side] = 255
            for packet in video.encode(av.VideoFrame.from_ndarray(picture, format="rgb24")):
                out.mux(packet)
        for packet in video.encode(None):
            out.mux(packet)


def _cut(data: bytearray, rng: random.Random) -> bytearray:
    return data[: rng.randrange(1, len(data))]


def _flip(data: bytearray, rng: random.Random) -> bytearray:
    for _ in range(rng.choice((1, 3, 20, 200))):
        data[rng.randrange(len(data))] ^= 1 << rng.randrange(8)
    return data


def _splice(data: bytearray, rng: random.Random) -> bytearray:
    at, end = sorted(rng.choices(range(len(data)), k=2))
    into = rng.randrange(len(data))
    return data[:into] + data[at:end] + data[into:]


def _box_size(data: bytearray, rng: random.Random) -> bytearray:
    """A box that says it has another length: nought, one, far too much."""
    names = [name for name in (b"moov", b"trak", b"stbl", b"stsz", b"stco", b"mdat", b"stts", b"stsd") if name in data]
    at = data.index(rng.choice(names)) - 4
    data[at : at + 4] = struct.pack(">I", rng.choice((0, 1, 7, 2**31 - 1, 2**32 - 1)))
    return data


def _counts(data: bytearray, rng: random.Random) -> bytearray:
    """A table that says it has millions of rows."""
    names = [name for name in (b"stsz", b"stco", b"stts", b"stsc") if name in data]
    at = data.index(rng.choice(names)) + 8
    data[at : at + 4] = struct.pack(">I", rng.choice((2**31 - 1, 10**8, 2**32 - 1)))
    return data


def _enormous(data: bytearray, _rng: random.Random) -> bytearray:
    at = data.index(b"mp4v", data.index(b"stsd")) + 4 + 24
    data[at : at + 4] = struct.pack(">HH", 30_000, 30_000)
    return data


def _ten_hours(data: bytearray, _rng: random.Random) -> bytearray:
    """One frame that lasts ten hours."""
    at = data.index(b"stts") + 8
    rate = struct.unpack(">I", data[data.index(b"mdhd") + 16 : data.index(b"mdhd") + 20])[0]
    data[at + 8 : at + 12] = struct.pack(">I", min(2**31 - 1, 36_000 * rate))
    return data


MUTATIONS: tuple[Callable[[bytearray, random.Random], bytearray], ...] = (
    _cut,
    _flip,
    _flip,
    _splice,
    _box_size,
    _counts,
    _enormous,
    _ten_hours,
)


def one(path: Path) -> tuple[str, float]:
    """What became of a clip: "frames", or the words of its refusal; and how long it took."""
    begun = time.perf_counter()
    try:
        seen = 0
        for frame in frames(path, longest_side_px=64):
            seen += 1
            reddish = frame.rgb[..., 0].mean() > 150 and frame.rgb[..., 1].mean() < 80
            assert not reddish, f"{path.name} showed the film of somebody else"
        said = "frames" if seen else "no frame"
    except UserError as error:
        said = str(error)
        assert "\n" not in said, said
        assert "Traceback" not in said, said
    took = time.perf_counter() - begun
    assert took < LONGEST_S, f"{path.name} took {took:.0f} s"
    return said, took


def files_opened(folder: Path, clip: Path) -> set[str]:
    """The files under `folder` that reading a clip opened, by strace."""
    log = folder / "opened.log"
    code = "import sys; sys.path.insert(0, sys.argv[2]); from pathlib import Path; import clips; clips.one(Path(sys.argv[1]))"
    command = [
        "strace",
        "-f",
        "-e",
        "trace=open,openat",
        "-o",
        str(log),
        sys.executable,
        "-c",
        code,
        str(clip),
        str(Path(__file__).parent),
    ]
    subprocess.run(command, check=True, capture_output=True)
    return {path.name for path in folder.glob("*.mp4") if f'"{path}"' in log.read_text(errors="replace")}


def clips(count: int, seed: int) -> dict[str, Any]:
    """Runs the rig; returns what was counted. Raises AssertionError where a clip hung, broke the parent or showed another film."""
    rng, said, slowest = random.Random(seed), Counter[str](), 0.0
    with tempfile.TemporaryDirectory(prefix="threequarter-clips-") as scratch:
        folder = Path(scratch)
        film(folder / "canary.mp4", (230, 20, 20))
        film(folder / "good.mp4", (20, 160, 40))
        film(folder / "sound.mp4", (0, 0, 0), sound=True)
        good = (folder / "good.mp4").read_bytes()
        hostile = [("sound only", (folder / "sound.mp4").read_bytes()), *DISGUISED.items()]
        while len(hostile) < count:
            mutation = rng.choice(MUTATIONS)
            hostile.append((mutation.__name__, bytes(mutation(bytearray(good), rng))))
        for _, content in hostile[:count]:
            path = folder / "hostile.mp4"
            path.write_bytes(content)
            what, took = one(path)
            slowest = max(slowest, took)
            said["frames" if what == "frames" else "refused"] += 1
        opened = None
        if shutil.which("strace"):
            path.write_bytes(DISGUISED["list behind a box"])
            opened = files_opened(folder, path)
            assert opened == {"hostile.mp4"}, f"reading a disguised list opened {opened}"
    return {"clips": count, "seed": seed, **said, "slowest_s": round(slowest, 2), "opened": sorted(opened or [])}


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--clips", type=int, default=2000)
    parser.add_argument("--seed", type=int, default=1)
    chosen = parser.parse_args()
    sys.stdout.write(json.dumps(clips(chosen.clips, chosen.seed)) + "\n")


if __name__ == "__main__":
    main()
