"""Another body and another tilt, made from an open clip: a child's proportions, and a camera that looks down or up. The truth goes along."""

from __future__ import annotations

import copy
from collections.abc import Callable, Iterator

import numpy as np
from numpy.typing import NDArray

from . import clips_pictures as px
from . import clips_truth as true
from .clips_film import Film, Picture
from .clips_source import Source

Floats = NDArray[np.float64]
CHILD_SIZE, CHILD_HEAD, CHILD_LEGS = 0.75, 1.3, 0.8
"""A seven-year-old beside an adult: 1.22 m, a head of a sixth of the height instead of 2/15, shorter legs (drawing handbooks' figures)."""
HEAD_R, HEAD_REACH, HEAD_UP = 0.27, 0.62, 0.42
"""In torso lengths: the head's radius, how far its growing is felt, and how far its middle lies over the shoulders."""
FOCAL = 1.02
"""Focal length in picture heights: the open clips look over about 52 degrees of height."""


def child(source: Source) -> Film:
    """The same swing by a child: smaller, the head larger, the legs shorter below the hands. Arms and trunk keep their shape."""
    film = source.base()
    wide, high = film.truth["size"]
    names, points = film.truth["keypoint_names"], np.asarray(film.truth["keypoints_px"])
    at = {name: points[:, i] for i, name in enumerate(names)}
    shoulders = (at["left_shoulder"] + at["right_shoulder"]) / 2
    hips = (at["left_hip"] + at["right_hip"]) / 2
    torso = np.linalg.norm(shoulders - hips, axis=1)
    knee = float(max(at["left_wrist"][:, 1].max(), at["right_wrist"][:, 1].max()) + 0.1 * torso.mean())
    heads = shoulders + HEAD_UP * (shoulders - hips)
    small = _small(wide, high, knee)

    def change(pictures: Iterator[Picture]) -> Iterator[Picture]:
        for picture, head, size in zip(pictures, heads, torso, strict=True):
            yield small(_with_head(picture, head, float(size)))

    truth = {**film.truth, "keypoints_px": _placed(points, wide, high, knee)}
    return film.with_pictures(change, truth=truth)


def _placed(points: Floats, wide: int, high: int, knee: float) -> Floats:
    """Where points of the picture go: shorter below `knee`, then all smaller about a point low in the middle."""
    new = points.copy()
    low = new[..., 1] > knee
    new[..., 1] = np.where(low, knee + CHILD_LEGS * (new[..., 1] - knee), new[..., 1])
    middle = np.array([wide / 2, 0.8 * high])
    return np.asarray(middle + CHILD_SIZE * (new - middle))


def _small(wide: int, high: int, knee: float) -> Callable[[Picture], Picture]:
    """The change of a whole picture that `_placed` is for points."""
    y, x = np.mgrid[0:high, 0:wide].astype(float)
    from_x, from_y = wide / 2 + (x - wide / 2) / CHILD_SIZE, 0.8 * high + (y - 0.8 * high) / CHILD_SIZE
    from_y = np.where(from_y > knee, knee + (from_y - knee) / CHILD_LEGS, from_y)
    taps = _taps(from_x, from_y, wide, high)
    return lambda picture: _taken(px.softened(picture), taps)


def _with_head(picture: Picture, head: Floats, torso: float) -> Picture:
    """The head larger by CHILD_HEAD, what is around it pressed together."""
    high, wide = picture.shape[:2]
    reach = HEAD_REACH * torso
    x0, y0 = (max(0, int(v - reach)) for v in head)
    x1, y1 = min(wide, int(head[0] + reach) + 1), min(high, int(head[1] + reach) + 1)
    if x1 <= x0 or y1 <= y0:
        return picture
    y, x = np.mgrid[y0:y1, x0:x1].astype(float)
    off = np.hypot(x - head[0], y - head[1])
    inner = HEAD_R * torso
    grown = CHILD_HEAD * inner
    was = np.where(off < grown, off / CHILD_HEAD, inner + (off - grown) * (reach - inner) / (reach - grown))
    share = np.where(off < reach, was / np.maximum(off, 1e-6), 1.0)
    taps = _taps(head[0] + share * (x - head[0]), head[1] + share * (y - head[1]), wide, high)
    new = picture.copy()
    new[y0:y1, x0:x1] = _taken(picture, taps)
    return new


