"""A clip to the body points of its player: cheaply all along, closely where the hands move fast.

The small model looks some fifteen times a second. Where it sees the hands move as in a swing, the pictures from before that
moment, which are kept for a while, and those after it are looked at again by the larger model, every other one mirrored, so that
the model's own left-right habit cancels when the points are smoothed (slow cameras: each picture both ways). Memory does not grow
with the clip but for the points themselves.
"""

from collections import deque
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Final

import numpy as np
from numpy.typing import NDArray

from threequarter.swing.decode import Frame, Image, frames, probe
from threequarter.swing.pose import (
    L_ANKLE,
    L_HIP,
    L_SHOULDER,
    L_WRIST,
    NOSE,
    R_ANKLE,
    R_HIP,
    R_SHOULDER,
    R_WRIST,
    Body,
    Detector,
    Landmarker,
    Roi,
    picture_of,
)

Floats = NDArray[np.float64]

LEAST_PRESENCE: Final = 0.5
LOOK_HZ: Final = 15.0
BEFORE_S: Final = 1.9
AFTER_S: Final = 1.6
FAST: Final = 2.0
"""Speed of the hands about the hips over two looks, in torso lengths a second, that is looked at closely: slower than any swing."""
ALTERNATE_HZ: Final = 50.0
CLOSE_HZ: Final = 130.0
"""More pictures a second than this are not looked at closely: nothing of a swing is that fast."""
MOST_WORLDS: Final = 120
EDGE_PX: Final = 128
STEADY: Final = 0.35
"""How much of a new square is taken over; the rest stays, so that the picture does not jump."""
COUNT_PEOPLE_EVERY_S: Final = 2.0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Stretch:
    """A stretch looked at closely, every frame: `time_s` (n,), `points` (n, 33, 2) pixels, `visibility` (n, 33) 0..1,
    `world` (n, 33, 3) in metres about the hips as the model guesses them (x to the right, y down, z away)."""

    time_s: Floats
    points: Floats
    visibility: Floats
    world: Floats


@dataclass(slots=True, kw_only=True)
class Seen:
    """What was noticed about the filming: numbers for the warnings."""

    width: int = 0
    height: int = 0
    looks: int = 0
    with_player: int = 0
    light: list[float] = field(default_factory=list)
    tall_share: list[float] = field(default_factory=list)
    cut_off: int = 0
    people: list[int] = field(default_factory=list)
    shakes: list[float] = field(default_factory=list)
    worlds: list[Floats] = field(default_factory=list)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Track:
    """The close stretches of a clip in order, its frame rate, and what was noticed."""

    stretches: tuple[Stretch, ...]
    frames_per_s: float
    duration_s: float
    seen: Seen


def track(path: Path, *, threads: int = 2, progress: Callable[[float], None] | None = None, person: int = 0) -> Track:
    """Follows one person of a clip: the largest, or with `person` the next ones by size. Raises UserError where the clip cannot
    be read."""
    rate = probe(path).fps
    return follow(frames(path), rate or 60.0, threads=threads, progress=progress, person=person)


def follow(
    pictures: Iterable[Frame],
    rate: float,
    *,
    threads: int = 2,
    progress: Callable[[float], None] | None = None,
    person: int = 0,
) -> Track:
    """The same for frames from anywhere; `rate` is a first guess of the frames a second."""
    follower = _Follower(rate, threads, person)
    for frame in pictures:
        follower.take(frame)
        if progress:
            progress(frame.time_s)
    return follower.done()


