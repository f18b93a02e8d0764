"""The close look: every picture around a move of the hands, by the larger model."""

from collections.abc import Callable
from typing import Final

import numpy as np
from numpy.typing import NDArray

from threequarter.swing.decode import Frame, Image
from threequarter.swing.looking import LEAST_PRESENCE
from threequarter.swing.picture import sharpness
from threequarter.swing.pose import (
    L_ANKLE,
    L_HIP,
    L_SHOULDER,
    L_WRIST,
    R_ANKLE,
    R_HIP,
    R_SHOULDER,
    R_WRIST,
    Landmarker,
    Roi,
    picture_of,
)
from threequarter.swing.track import Looks, Source, Stretch

Floats = NDArray[np.float64]

FAST: Final = 2.0
"""Speed of the hands about the hips over two looks, in torso lengths a second, that is looked at closely: slower than any swing."""
RESTS: Final = 0.35
"""Hands slower than this, and low, are at rest at address."""
BEFORE_S: Final = 1.9
AFTER_S: Final = 1.6
MOST_BEFORE_S: Final = 3.2
REST_S: Final = 1.0
"""A stretch begins so long before the hands set off (the camera is judged on the still player), at most MOST_BEFORE_S early."""
ALTERNATE_HZ: Final = 50.0
CLOSE_HZ: Final = 130.0
"""More pictures a second than this are not looked at closely: nothing of a swing is that fast."""
GROUND_EVERY_S: Final = 0.1
GROUND_SHAPE: Final = (100, 240)


def busy_spans(looks: Looks, slower: float) -> list[tuple[float, float]]:
    """Where the hands move as in a swing, with what comes before and after, in seconds of the clip; joined and in order."""
    t, speed = hand_speed(looks, slower)
    address = (speed < RESTS) & _low(looks)
    spans: list[tuple[float, float]] = []
    for k in np.flatnonzero(speed > FAST):
        rest = np.flatnonzero(address & (t < t[k]) & (t > t[k] - slower * MOST_BEFORE_S))
        start = t[rest[-1]] - slower * REST_S if len(rest) else t[k] - slower * BEFORE_S
        start = min(start, t[k] - slower * 0.5 * BEFORE_S)
        end = t[k] + slower * AFTER_S
        if spans and start <= spans[-1][1]:
            spans[-1] = (spans[-1][0], end)
        else:
            spans.append((max(0.0, float(start)), float(end)))
    return spans


def _low(looks: Looks) -> NDArray[np.bool_]:
    """Where the hands hang below the hips, as at address and never at the top."""
    return np.asarray(looks.points[:, [L_WRIST, R_WRIST], 1].mean(1) > looks.points[:, [L_HIP, R_HIP], 1].mean(1))


def hand_speed(looks: Looks, slower: float) -> tuple[Floats, Floats]:
    """Times and speed of the hands about the hips over two looks, torso lengths a true second."""
    points, t = looks.points, looks.time_s
    if len(t) < 3:
        return t, np.zeros(len(t))
    hips, shoulders = points[:, [L_HIP, R_HIP]].mean(1), points[:, [L_SHOULDER, R_SHOULDER]].mean(1)
    torso = np.maximum(np.hypot(*(shoulders - hips).T), 1.0)
    hands = (points[:, [L_WRIST, R_WRIST]].mean(1) - hips) / torso[:, None]
    speed = np.zeros(len(t))
    gap = t[2:] - t[:-2]
    speed[2:] = np.where(gap < 0.5, np.hypot(*(hands[2:] - hands[:-2]).T) / np.maximum(gap, 1e-3), 0.0) * slower
    return t, speed


