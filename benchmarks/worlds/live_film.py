"""A film and its sound for a browser's fake camera and microphone: swings, practice swings, a neighbour's strikes; and when each was.

Put together from the open rendered clips at thirty pictures a second; the player stands still in between. A practice swing is a swing
without its sound. The sound is the wind and the clicks of `clips_sound`.
"""

from __future__ import annotations

import json
import wave
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path
from typing import Any

import av
import numpy as np

from .clips_sound import RATE_HZ, SOUND_MPS, range_sound

OPEN = Path(__file__).resolve().parents[2] / "tests" / "data" / "swings"
FPS = 30
HIGH_PX = 640
STAND_S = 1.6
DISTANCE_M = 3.5
START_S = 9.0
"""The film begins with the player standing; browsers and models take a moment."""


@dataclass(frozen=True)
class Part:
    """One swing of the film: the clip it is from, and whether a ball is heard."""

    clip: str
    ball: bool = True


def make_film(parts: Sequence[Part], folder: Path, neighbours: int = 0, seed: int = 17) -> dict[str, Any]:
    """Writes camera.mjpeg and sound.wav into a folder; returns the truth: length and, for each swing, when it came to the ball."""
    rng = np.random.default_rng(seed)
    truth: dict[str, Any] = {"swings": []}
    at = 0
    with av.open(str(folder / "camera.mjpeg"), "w", format="mjpeg") as out:
        stream: Any = None
        for n, part in enumerate(parts):
            told = json.loads((OPEN / f"{part.clip}.json").read_text())
            swing = told["swings"][0]
            first = None
            for picture, second in _pictures(part.clip, told):
                repeats = round((START_S if n == 0 else STAND_S) * FPS) if first is None else 1
                if first is None:
                    first = at + repeats - 1
                    began = second
                if stream is None:
                    stream = out.add_stream("mjpeg", rate=FPS)
                    stream.width, stream.height, stream.pix_fmt = picture.shape[1], picture.shape[0], "yuvj420p"
                    stream.time_base = Fraction(1, FPS)
                    stream.codec_context.qmin = stream.codec_context.qmax = 4
                frame = av.VideoFrame.from_ndarray(picture, format="rgb24")
                if (frame.width, frame.height) != (stream.width, stream.height):
                    frame = frame.reformat(stream.width, stream.height)
                for _ in range(repeats):
                    frame.pts = at
                    out.mux(stream.encode(frame))
                    at += 1
            impact = first / FPS + swing["t_impact_s"] - began
            truth["swings"].append(
                {**{k: v for k, v in swing.items() if not k.startswith("t_")}, "at_s": impact, "ball": part.ball}
            )
        out.mux(stream.encode(None))
    truth["length_s"] = at / FPS
    later = DISTANCE_M / SOUND_MPS
    struck = [one["at_s"] + later for one in truth["swings"] if one["ball"]]
    truth["neighbours_s"] = _apart([one["at_s"] for one in truth["swings"]], truth["length_s"], neighbours, rng)
    sound = range_sound(truth["length_s"], struck, truth["neighbours_s"], rng)
    with wave.open(str(folder / "sound.wav"), "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(RATE_HZ)
        file.writeframes((sound * 32000).astype("<i2").tobytes())
    return truth


def _apart(swings_s: list[float], length_s: float, count: int, rng: np.random.Generator) -> list[float]:
    """When the neighbour strikes: anywhere, but not within half a second of the player's own ball."""
    found: list[float] = []
    while len(found) < count:
        second = float(rng.uniform(1.0, length_s - 0.5))
        if all(abs(second - one) > 0.5 for one in (*swings_s, *found)):
            found.append(second)
    return sorted(found)


def _pictures(clip: str, told: dict[str, Any]) -> Iterator[tuple[np.ndarray, float]]:
    """The first swing of a clip, from before its takeaway until after its finish, thinned to FPS."""
    swing = told["swings"][0]
    step = round(told["fps"] / FPS)
    with av.open(str(OPEN / f"{clip}.mp4")) as file:
        for i, frame in enumerate(file.decode(video=0)):
            second = i / told["fps"]
            if i % step or second < swing["t_takeaway_s"] - 0.4:
                continue
            if second > swing["t_finish_s"] + 0.7:
                return
            wide = round(frame.width * HIGH_PX / frame.height / 2) * 2
            yield frame.reformat(wide, HIGH_PX).to_ndarray(format="rgb24"), second
