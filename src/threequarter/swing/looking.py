"""The quick look through a whole clip: where the player is, how the hands move, how the filming is."""

from collections.abc import Callable
from typing import Final

import numpy as np
from numpy.typing import NDArray

from threequarter.swing.decode import Frame, Image
from threequarter.swing.picture import STILL_LEVELS, blocks, edge_of, light_of, lines_of, moved
from threequarter.swing.pose import (
    L_ANKLE,
    NOSE,
    R_ANKLE,
    Body,
    Detector,
    Landmarker,
    Roi,
)
from threequarter.swing.track import NO_LOOKS, Looks, Seen, Source

Floats = NDArray[np.float64]

LEAST_PRESENCE: Final = 0.5
LOOK_HZ: Final = 15.0
STEADY: Final = 0.35
"""How much of a new square is taken over; the rest stays, so that the picture does not jump."""
COUNT_PEOPLE_EVERY_S: Final = 0.5
BLOT: Final = 0.16
SURE_PERSON: Final = 0.7
SMALLEST: Final = 0.3
"""Others are looked for outside of this share of the player's square to each side, surer and not much smaller than the player."""
LINES_EVERY: Final = 15
LIGHT_EVERY: Final = 8
LYING_LOOKS: Final = 6
LYING_DEG: Final = 60.0
"""A player from nose to ankles flatter than this in the first looks is a picture on its side."""


class SidewaysError(Exception):
    """The pictures lie on their side: so many quarters anticlockwise set them upright."""

    def __init__(self, turns: int) -> None:
        super().__init__(turns)
        self.turns = turns


def look_through(
    source: Source, threads: int, person: int, progress: Callable[[float], None] | None
) -> tuple[Looks, Seen, list[float]]:
    """The quick looks, what was noticed, and the times of the pictures that were looked at. Pictures on their side are
    turned."""
    turned = 0
    while True:
        looker = _Looker(threads, person, turned)
        try:
            for frame in source(every_s=1 / LOOK_HZ, quick=True, turned=turned):
                looker.take(frame)
                if progress:
                    progress(frame.time_s * 0.5)
        except SidewaysError as sideways:
            turned = sideways.turns
            continue
        return looker.looks(), looker.seen, looker.times


