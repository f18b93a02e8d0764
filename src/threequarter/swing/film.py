"""The clip with the arm and the body points drawn in, as an MP4."""

from fractions import Fraction
from pathlib import Path
from typing import Final

import numpy as np
from numpy.typing import NDArray

from threequarter.swing.check import SwingCheck
from threequarter.swing.decode import Image, frames
from threequarter.swing.measure import L_HIP, L_SHOULDER, L_WRIST, R_HIP, R_SHOULDER, R_WRIST
from threequarter.swing.track import Track

INK: Final = (11, 79, 60)
LIGHT: Final = (255, 255, 255)
LINES: Final = ((L_SHOULDER, R_SHOULDER), (L_HIP, R_HIP), (L_SHOULDER, L_HIP), (R_SHOULDER, R_HIP))


def marked_film(clip: Path, track: Track, found: SwingCheck, target: Path) -> None:
    """Writes the frames that were looked at closely, with the lead arm and the trunk drawn in."""
    import av

    lead = L_SHOULDER if found.hand != "left" else R_SHOULDER
    rate = Fraction(max(1, round(track.frames_per_s)))
    with av.open(str(target), "w", format="mp4") as out:
        stream = None
        for stretch in track.stretches:
            for frame in frames(
                clip, spans=((float(stretch.time_s[0]), float(stretch.time_s[-1])),), turned=track.seen.turned
            ):
                rgb = np.array(frame.rgb[: frame.rgb.shape[0] // 2 * 2, : frame.rgb.shape[1] // 2 * 2])
                k = int(np.argmin(np.abs(stretch.time_s - frame.time_s)))
                _draw(rgb, stretch.points[k], lead)
                if stream is None:
                    stream = out.add_stream("libx264", rate=rate, options={"crf": "23", "preset": "veryfast"})
                    stream.width, stream.height, stream.pix_fmt = rgb.shape[1], rgb.shape[0], "yuv420p"
                for packet in stream.encode(av.VideoFrame.from_ndarray(rgb, format="rgb24")):
                    out.mux(packet)
        if stream is not None:
            for packet in stream.encode(None):
                out.mux(packet)


def _draw(rgb: Image, points: NDArray[np.float64], lead: int) -> None:
    hands = points[[L_WRIST, R_WRIST]].mean(0)
    for a, b in LINES:
        _line(rgb, points[a], points[b], 2, LIGHT)
    _line(rgb, points[lead], hands, 5, LIGHT)
    _line(rgb, points[lead], hands, 3, INK)


def _line(
    rgb: Image, start: NDArray[np.float64], end: NDArray[np.float64], width: int, ink: tuple[int, int, int]
) -> None:
    """A straight line of square dots, cut at the picture's edge."""
    count = int(max(2, np.hypot(*(end - start))))
    for x, y in np.linspace(start, end, count):
        left, top = round(x) - width // 2, round(y) - width // 2
        if left + width > 0 and top + width > 0:
            rgb[max(0, top) : max(0, top + width), max(0, left) : max(0, left + width)] = ink
