"""Frames to body points: the person detector and the landmark model, with a small pipeline of our own.

Models: BlazePose (Bazarevsky et al. 2020, arXiv 2006.10204), run by LiteRT. Two habits of the models matter: pictures
are sampled without a half-pixel shift and repeat their edge outside; other ways move the points by 1 to 5 % of the
body height.
"""

import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files
from typing import Any, Final, Literal

import numpy as np
from numpy.typing import NDArray

from threequarter.swing.decode import Image, require_video

Array = NDArray[np.float64]
Size = Literal["lite", "full"]

POINTS: Final = 33
NOSE, L_EAR, R_EAR = 0, 7, 8
L_SHOULDER, R_SHOULDER, L_ELBOW, R_ELBOW, L_WRIST, R_WRIST = 11, 12, 13, 14, 15, 16
L_HIP, R_HIP, L_KNEE, R_KNEE, L_ANKLE, R_ANKLE = 23, 24, 25, 26, 27, 28
_CENTRE, _REACH = 33, 34
_DETECTOR_PX, _LANDMARK_PX = 224, 256
_ROI_SCALE = 1.25


@dataclass(frozen=True, slots=True)
class Roi:
    """The square looked at: centre and side in pixels."""

    x: float
    y: float
    side: float


@dataclass(frozen=True, slots=True)
class Person:
    """One detected person: score, box (x0, y0, x1, y1) and the square for the landmark model, in pixels."""

    score: float
    box: tuple[float, float, float, float]
    roi: Roi


@dataclass(frozen=True, slots=True)
class Body:
    """Body points of one frame.

    points: (33, 3) pixels x, y and model depth z (same scale, smaller is nearer); visibility: (33,) 0..1;
    presence: probability that a person is there; roi: the square for the next frame; world: (33, 3) metres about the
    hips as the model guesses them (x right, y down, z away from the camera).
    """

    points: Array
    visibility: Array
    presence: float
    roi: Roi
    world: Array


@contextmanager
def _quiet() -> Iterator[None]:
    """Keeps the runtime's own lines ("INFO: Created ...") from standard error, where it writes without asking."""
    sys.stderr.flush()
    kept, nowhere = os.dup(2), os.open(os.devnull, os.O_WRONLY)
    try:
        os.dup2(nowhere, 2)
        yield
    finally:
        os.dup2(kept, 2)
        os.close(kept)
        os.close(nowhere)


class _Model:
    def __init__(self, name: str, threads: int) -> None:
        require_video()
        from ai_edge_litert.interpreter import Interpreter

        path = files("threequarter.swing").joinpath("models", f"{name}.tflite")
        with _quiet():
            self._net: Any = Interpreter(model_path=str(path), num_threads=threads)
            self._net.allocate_tensors()
        self._input = self._net.get_input_details()[0]["index"]
        self._outputs = [detail["index"] for detail in self._net.get_output_details()]

    def __call__(self, picture: NDArray[np.float32]) -> list[NDArray[np.float32]]:
        self._net.set_tensor(self._input, picture[None])
        self._net.invoke()
        return [self._net.get_tensor(index)[0] for index in self._outputs]


class Detector:
    """Finds people in a whole picture."""

    def __init__(self, threads: int = 1) -> None:
        self._model = _Model("pose_detector", threads)

    def __call__(self, rgb: Image, *, least_score: float = 0.5) -> list[Person]:
        """People in the picture, surest first. rgb: (height, width, 3) uint8."""
        height, width = rgb.shape[:2]
        side = max(height, width)
        roi = Roi(width / 2, height / 2, side)
        picture = crop(rgb, roi, _DETECTOR_PX, outside="black") * 2 - 1
        raw, logits = self._model(picture)
        score = 1 / (1 + np.exp(-np.clip(logits[:, 0].astype(float), -100, 100)))
        keep = score >= least_score
        if not keep.any():
            return []
        anchors = detector_anchors()[keep]
        boxes = raw[keep].astype(float) / _DETECTOR_PX
        centres = anchors + boxes[:, 0:2]
        points = anchors[:, None, :] + boxes[:, 4:12].reshape(-1, 4, 2)
        corners = np.hstack([centres - boxes[:, 2:4] / 2, centres + boxes[:, 2:4] / 2])
        people = []
        for weight, box, marks in weighted_nms(corners, score[keep], points):
            origin = np.array([roi.x - side / 2, roi.y - side / 2])
            x0, y0, x1, y1 = box * side + np.tile(origin, 2)
            middle, reach = marks[0] * side + origin, marks[1] * side + origin
            people.append(Person(weight, (x0, y0, x1, y1), _roi(middle, reach)))
        return sorted(people, key=lambda person: -person.score)


