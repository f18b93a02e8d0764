"""Hard copies of the open clips, each with its truth: what the error model of the swing check is fitted on.

    python benchmarks/swing_copies.py FOLDER [--only dim crush ...]

Every copy is FOLDER/CONDITION__CLIP.mp4 with its truth beside it in the form of tests/data/swings/README.md; what a cut clip
does not show is null. The copies are made from clips the constants were chosen on, so they tune and never test; other
clips made by other hands (benchmarks/worlds) test.
"""

import argparse
import copy
import json
from collections import deque
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path
from typing import Any, Final

import av
import numpy as np

CLIPS: Final = Path(__file__).parents[1] / "tests" / "data" / "swings"
SIXTY: Final = ("o01_plain", "o02_waist", "o03_heavy", "o04_left", "o05_az_plus12", "o06_az_minus15")
BASES: Final = (*SIXTY, "o10_indoor_30fps")
FAST: Final = ("o07_decel_120fps", "o08_slomo_240fps")
PX = np.ndarray


@dataclass(frozen=True, slots=True)
class Condition:
    """One way to spoil a clip: a picture's change, every how manieth picture, the times, the coder's crf, and the cut."""

    change: Callable[[PX, np.random.Generator], PX] = lambda rgb, rng: rgb
    every: int = 1
    rate: float | None = None
    crf: int = 21
    window: int = 1
    drop: float = 0.0
    cut: str = ""
    bases: tuple[str, ...] = BASES
    count: int = 5


def _dim(share: float, noise: float) -> Callable[[PX, np.random.Generator], PX]:
    def change(rgb: PX, rng: np.random.Generator) -> PX:
        grain = noise * rng.standard_normal(rgb.shape, dtype=np.float32)
        dark = rgb * np.float32(share) + grain
        return np.clip(dark, 0, 255)

    return change


