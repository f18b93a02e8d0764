"""How long a swing check takes beside the clip's own length, and how much memory: a made-up 1080 x 1920 clip of ten swings.

    python benchmarks/swing_speed.py [--seconds 120] [--swings 10] [--beside SRC]

The clip is put together from the open rendered clips, enlarged, with a still player in between. Beside it, in the same run: the
larger pose model on every frame, as a plain pose package would do (timed on the first frames and scaled up). With --beside the source
folder of another version measures the same clip too; the ratio of processor seconds, decoder included, hardly hangs on the load.
"""

import argparse
import os
import resource
import subprocess
import sys
import tempfile
import time
from fractions import Fraction
from pathlib import Path

import av
import numpy as np

from threequarter.swing.check import check
from threequarter.swing.decode import frames
from threequarter.swing.pose import Detector, Landmarker
from threequarter.swing.track import track

CLIPS = Path(__file__).parents[1] / "tests" / "data" / "swings"
RATE = 60
SOURCE = Path(__file__).parents[1] / "src"
SWINGS = ("o01_plain", "o02_waist", "o03_heavy", "o05_az_plus12", "o06_az_minus15")


def make(target: Path, seconds: float, swings: int) -> int:
    """Writes the clip and returns its number of swings."""
    parts = [[frame.rgb for frame in frames(CLIPS / f"{name}.mp4")] for name in SWINGS]
    total, written = int(seconds * RATE), 0
    rest = max(0, total - sum(len(parts[i % len(parts)]) for i in range(swings))) // swings
    with av.open(str(target), "w") as out:
        stream = out.add_stream("libx264", rate=RATE, options={"preset": "ultrafast", "crf": "23"})
        stream.width, stream.height, stream.pix_fmt, stream.time_base = 1080, 1920, "yuv420p", Fraction(1, RATE)

        def put(rgb: np.ndarray) -> None:
            nonlocal written
            frame = av.VideoFrame.from_ndarray(np.ascontiguousarray(rgb), format="rgb24").reformat(
                1080, 1920, "yuv420p"
            )
            frame.pts, frame.time_base = written, Fraction(1, RATE)
            written += 1
            for packet in stream.encode(frame):
                out.mux(packet)

        for i in range(swings):
            part = parts[i % len(parts)]
            for rgb in part:
                put(rgb)
            for _ in range(rest):
                put(part[-1])
        for packet in stream.encode(None):
            out.mux(packet)
    return swings


def processor_seconds(clip: Path, source: Path) -> float:
    """Processor seconds of a version of the check on a clip, its decoder included."""
    code = "import sys; from pathlib import Path; from threequarter.swing.check import look; look(Path(sys.argv[1]))"
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    environment = {**os.environ, "PYTHONPATH": str(source)}
    subprocess.run([sys.executable, "-c", code, str(clip)], check=True, env=environment, stderr=subprocess.DEVNULL)
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime


def every_frame_seconds(clip: Path, seconds: float) -> float:
    """Seconds the larger model alone would take on every frame of the clip."""
    detector, model, roi = Detector(2), Landmarker("full", 2), None
    start, count = time.perf_counter(), 0
    for frame in frames(clip, spans=((0.0, 2.0),)):
        if roi is None:
            people = detector(frame.rgb)
            roi = people[0].roi if people else None
        if roi is not None:
            roi = model(frame.rgb, roi).roi
        count += 1
    return (time.perf_counter() - start) / count * seconds * RATE


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--seconds", type=float, default=120.0)
    parser.add_argument("--swings", type=int, default=10)
    parser.add_argument("--beside", type=Path, help="the src folder of another version")
    parser.add_argument("--make", type=Path, help="only write the clip there")
    chosen = parser.parse_args()
    if chosen.make:
        make(chosen.make, chosen.seconds, chosen.swings)
        return
    swings = chosen.swings
    with tempfile.TemporaryDirectory() as folder:
        clip = Path(folder, "ten.mp4")
        command = [
            sys.executable,
            __file__,
            "--seconds",
            str(chosen.seconds),
            "--swings",
            str(swings),
            "--make",
            str(clip),
        ]
        subprocess.run(command, check=True)  # in a process of its own: its memory is not ours
        before = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss / 1024
        start = time.perf_counter()
        seen = track(clip)
        found = check(seen)
        took = time.perf_counter() - start
        own = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
        plain = every_frame_seconds(clip, chosen.seconds)
        ours, theirs = (processor_seconds(clip, src) if src else 0.0 for src in (SOURCE, chosen.beside))
    print(
        f"{seen.duration_s:.0f} s of 1080 x 1920 at 60 a second: {took:.0f} s (limit: its own length), {len(found.swings)} of {swings} swings"
    )
    print(f"the larger model on every frame, once: about {plain:.0f} s")
    print(f"processor seconds with the decoder: {ours:.0f} for {seen.duration_s:.0f} s of film")
    if theirs:
        print(f"the other version: {theirs:.0f}, {theirs / ours:.2f} times as many")
    print(f"memory: {own:.0f} MB (limit 700); making the clip took {before:.0f} MB in a process of its own")


if __name__ == "__main__":
    main()
