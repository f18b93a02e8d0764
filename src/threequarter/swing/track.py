"""A clip to the body points of its player, frame by frame."""

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Final

import numpy as np
from numpy.typing import NDArray

from threequarter.swing.decode import frames
from threequarter.swing.pose import Detector, Landmarker

Floats = NDArray[np.float64]

LEAST_PRESENCE: Final = 0.5


@dataclass(frozen=True, slots=True, eq=False)
class Track:
    """Body points over time: `time_s` (n,), `points` (n, 33, 2) pixels (nan where no player was seen), `visibility`
    (n, 33) 0..1."""

    time_s: Floats
    points: Floats
    visibility: Floats


def track(path: Path, *, threads: int = 2, progress: Callable[[float], None] | None = None) -> Track:
    """Follows the largest person of a clip. Raises UserError where the clip cannot be read."""
    detector, landmarker = Detector(threads), Landmarker("full", threads)
    roi, times, points, visibility = None, [], [], []
    for frame in frames(path):
        if roi is None:
            people = detector(frame.rgb)
            roi = max(people, key=lambda person: person.roi.side).roi if people else None
        times.append(frame.time_s)
        body = landmarker(frame.rgb, roi) if roi is not None else None
        if body is None or body.presence < LEAST_PRESENCE:
            roi = None
            points.append(np.full((33, 2), np.nan))
            visibility.append(np.zeros(33))
            continue
        roi = body.roi
        points.append(np.asarray(body.points[:, :2], dtype=float))
        visibility.append(np.asarray(body.visibility, dtype=float))
        if progress:
            progress(frame.time_s)
    return Track(np.array(times), np.array(points).reshape(-1, 33, 2), np.array(visibility).reshape(-1, 33))