def _size(parts: int) -> Callable[[PX, np.random.Generator], PX]:
    """The player smaller in a picture of the same size, the edge repeated outside."""

    def change(rgb: PX, rng: np.random.Generator) -> PX:
        height, width = (side // parts * parts for side in rgb.shape[:2])
        small = rgb[:height, :width].reshape(height // parts, parts, width // parts, parts, 3).mean(axis=(1, 3))
        up, left = (rgb.shape[0] - small.shape[0]) // 2, (rgb.shape[1] - small.shape[1]) // 2
        down, right = rgb.shape[0] - small.shape[0] - up, rgb.shape[1] - small.shape[1] - left
        return np.pad(small, ((up, down), (left, right), (0, 0)), mode="edge")

    return change


def _roll(degrees: float) -> Callable[[PX, np.random.Generator], PX]:
    """The picture turned clockwise, as a phone that does not stand upright sees it; the edge is repeated in the corners."""
    taps: dict[tuple[int, ...], tuple[PX, PX, PX]] = {}

    def change(rgb: PX, rng: np.random.Generator) -> PX:
        if rgb.shape not in taps:
            taps[rgb.shape] = _turned_taps(rgb.shape[0], rgb.shape[1], np.radians(degrees))
        at, right, down = taps[rgb.shape]
        flat, width = rgb.reshape(-1, 3).astype(np.float32), rgb.shape[1]
        above = flat[at] * (1 - right) + flat[at + 1] * right
        below = flat[at + width] * (1 - right) + flat[at + width + 1] * right
        return np.asarray((above * (1 - down) + below * down).reshape(rgb.shape))

    return change


def _turned_taps(height: int, width: int, angle: float) -> tuple[PX, PX, PX]:
    y, x = np.mgrid[0:height, 0:width].astype(float)
    y, x = y - height / 2, x - width / 2
    from_x = np.clip(np.cos(angle) * x + np.sin(angle) * y + width / 2, 0, width - 1.01)
    from_y = np.clip(-np.sin(angle) * x + np.cos(angle) * y + height / 2, 0, height - 1.01)
    at = (from_y.astype(int) * width + from_x.astype(int)).ravel()
    return at, (from_x % 1).ravel()[:, None].astype(np.float32), (from_y % 1).ravel()[:, None].astype(np.float32)


def _shaken() -> Callable[[PX, np.random.Generator], PX]:
    state = np.zeros(2)

    def change(rgb: PX, rng: np.random.Generator) -> PX:
        state[:] = 0.9 * state + rng.normal(0, 3.0, 2)
        return np.asarray(np.roll(rgb, np.round(state).astype(int), axis=(0, 1)))

    return change


CONDITIONS: Final[dict[str, Condition]] = {
    "plain": Condition(bases=(*BASES, *FAST), count=9),
    "dim": Condition(_dim(0.35, 6)),
    "dark": Condition(_dim(0.18, 5), count=4),
    "burnt": Condition(lambda rgb, rng: np.clip(rgb.astype(float) * 2.4, 0, 255), count=4),
    "blur": Condition(window=3, bases=SIXTY),
    "blur5": Condition(window=5, bases=SIXTY, count=4),
    "thirty": Condition(every=2, bases=SIXTY),
    "twenty": Condition(every=3, bases=SIXTY, count=4),
    "p480": Condition(lambda rgb, rng: rgb[::2, ::2], crf=24),
    "p240": Condition(lambda rgb, rng: rgb[::4, ::4], crf=24, count=4),
    "crush": Condition(crf=40),
    "crush30": Condition(every=2, crf=38, bases=SIXTY, count=4),
    "half": Condition(_size(2)),
    "third": Condition(_size(3), count=4),
    "dropped": Condition(drop=0.25, bases=SIXTY),
    "roll6": Condition(_roll(6)),
    "roll-4": Condition(_roll(-4)),
    "roll12": Condition(_roll(12), count=3),
    "shaken": Condition(_shaken()),
    "mirror": Condition(lambda rgb, rng: rgb[:, ::-1]),
    "legs": Condition(lambda rgb, rng: rgb[: int(rgb.shape[0] * 0.62)], count=4),
    "sides": Condition(lambda rgb, rng: rgb[:, int(rgb.shape[1] * 0.24) : int(rgb.shape[1] * 0.72)], count=4),
    "sideways": Condition(lambda rgb, rng: np.rot90(rgb), count=3),
    "late": Condition(cut="late"),
    "early": Condition(cut="early"),
    "early2": Condition(cut="early2", count=4),
    "slow2": Condition(rate=30, bases=SIXTY),
    "slow4": Condition(rate=30, bases=("o07_decel_120fps",), count=1),
    "slow8": Condition(rate=30, bases=("o08_slomo_240fps",), count=1),
    "slow4of8": Condition(rate=30, every=2, bases=("o08_slomo_240fps",), count=1),
}


def pictures(path: Path) -> Iterator[tuple[float, PX]]:
    with av.open(str(path)) as container:
        for frame in container.decode(container.streams.video[0]):
            yield float(frame.time), frame.to_ndarray(format="rgb24")


def span_of(truth: dict[str, Any], cut: str) -> tuple[float, float]:
    """What part of the clip is kept."""
    swing = truth["swings"][0]
    if cut == "late":  # begins in the middle of the way back
        return 0.5 * (swing["t_takeaway_s"] + swing["t_top_s"]), 1e9
    if cut == "early":
        return 0.0, swing["t_impact_s"] + 0.12
    if cut == "early2":
        return 0.0, swing["t_impact_s"] + 0.55 * (swing["t_finish_s"] - swing["t_impact_s"])
    return 0.0, 1e9


def copied(condition: Condition, base: str, target: Path, seed: int) -> dict[str, Any]:
    """Writes one copy and returns its truth."""
    truth = json.loads((CLIPS / f"{base}.json").read_text())
    rng = np.random.default_rng(seed)
    start, end = span_of(truth, condition.cut)
    rate = truth["fps"] / condition.every
    slower = rate / condition.rate if condition.rate else 1.0
    window: deque[PX] = deque(maxlen=condition.window)
    first: float | None = None
    with av.open(str(target), "w", format="mp4") as out:
        stream = None
        for n, (time, rgb) in enumerate(pictures(CLIPS / f"{base}.mp4")):
            window.append(rgb.astype(np.float32) if condition.window > 1 else rgb)
            if not start <= time <= end or n % condition.every or rng.random() < condition.drop:
                continue
            first = time if first is None else first
            mean = np.mean(window, axis=0) if condition.window > 1 else rgb
            picture = np.ascontiguousarray(np.round(condition.change(mean, rng)).astype(np.uint8))
            picture = np.ascontiguousarray(picture[: picture.shape[0] // 2 * 2, : picture.shape[1] // 2 * 2])
            if stream is None:
                options = {"crf": str(condition.crf), "preset": "veryfast"}
                stream = out.add_stream("libx264", rate=Fraction(round(rate / slower * 1000), 1000), options=options)
                stream.width, stream.height, stream.pix_fmt = picture.shape[1], picture.shape[0], "yuv420p"
                stream.time_base = stream.codec_context.time_base = Fraction(1, 24000)
            frame = av.VideoFrame.from_ndarray(picture, format="rgb24")
            frame.pts, frame.time_base = round((time - first) * slower * 24000), Fraction(1, 24000)
            for packet in stream.encode(frame):
                out.mux(packet)
        assert stream is not None
        assert first is not None
        for packet in stream.encode(None):
            out.mux(packet)
    lag = (
        (condition.window - 1) / 2 / truth["fps"]
    )  # a picture of several shows the middle of them, stamped with the last
    return _truth(truth, condition, first - lag, slower)


def _truth(truth: dict[str, Any], condition: Condition, first: float, slower: float) -> dict[str, Any]:
    told = copy.deepcopy(truth)
    told.pop("keypoints_px", None)
    told["slower"] = slower
    for swing in told["swings"]:
        if condition.cut == "late":
            swing["t_takeaway_s"] = swing["t_takeaway_1deg_s"] = swing["tempo_ratio"] = swing["tempo_ratio_1deg"] = None
        if condition.cut.startswith("early"):
            for name in swing:
                if "finish" in name:
                    swing[name] = None
        for name, value in swing.items():
            if name.startswith("t_") and value is not None:
                swing[name] = (value - first) * slower
    if condition is CONDITIONS["mirror"]:
        told["handedness"] = "left" if told["handedness"] == "right" else "right"
    return told


def make(folder: Path, only: list[str]) -> None:
    folder.mkdir(parents=True, exist_ok=True)
    for nth, (name, condition) in enumerate(CONDITIONS.items()):
        if only and name not in only:
            continue
        for k in range(condition.count):
            base = condition.bases[(nth + k) % len(condition.bases)]
            target = folder / f"{name}__{base}.mp4"
            if target.with_suffix(".json").exists():
                continue
            truth = copied(condition, base, target, seed=1000 * nth + k)
            target.with_suffix(".json").write_text(json.dumps(truth))
            print(target.name, flush=True)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("folder", type=Path)
    parser.add_argument("--only", nargs="*", default=[])
    chosen = parser.parse_args()
    make(chosen.folder, chosen.only)


if __name__ == "__main__":
    main()