class Closely:
    """Looks at the pictures of some spans with the larger model."""

    def __init__(self, looks: Looks, rate: float, threads: int, slower: float, turned: int) -> None:
        self.looks, self.rate, self.slower, self.turned = looks, rate, slower, turned
        self.full = Landmarker("full", threads) if len(looks.time_s) else None
        self.turn = False

    def through(
        self, source: Source, spans: list[tuple[float, float]], progress: Callable[[float], None] | None
    ) -> tuple[Stretch, ...]:
        """One stretch for each span in which the player was seen."""
        found = []
        total, done = sum(b - a for a, b in spans), 0.0
        last = float(self.looks.time_s[-1])
        for span in spans:
            builder = _Builder()
            for frame in source(spans=(span,), every_s=0.6 * self.slower / CLOSE_HZ, turned=self.turned):
                if not builder.rows or frame.time_s - builder.rows[-1][0] >= self.slower / CLOSE_HZ - 2e-4:
                    self._look(frame, builder)
                if progress:
                    progress(last * (0.5 + 0.5 * (done + frame.time_s - span[0]) / total))
            done += span[1] - span[0]
            if len(builder.rows) > 3:
                found.append(builder.stretch())
        return tuple(found)

    def _look(self, frame: Frame, builder: "_Builder") -> None:
        assert self.full is not None
        roi = self._roi(frame.time_s)
        small = np.asarray(np.round(picture_of(frame.rgb, roi) * 255), dtype=np.uint8)
        picture = small.astype(np.float32) / np.float32(255)
        self.turn = not self.turn
        ways = (self.turn,) if self.rate / self.slower >= ALTERNATE_HZ / self.slower else (False, True)
        bodies = [self.full.on(picture, roi, mirrored=way) for way in ways]
        if max(body.presence for body in bodies) < LEAST_PRESENCE:
            return
        weight = [np.clip(body.visibility, 0.02, 1.0)[:, None] ** 3 for body in bodies]
        points = sum(b.points[:, :2] * w for b, w in zip(bodies, weight, strict=True)) / sum(weight)
        visibility = sum(body.visibility for body in bodies) / len(bodies)
        world = sum(body.world for body in bodies) / len(bodies)
        other = builder.other
        both = world if other is None else (world + other) / 2  # with the picture before, seen the other way
        builder.other = np.asarray(world) if len(ways) == 1 else None
        row = (frame.time_s, np.asarray(points), np.asarray(visibility), np.asarray(both), sharpness(small))
        builder.rows.append(row)
        if frame.time_s >= builder.ground_due:
            builder.ground_due = frame.time_s + self.slower * GROUND_EVERY_S - 1e-3
            if builder.box is None:
                builder.box = _ground_box(np.asarray(points))
            builder.ground.append((frame.time_s, _ground(frame.rgb, builder.box)))

    def _roi(self, time: float) -> Roi:
        x, y, side = (float(np.interp(time, self.looks.time_s, column)) for column in self.looks.roi.T)
        return Roi(x, y, side)


class _Builder:
    """A stretch that is being looked at."""

    def __init__(self) -> None:
        self.rows: list[tuple[float, Floats, Floats, Floats, float]] = []
        self.other: Floats | None = None
        self.box: tuple[float, float, float] | None = None
        self.ground: list[tuple[float, NDArray[np.uint8]]] = []
        self.ground_due = -1e9

    def stretch(self) -> Stretch:
        time, points, visibility, world, sharp = zip(*self.rows, strict=True)
        return Stretch(
            time_s=np.array(time),
            points=np.array(points),
            visibility=np.array(visibility),
            world=np.array(world),
            sharp=np.array(sharp),
            ground_s=np.array([at for at, _ in self.ground]),
            ground=np.array([picture for _, picture in self.ground]),
        )


def _ground_box(points: Floats) -> tuple[float, float, float]:
    """Where the ball lies: middle of the feet (x, y) and the width looked at, in pixels. It stays for the whole stretch."""
    feet = points[[L_ANKLE, R_ANKLE]]
    hips = points[[L_HIP, R_HIP]].mean(0)
    leg = float(np.hypot(*(feet.mean(0) - hips)))
    return float(feet[:, 0].mean()), float(feet[:, 1].max()), 1.6 * leg


def _ground(rgb: Image, box: tuple[float, float, float]) -> NDArray[np.uint8]:
    """The ground in front of the feet in grey, GROUND_SHAPE."""
    rows, columns = GROUND_SHAPE
    x, y, width = box
    step = width / columns
    at_x = np.clip(np.round(x + (np.arange(columns) - columns / 2) * step), 0, rgb.shape[1] - 1).astype(int)
    at_y = np.clip(np.round(y + (np.arange(rows) - 0.1 * rows) * step), 0, rgb.shape[0] - 1).astype(int)
    return np.asarray(rgb[np.ix_(at_y, at_x)].mean(axis=2), dtype=np.uint8)