class _Follower:
    """One pass over the frames of a clip."""

    def __init__(self, rate: float, threads: int, person: int) -> None:
        self.detector, self.lite, self.full = (
            Detector(threads),
            Landmarker("lite", threads),
            Landmarker("full", threads),
        )
        self.kept: deque[tuple[float, NDArray[np.uint8], Roi]] = deque(
            maxlen=max(8, int(BEFORE_S * max(rate, 10.0)) + 2)
        )
        self.rate, self.turn, self.person = rate, False, person
        self.where: Roi | None = None
        self.edge: Floats | None = None
        self.other: Floats | None = None
        self.seen = Seen()
        self.roi: Roi | None = None
        self.due = self.close_until = self.count_due = -1e9
        self.last: deque[tuple[float, Floats]] = deque(maxlen=2)
        self.rows: list[tuple[float, Floats, Floats, Floats]] = []
        self.stretches: list[Stretch] = []
        self.times: list[float] = []

    def take(self, frame: Frame) -> None:
        self.times.append(frame.time_s)
        if frame.time_s >= self.due:
            self.due = frame.time_s + 1 / LOOK_HZ - 1e-3
            self._look(frame)
        if self.roi is None:
            self._close_gap()
            return
        if frame.time_s <= self.close_until:
            self._closely(frame.time_s, _small(frame.rgb, self.roi), self.roi)
            return
        self._close_gap()
        self.kept.append((frame.time_s, _small(frame.rgb, self.roi), self.roi))

    def done(self) -> Track:
        self._close_gap()
        step = float(np.median(np.diff(self.times))) if len(self.times) > 2 else 0.0
        length = self.times[-1] - self.times[0] if self.times else 0.0
        return Track(
            stretches=tuple(self.stretches),
            frames_per_s=1 / step if step > 0 else 0.0,
            duration_s=length,
            seen=self.seen,
        )

    def _look(self, frame: Frame) -> None:
        """A quick look: where the player is, how fast the hands move, how the filming is."""
        seen = self.seen
        seen.height, seen.width = frame.rgb.shape[:2]
        seen.looks += 1
        self._note_shake(frame.rgb)
        if seen.looks % 8 == 1:
            seen.light.append(float(frame.rgb[::16, ::16].mean()))
        if self.roi is None or frame.time_s >= self.count_due:
            self.count_due = frame.time_s + COUNT_PEOPLE_EVERY_S
            people = self.detector(frame.rgb)
            seen.people.append(len(people))
            if self.roi is None and people:
                self.roi = self._choose([found.roi for found in people])
                self.roi = self.lite(frame.rgb, self.roi).roi  # the detector's square is rough: settle on the player
        if self.roi is None:
            self.last.clear()
            return
        body = self.lite(frame.rgb, self.roi)
        if body.presence < LEAST_PRESENCE:
            self.roi = None
            self.last.clear()
            return
        self.roi = self.where = _steady(self.roi, body.roi)
        self._note(body)
        hands = _hands(body.points)
        if len(self.last) == 2:
            before, then = self.last[0]
            if float(np.hypot(*(hands - then))) > FAST * (frame.time_s - before):
                self._wake(frame.time_s)
        self.last.append((frame.time_s, hands))

    def _note_shake(self, rgb: Image) -> None:
        """How far the edge of the picture moved since the last look, as a share of its longer side (phase correlation)."""
        small = _edge(rgb)
        if self.edge is not None and self.edge.shape == small.shape:
            self.seen.shakes.append(_moved(self.edge, small) / max(small.shape))
        self.edge = small

    def _choose(self, rois: list[Roi]) -> Roi:
        """The person followed before where one stands near there, else by size."""
        if self.where is not None:
            before = self.where
            near = min(rois, key=lambda roi: np.hypot(roi.x - before.x, roi.y - before.y))
            if np.hypot(near.x - before.x, near.y - before.y) < 0.5 * before.side:
                return near
        by_size = sorted(rois, key=lambda roi: -roi.side)
        return by_size[min(self.person, len(by_size) - 1)]

    def _note(self, body: Body) -> None:
        seen, points = self.seen, body.points
        seen.with_player += 1
        if len(seen.worlds) < MOST_WORLDS:
            seen.worlds.append(body.world)
        top, bottom = points[NOSE, 1], max(points[L_ANKLE, 1], points[R_ANKLE, 1])
        tall = 1.13 * (bottom - top)  # from the nose to the ankles is about 0.88 of a body
        seen.tall_share.append(float(tall / seen.height))
        inside = (points[[NOSE, L_ANKLE, R_ANKLE], 1] > 0) & (points[[NOSE, L_ANKLE, R_ANKLE], 1] < seen.height - 1)
        seen.cut_off += int(not inside.all())

    def _wake(self, now: float) -> None:
        """Looks closely from a while before now until a while after."""
        if now > self.close_until:
            for time, small, roi in self.kept:
                if time >= now - BEFORE_S:
                    self._closely(time, small, roi)
            self.kept.clear()
        self.close_until = now + AFTER_S

    def _closely(self, time: float, small: NDArray[np.uint8], roi: Roi) -> None:
        if self.rows and time - self.rows[-1][0] < 1 / CLOSE_HZ - 1e-4:
            return
        picture = small.astype(np.float32) / np.float32(255)
        self.turn = not self.turn
        ways = (self.turn,) if self.rate >= ALTERNATE_HZ else (False, True)
        bodies = [self.full.on(picture, roi, mirrored=way) for way in ways]
        if max(body.presence for body in bodies) < LEAST_PRESENCE:
            return
        weight = [np.clip(body.visibility, 0.02, 1.0)[:, None] ** 3 for body in bodies]
        points = sum(b.points[:, :2] * w for b, w in zip(bodies, weight, strict=True)) / sum(weight)
        visibility = sum(body.visibility for body in bodies) / len(bodies)
        world = sum(body.world for body in bodies) / len(bodies)
        both = world if self.other is None else (world + self.other) / 2  # with the picture before, seen the other way
        self.other = np.asarray(world) if len(ways) == 1 else None
        self.rows.append((time, np.asarray(points), np.asarray(visibility), np.asarray(both)))

    def _close_gap(self) -> None:
        """Ends the stretch that is open."""
        if len(self.rows) > 3:
            time, points, visibility, world = zip(*self.rows, strict=True)
            self.stretches.append(
                Stretch(
                    time_s=np.array(time),
                    points=np.array(points),
                    visibility=np.array(visibility),
                    world=np.array(world),
                )
            )
        self.rows, self.other = [], None