def _taps(
    x: Floats, y: Floats, wide: int, high: int
) -> tuple[NDArray[np.int64], NDArray[np.float32], NDArray[np.float32]]:
    x, y = np.clip(x, 0, wide - 1.01), np.clip(y, 0, high - 1.01)
    at = y.astype(np.int64) * wide + x.astype(np.int64)
    return at, (x % 1)[..., None].astype(np.float32), (y % 1)[..., None].astype(np.float32)


def _taken(picture: Picture, taps: tuple[NDArray[np.int64], NDArray[np.float32], NDArray[np.float32]]) -> Picture:
    at, right, down = taps
    flat, wide = picture.reshape(-1, 3).astype(np.float32), picture.shape[1]
    above = flat[at] * (1 - right) + flat[at + 1] * right
    below = flat[at + wide] * (1 - right) + flat[at + wide + 1] * right
    return np.asarray(above * (1 - down) + below * down).astype(np.uint8)


def tilted(up_deg: float) -> Callable[[Source], Film]:
    """The camera turned up (negative: down) about its own place, the picture cut anew so that the player stays in it. The angles are
    those that this camera sees."""

    def make(source: Source) -> Film:
        film = source.base()
        wide, high = film.truth["size"]
        turn, focal = np.radians(up_deg), FOCAL * high
        points = np.asarray(film.truth["keypoints_px"])
        middle = points.reshape(-1, 2)[:, 1].min() / 2 + points.reshape(-1, 2)[:, 1].max() / 2
        shift = _turned(np.array([[wide / 2, middle]]), wide, high, turn, focal)[0, 1] - high / 2
        y, x = np.mgrid[0:high, 0:wide].astype(float)
        back = _turned(np.stack([x, y + shift], -1), wide, high, -turn, focal)
        taps = _taps(back[..., 0], back[..., 1], wide, high)
        after = copy.deepcopy({k: v for k, v in film.truth.items() if k != "keypoints_px"})
        after["keypoints_px"] = _turned(points, wide, high, turn, focal) - np.array([0.0, shift])
        return film.each(lambda p: _taken(p, taps), truth=seen_anew(film.truth, after, film.times_s))

    return make


def _turned(points: Floats, wide: int, high: int, turn: float, focal: float) -> Floats:
    """Pixels of a camera after it was turned up by `turn` radians."""
    x, y = (points[..., 0] - wide / 2) / focal, (points[..., 1] - high / 2) / focal
    c, s = np.cos(turn), np.sin(turn)
    depth = c - y * s
    return np.stack([x / depth * focal + wide / 2, (y * c + s) / depth * focal + high / 2], -1)


def seen_anew(before: true.Truth, after: true.Truth, times_s: Floats) -> true.Truth:
    """The truth `after` with arm and hand height as its own body points show them: what was true before, and by how much the points
    moved it."""
    new = copy.deepcopy(after)
    arms = [true.lead_arm_deg(one) for one in (before, after)]
    heights = [_height(one) for one in (before, after)]
    for swing in new["swings"]:
        for end, sign in (("top", -1), ("finish", 1)):
            second = swing[f"t_{end}_s"]
            if second is None:
                continue
            arm, height = ([float(np.interp(second, times_s, curve)) for curve in curves] for curves in (arms, heights))
            swing[f"lead_arm_{end}_deg"] += sign * (arm[1] - arm[0])
            swing[f"hand_height_{end}"] += height[1] - height[0]
    return new


def _height(truth: true.Truth) -> Floats:
    names, points = truth["keypoint_names"], np.asarray(truth["keypoints_px"])[..., 1]
    hands, hips, tops = (
        (points[:, names.index(f"left_{part}")] + points[:, names.index(f"right_{part}")]) / 2
        for part in ("wrist", "hip", "shoulder")
    )
    return np.asarray((hips - hands) / (hips - tops))