class _Looker:
    """One pass over the frames of a clip."""

    def __init__(self, threads: int, person: int, turned: int) -> None:
        self.detector, self.lite = Detector(threads), Landmarker("lite", threads)
        self.person = person
        self.seen = Seen(turned=turned)
        self.roi: Roi | None = None
        self.where: Roi | None = None
        self.body: Body | None = None
        self.edge: Floats | None = None
        self.blocks: Floats | None = None
        self.count_due = -1e9
        self.times: list[float] = []
        self.rows: list[tuple[float, Body, Roi]] = []

    def take(self, frame: Frame) -> None:
        seen = self.seen
        self.times.append(frame.time_s)
        seen.height, seen.width = frame.rgb.shape[:2]
        seen.looks += 1
        self._note_picture(frame)
        if self.roi is None or frame.time_s >= self.count_due:
            self._count(frame)
        if self.roi is None:
            return
        if self.body is not None and not self._moves(frame):
            self._keep(frame.time_s, self.body)
            return
        body = self.lite(frame.rgb, self.roi)
        if body.presence < LEAST_PRESENCE:
            self.roi = self.body = None
            return
        self.roi = self.where = _steady(self.roi, body.roi)
        self.body = body
        self._keep(frame.time_s, body)
        if len(self.rows) == LYING_LOOKS and not seen.turned:
            self._stand()

    def looks(self) -> Looks:
        if not self.rows:
            return NO_LOOKS
        return Looks(
            time_s=np.array([time for time, _, _ in self.rows]),
            points=np.array([body.points[:, :2] for _, body, _ in self.rows]),
            visibility=np.array([body.visibility for _, body, _ in self.rows]),
            world=np.array([body.world for _, body, _ in self.rows]),
            roi=np.array([(roi.x, roi.y, roi.side) for _, _, roi in self.rows]),
        )

    def _note_picture(self, frame: Frame) -> None:
        seen, rgb = self.seen, frame.rgb
        small = edge_of(rgb)
        if self.edge is not None and self.edge.shape == small.shape:
            seen.shakes.append(moved(self.edge, small) / max(small.shape))
        self.edge = small
        if seen.looks % LIGHT_EVERY == 1:
            light, burnt = light_of(rgb)
            seen.light.append(light)
            seen.burnt.append(burnt)
        if seen.looks % LINES_EVERY == 2 and self.roi is not None:
            half = 0.3 * self.roi.side
            found = lines_of(rgb, (self.roi.x - half, self.roi.y - 0.5 * self.roi.side, self.roi.x + half, seen.height))
            total = np.array(seen.lines) if seen.lines else np.zeros(len(found))
            seen.lines = [float(v) for v in total + found]

    def _count(self, frame: Frame) -> None:
        """How many people are in view; and, where the player is not known, which of them it is."""
        self.count_due = frame.time_s + COUNT_PEOPLE_EVERY_S
        people = self.detector(frame.rgb)
        player = self.roi or (self._choose([found.roi for found in people]) if people else None)
        others = self._others(frame.rgb, player) if player else []
        self.seen.people.append(max(len(people), len(others) + 1 if player else 0))
        self.seen.people_s.append(frame.time_s)
        self.seen.others.append(others)
        if self.roi is None and people:
            self.roi = self._choose([found.roi for found in people])
            self.roi = self.lite(frame.rgb, self.roi).roi  # the detector's square is rough: settle on the player
            self.body = None

    def _others(self, rgb: Image, player: Roi) -> list[float]:
        """How far the others stand to the right of the player, in sides of the player's square. The detector sees the largest person
        and little else, so the player is blotted out first."""
        left, right = (int(np.clip(player.x + way * BLOT * player.side, 0, rgb.shape[1])) for way in (-1, 1))
        blotted = rgb.copy()
        blotted[:, left:right] = rgb[::8, ::8].mean(axis=(0, 1)).astype(np.uint8)
        found = self.detector(blotted, least_score=SURE_PERSON)
        away = [(one.roi.x - player.x) / player.side for one in found if one.roi.side > SMALLEST * player.side]
        return [round(float(one), 3) for one in away if abs(one) > BLOT]

    def _choose(self, rois: list[Roi]) -> Roi:
        """The person followed before where one stands near there, else by size."""
        if self.where is not None:
            before = self.where
            near = min(rois, key=lambda roi: np.hypot(roi.x - before.x, roi.y - before.y))
            if np.hypot(near.x - before.x, near.y - before.y) < 0.5 * before.side:
                return near
        by_size = sorted(rois, key=lambda roi: -roi.side)
        return by_size[min(self.person, len(by_size) - 1)]

    def _moves(self, frame: Frame) -> bool:
        """Whether anything in the square around the player moved since the model last looked at it."""
        now, then = blocks(frame.rgb), self.blocks
        assert self.roi is not None
        if then is not None and then.shape == now.shape:
            half = self.roi.side / 2
            y0, y1 = (int(np.clip(v / 8, 0, now.shape[0])) for v in (self.roi.y - half, self.roi.y + half))
            x0, x1 = (int(np.clip(v / 8, 0, now.shape[1])) for v in (self.roi.x - half, self.roi.x + half))
            part = np.abs(now - then)[y0:y1, x0:x1]
            if part.size and float(part.max()) < STILL_LEVELS:
                return False
        self.blocks = now
        return True

    def _keep(self, time: float, body: Body) -> None:
        assert self.roi is not None
        self.rows.append((time, body, self.roi))
        seen, points = self.seen, body.points
        seen.with_player += 1
        top, bottom = points[NOSE, 1], max(points[L_ANKLE, 1], points[R_ANKLE, 1])
        tall = 1.13 * (bottom - top)  # from the nose to the ankles is about 0.88 of a body
        seen.tall_share.append(float(tall / seen.height))
        ends = points[[NOSE, L_ANKLE, R_ANKLE]]
        inside = (ends[:, 1] > 0) & (ends[:, 1] < seen.height - 1) & (ends[:, 0] > 0) & (ends[:, 0] < seen.width - 1)
        seen.cut_off += int(not inside.all())

    def _stand(self) -> None:
        """Raises SidewaysError where the player lies on the side or stands on the head in all looks so far."""
        points = np.array([body.points[:, :2] for _, body, _ in self.rows])
        up = points[:, NOSE] - points[:, [L_ANKLE, R_ANKLE]].mean(1)
        lean = np.degrees(np.arctan2(up[:, 0], -up[:, 1]))
        turns = (np.round(lean / 90) % 4).astype(int)
        if (turns == turns[0]).all() and turns[0] and np.abs(lean).min() > LYING_DEG:
            raise SidewaysError(int(turns[0]))


def _steady(old: Roi, new: Roi) -> Roi:
    if abs(new.side - old.side) > 0.4 * old.side or np.hypot(new.x - old.x, new.y - old.y) > 0.4 * old.side:
        return new
    part = STEADY
    return Roi(old.x + part * (new.x - old.x), old.y + part * (new.y - old.y), old.side + part * (new.side - old.side))