def _small(rgb: Image, roi: Roi) -> NDArray[np.uint8]:
    return np.asarray(np.round(picture_of(rgb, roi) * 255), dtype=np.uint8)


def _steady(old: Roi, new: Roi) -> Roi:
    if abs(new.side - old.side) > 0.4 * old.side or np.hypot(new.x - old.x, new.y - old.y) > 0.4 * old.side:
        return new
    part = STEADY
    return Roi(old.x + part * (new.x - old.x), old.y + part * (new.y - old.y), old.side + part * (new.side - old.side))


def _hands(points: Floats) -> Floats:
    """The hands about the hips, in torso lengths."""
    hips, shoulders = (points[[L_HIP, R_HIP], :2].mean(0), points[[L_SHOULDER, R_SHOULDER], :2].mean(0))
    torso = max(float(np.hypot(*(shoulders - hips))), 1.0)
    return np.asarray((points[[L_WRIST, R_WRIST], :2].mean(0) - hips) / torso)


def _edge(rgb: Image) -> Floats:
    """The picture in grey and small, its middle taken out: there the player moves."""
    step = max(1, max(rgb.shape[:2]) // EDGE_PX)
    grey = rgb[::step, ::step].mean(axis=2)
    grey = grey - grey.mean()
    height, width = grey.shape
    grey[int(0.12 * height) :, int(0.2 * width) : int(0.8 * width)] = 0.0
    return np.asarray(grey * np.outer(np.hanning(height + 2)[1:-1], np.ones(width)))


def _moved(one: Floats, two: Floats) -> float:
    """The shift between two small pictures in their pixels (Kuglin & Hines 1975, phase correlation); 0 where it is not clear."""
    cross = np.fft.rfft2(one) * np.conj(np.fft.rfft2(two))
    peak = np.fft.irfft2(cross / np.maximum(np.abs(cross), 1e-9), s=one.shape)
    at = np.unravel_index(int(np.argmax(peak)), peak.shape)
    if peak[at] < 0.15:
        return 0.0
    dy, dx = (min(int(v), n - int(v)) for v, n in zip(at, peak.shape, strict=True))
    return float(np.hypot(dx, dy))
