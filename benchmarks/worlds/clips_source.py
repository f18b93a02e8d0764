"""The clips that the hard copies are made from, cut to one swing each and halved into those to look at and those to report."""

from __future__ import annotations

import zlib
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from . import clips_truth as true
from .clips_film import Film, Picture, read
from .clips_pictures import ball_spot, between, figure_mask, without_ball

OPEN = Path(__file__).resolve().parents[2] / "tests" / "data" / "swings"
TUNED = ("o01_plain", "o03_heavy", "o05_az_plus12", "o07_decel_120fps", "o09_three_swings")
REPORTED = ("o02_waist", "o04_left", "o06_az_minus15", "o08_slomo_240fps", "o10_indoor_30fps")
BEFORE_S, AFTER_S = 0.9, 0.7  # shown before the takeaway and after the finish
TIGHT_BEFORE_S, TIGHT_AFTER_S = 0.45, 0.35


def half_of(clip: str) -> str:
    """`tuned` clips may be looked at by whoever builds the check; `reported` ones only measure it."""
    return "tuned" if clip in TUNED else "reported"


@dataclass(frozen=True)
class Source:
    """One open clip under one condition: the first swing of it, and chance that depends on nothing but the two names."""

    clip: str
    condition: str
    folder: Path = OPEN

    @property
    def rng(self) -> np.random.Generator:
        """The same draws for the same clip and condition."""
        return np.random.default_rng(zlib.crc32(f"{self.clip}/{self.condition}".encode()))

    def whole(self) -> Film:
        """The clip as it is."""
        return read(self.folder / f"{self.clip}.mp4")

    def base(self, before_s: float = BEFORE_S, after_s: float = AFTER_S, rate_hz: float = 60) -> Film:
        """The first swing with a little before and after, at no more than `rate_hz`."""
        film = self.whole()
        swing = film.truth["swings"][0]
        return cut(thinned(film, rate_hz), swing["t_takeaway_s"] - before_s, swing["t_finish_s"] + after_s)

    def tight(self, rate_hz: float = 60) -> Film:
        """The same, cut closer, for what makes films long."""
        return self.base(TIGHT_BEFORE_S, TIGHT_AFTER_S, rate_hz)

    def other(self) -> Film:
        """A clip of another player of the same half."""
        names = [name for name in (TUNED if self.clip in TUNED else REPORTED) if name != self.clip]
        return Source(names[int(self.rng.integers(0, len(names)))], self.condition, self.folder).base()


def thinned(film: Film, rate_hz: float) -> Film:
    """Every so-manieth picture, so that no more than `rate_hz` are left a second."""
    step = max(1, round(film.truth["fps"] / rate_hz))
    index = np.arange(0, len(film.times_s), step)
    return film.kept(index, film.times_s[index], {**film.truth, "fps": film.truth["fps"] / step})


def cut(film: Film, start_s: float, end_s: float) -> Film:
    """The pictures from `start_s` to `end_s`; the first one kept becomes second 0."""
    index = np.flatnonzero((film.times_s >= start_s - 1e-9) & (film.times_s <= end_s + 1e-9))
    first, last = film.times_s[index[0]], film.times_s[index[-1]]
    return film.kept(index, film.times_s[index] - first, true.cut(film.truth, first, last))


def resampled(film: Film, rate_hz: float, slowed: float = 1.0, shown_hz: float | None = None) -> Film:
    """At `rate_hz` pictures a second of life, faded where the clip has fewer, shown `slowed` times slower."""
    shown = shown_hz or rate_hz / slowed
    step = float(np.median(np.diff(film.times_s)))
    life = np.arange(0, film.times_s[-1], 1 / rate_hz)
    at = np.round(life / step, 6)
    points = np.asarray(film.truth["keypoints_px"])
    low = np.minimum(at.astype(int), len(points) - 1)
    high, part = np.minimum(low + 1, len(points) - 1), (at - low)[:, None, None]
    truth = {
        **true.slow_motion(film.truth, slowed),
        "fps": shown,
        "keypoints_px": points[low] * (1 - part) + points[high] * part,
    }
    return film.with_pictures(lambda pictures: between(pictures, at), times_s=np.arange(len(at)) / shown, truth=truth)


def player_masks(film: Film) -> Iterator[NDArray[np.float32]]:
    """Where the player is, picture by picture."""
    wide, high = film.truth["size"]
    for points in film.truth["keypoints_px"]:
        yield figure_mask(points, film.truth["keypoint_names"], (wide, high))


def ball_painted_out(film: Film) -> Film:
    """The same swing with no ball. Raises ValueError where the ball cannot be found in the pictures."""
    swing = film.truth["swings"][0]
    top, struck = (int(np.searchsorted(film.times_s, swing[name])) for name in ("t_top_s", "t_impact_s"))
    names, points = film.truth["keypoint_names"], film.truth["keypoints_px"][0]
    feet_y, hips_y, shoulders_y = (
        max(float(points[names.index(f"{side}_{part}"), 1]) for side in ("left", "right"))
        for part in ("ankle", "hip", "shoulder")
    )
    kept: dict[int, Picture] = {}
    for i, picture in enumerate(film.pictures()):
        if i in (top, len(film.times_s) - 1):
            kept[i] = picture
    plate = kept[len(film.times_s) - 1]
    spot = ball_spot(kept[top], plate, feet_y + 0.38 * (hips_y - shoulders_y))
    if spot is None:
        raise ValueError(f"no ball seen in {film.truth['clip']}: it cannot be painted out")
    in_flight_s = 0.15

    def change(pictures: Iterator[Picture]) -> Iterator[Picture]:
        for i, (picture, second) in enumerate(zip(pictures, film.times_s, strict=True)):
            flying = i >= struck - 1 and second < swing["t_impact_s"] + in_flight_s
            yield without_ball(picture, plate, spot, flying) if second < swing["t_impact_s"] + in_flight_s else picture

    return film.with_pictures(change, truth=true.as_practice(film.truth))