class Landmarker:
    """Finds the body points inside a square."""

    def __init__(self, size: Size = "full", threads: int = 1) -> None:
        self._model = _Model(f"pose_landmark_{size}", threads)

    def __call__(self, rgb: Image, roi: Roi, *, mirrored: bool = False) -> Body:
        """Body points of the person in the square. With `mirrored` the model sees the mirror picture; the answer is
        turned back, left and right included, so the mean of both is free of the model's own left-right habit."""
        return self.on(picture_of(rgb, roi), roi, mirrored=mirrored)

    def on(self, picture: NDArray[np.float32], roi: Roi, *, mirrored: bool = False) -> Body:
        """The same for a picture cut out before (`picture_of`)."""
        if mirrored:
            picture = np.ascontiguousarray(picture[:, ::-1])
        out = self._model(picture)
        landmarks, presence, world = out[0], out[1], out[4].reshape(39, 3).astype(float)[:POINTS]
        table = landmarks.reshape(39, 5).astype(float)
        if mirrored:
            table[:, 0] = _LANDMARK_PX - 1 - table[:, 0]
            table[:POINTS] = table[MIRROR]
            world = world[MIRROR] * np.array([-1.0, 1.0, 1.0])
        scale = roi.side / _LANDMARK_PX
        points = table[:, :3] * scale
        points[:, 0] += roi.x - roi.side / 2
        points[:, 1] += roi.y - roi.side / 2
        visibility = 1 / (1 + np.exp(-table[:POINTS, 3]))
        return Body(
            points[:POINTS], visibility, float(presence[0]), _roi(points[_CENTRE, :2], points[_REACH, :2]), world
        )


def picture_of(rgb: Image, roi: Roi) -> NDArray[np.float32]:
    """The square as the landmark model wants it: (256, 256, 3), values 0..1."""
    return crop(rgb, roi, _LANDMARK_PX, outside="edge")


MIRROR: Final = np.array(
    [0, 4, 5, 6, 1, 2, 3, 8, 7, 10, 9] + [index + 1 if index % 2 else index - 1 for index in range(11, 33)]
)


def _roi(middle: Array, reach: Array) -> Roi:
    """The square around a person from the hip centre and the point that tells the size (arXiv 2006.10204)."""
    return Roi(float(middle[0]), float(middle[1]), float(2 * np.hypot(*(reach - middle)) * _ROI_SCALE))


def crop(rgb: Image, roi: Roi, size: int, *, outside: Literal["edge", "black"]) -> NDArray[np.float32]:
    """The square resampled to (size, size, 3), values 0..1; bilinear, without a half-pixel shift."""
    step = roi.side / size
    rows, row_rest, row_in = _taps(roi.y - roi.side / 2, step, size, rgb.shape[0])
    columns, column_rest, column_in = _taps(roi.x - roi.side / 2, step, size, rgb.shape[1])
    low, high = int(columns.min()), int(columns.max()) + 1
    strip = rgb[:, low:high]
    band = strip[rows[0]] * (1 - row_rest)[:, None, None] + strip[rows[1]] * row_rest[:, None, None]
    out = band[:, columns[0] - low] * (1 - column_rest)[:, None] + band[:, columns[1] - low] * column_rest[:, None]
    if outside == "black":
        out *= row_in[:, None, None] * column_in[:, None]
    return np.asarray(out * np.float32(1 / 255), dtype=np.float32)


def _taps(
    start: float, step: float, size: int, limit: int
) -> tuple[NDArray[np.intp], NDArray[np.float32], NDArray[np.float32]]:
    where = start + step * np.arange(size)
    whole = np.floor(where)
    both = np.clip(np.stack([whole, whole + 1]), 0, limit - 1).astype(np.intp)
    inside = ((where >= 0) & (where <= limit - 1)).astype(np.float32)
    return both, (where - whole).astype(np.float32), inside


@lru_cache(maxsize=1)
def detector_anchors() -> Array:
    """Anchor centres (2254, 2) of the detector: strides 8, 16 and three times 32, two per layer and cell."""
    out = []
    for stride, count in ((8, 2), (16, 2), (32, 6)):
        cells = _DETECTOR_PX // stride
        y, x = np.mgrid[0:cells, 0:cells]
        centres = (np.stack([x, y], -1).reshape(-1, 2) + 0.5) / cells
        out.append(np.repeat(centres, count, axis=0))
    return np.vstack(out)


def weighted_nms(
    boxes: Array, scores: Array, points: Array, least_overlap: float = 0.3
) -> list[tuple[float, Array, Array]]:
    """Overlapping detections blended by score. boxes (n, 4), scores (n,), points (n, k, 2); surest first."""
    left = np.argsort(-scores)
    out = []
    while left.size:
        best = boxes[left[0]]
        overlap = _overlap(best, boxes[left])
        together = left[overlap > least_overlap]
        if not together.size:
            together = left[:1]
        weight = scores[together] / scores[together].sum()
        out.append((float(scores[left[0]]), weight @ boxes[together], np.einsum("n,nkd->kd", weight, points[together])))
        left = np.setdiff1d(left, together, assume_unique=True)
        left = left[np.argsort(-scores[left])]
    return out


def _overlap(box: Array, others: Array) -> Array:
    """Intersection over union of one box with others."""
    low, high = np.maximum(box[:2], others[:, :2]), np.minimum(box[2:], others[:, 2:])
    common = np.prod(np.clip(high - low, 0, None), axis=1)
    total = np.prod(box[2:] - box[:2]) + np.prod(others[:, 2:] - others[:, :2], axis=1) - common
    return np.asarray(common / np.maximum(total, 1e-12))
