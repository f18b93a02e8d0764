"""A track to its swings: whose hand, which clock, where the camera stood, and what of it all may be measured. The one call behind
command, page and library."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any, Final, Literal

import numpy as np

from threequarter.golf.message import Message
from threequarter.swing import filming
from threequarter.swing.camera import View, upright, view_of
from threequarter.swing.clock import Clock, choose, factors
from threequarter.swing.doubt import Quality, doubts
from threequarter.swing.facing import all_faced, from_behind
from threequarter.swing.measure import INSTANTS, L_HIP, L_WRIST, R_HIP, R_WRIST, Motion, Swing, find_swings, motion
from threequarter.swing.strike import Struck, heard_at, struck
from threequarter.swing.track import Stretch, Track, track

Hand = Literal["right", "left"]
Found = list[tuple[int, Swing, Motion]]

MOST_PEOPLE: Final = 3
NEAR_END_S: Final = 0.06
LOST: Final = 0.45
"""Hips that jump by so much of a trunk between two pictures are another person's, or none."""
PASSING_S: Final = 0.6
PASSING_NEAR: Final = 0.55
PASSING_MOVES: Final = 0.25
"""Somebody who comes so near the player (sides of the square around the player, about a body's height) and moves on by so much, from a
little before the swing to a little after it, may hide the arm: the swing is not measured."""
HEARD_WIDER_S: Final = 0.02
"""The sound tells impact where the arm tells it less well than this: sound and picture of a phone are so far apart."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SwingCheck:
    """The swings of a clip in order, each with the curves it was measured on, its doubts by field, its own messages, and whether
    it struck a ball; which stretch each lies in and its number, from 1. None or empty where nothing was found."""

    swings: tuple[Swing, ...]
    curves: tuple[Motion, ...]
    hand: Hand | None
    view: View
    clock: Clock
    warnings: tuple[Message, ...]
    frames_per_s: float
    doubt90: tuple[dict[str, float], ...] = ()
    told: tuple[tuple[Message, ...], ...] = ()
    struck: tuple[Struck, ...] = ()
    signs: tuple[tuple[str, ...], ...] = ()
    stretch_of: tuple[int, ...] = ()
    numbers: tuple[int, ...] = ()

    @property
    def camera_deg(self) -> float | None:
        """Degrees off square, positive towards the target side; None where it is not known."""
        return self.view.azimuth_deg


def look(
    clip: Path, progress: Callable[[float], None] | None = None, *, slower: float | None = None
) -> tuple[Track, SwingCheck]:
    """A clip to its swings: the largest person is followed, and where that one does not swing, the others in view; then slow
    motion is looked for. `slower` is how many times slower than life the clip is, where the coach knows.

    Raises UserError where the clip cannot be read.
    """
    tries: list[tuple[Track, SwingCheck]] = []
    for person in range(MOST_PEOPLE):
        seen = track(clip, progress=progress, person=person)
        tries.append((seen, check(seen, slower=slower)))
        if tries[-1][1].swings or _refused(tries[-1][1]):
            return tries[-1]
        if person + 1 >= max(seen.seen.people, default=0):
            break
    first = tries[0][0]
    factor = slower or _slow_in_looks(first)
    if factor != 1:
        seen = track(clip, progress=progress, slower=factor, before=first)
        found = check(seen, slower=slower)
        if found.swings or _refused(found):
            return seen, found
    return tries[0]


def _refused(found: SwingCheck) -> bool:
    return any(line.code in filming.REFUSALS for line in found.warnings)


def _slow_in_looks(seen: Track) -> float:
    """How many times slower than life the quick looks show a swing; 1 where they show none."""
    looks = seen.looks
    stretch = Stretch(time_s=looks.time_s, points=looks.points, visibility=looks.visibility, world=looks.world)
    _hand, clock, found = _by_clock(replace(seen, stretches=(stretch,)), 0.0, None)
    return clock.slower if found else 1.0


def check(seen: Track, *, slower: float | None = None) -> SwingCheck:
    """All swings of a track. A left-hander is found without being told: the hand with more swings, then with longer ones."""
    seen = all_faced(seen)
    view = View()
    hand, clock, found = _by_clock(seen, 0.0, slower)
    if found:
        view = view_of(seen, tuple((at, swing) for at, swing, _ in found), hand)
        if view.roll_deg:
            hand, clock, found = _by_clock(seen, view.roll_deg, slower)
    if any(from_behind(seen.stretches[at], swing) for at, swing, _ in found):
        view = replace(view, azimuth_deg=filming.BEHIND_DEG, from_the_side=True)
    kept = [one for one in found if not _lost(seen.stretches[one[0]], one[1]) and not passed(seen, one[1])]
    lost = len(found) - len(kept)
    kept = [(at, in_picture(swing, seen.stretches[at], seen), curves) for at, swing, curves in kept]
    if view.from_the_side:
        kept = []
    warnings = filming.warnings(seen, view, clock, hand if found else None, len(kept), lost=lost)
    result = SwingCheck(
        swings=tuple(swing for _, swing, _ in kept),
        curves=tuple(curves for _, _, curves in kept),
        hand=hand if kept else None,
        view=view,
        clock=clock,
        warnings=tuple(warnings),
        frames_per_s=seen.frames_per_s,
        stretch_of=tuple(at for at, _, _ in kept),
        numbers=tuple(range(1, len(kept) + 1)),
    )
    return with_doubt(result, seen)


def with_doubt(found: SwingCheck, seen: Track) -> SwingCheck:
    """The check with the doubt of each swing, what is said of it, and whether it struck a ball."""
    doubted, told, strikes, signs, swings = [], [], [], [], []
    for at, swing in zip(found.stretch_of, found.swings, strict=True):
        quality = quality_of(seen, at, swing, found.view)
        doubt = doubts(swing, quality)
        heard = heard_at(seen, swing)
        if heard is not None and doubt["t_impact_s"] > HEARD_WIDER_S and swing.t_top_s < heard < swing.end_s:
            swing = replace(swing, t_impact_s=heard)
            doubt = {**doubts(swing, quality), "t_impact_s": HEARD_WIDER_S}
        kind, why = struck(seen, at, swing)
        swings.append(swing)
        doubted.append(doubt)
        strikes.append(kind)
        signs.append(why)
        told.append(filming.swing_warnings(swing, found.view, quality))
    return replace(
        found,
        swings=tuple(swings),
        doubt90=tuple(doubted),
        told=tuple(told),
        struck=tuple(strikes),
        signs=tuple(signs),
    )


def quality_of(seen: Track, at: int, swing: Swing, view: View) -> Quality:
    """What the doubt of a swing hangs on."""
    stretch = seen.stretches[at]
    inside = (stretch.time_s >= swing.start_s) & (stretch.time_s <= swing.end_s)
    times = stretch.time_s[inside]
    gap = float(np.quantile(np.diff(times), 0.9)) if len(times) > 3 else 1 / max(seen.frames_per_s, 1.0)
    sharp = stretch.sharp[inside] if len(stretch.sharp) == len(stretch.time_s) else np.zeros(0)
    trunk = stretch.points[inside][:, [11, 12]].mean(1) - stretch.points[inside][:, [L_HIP, R_HIP]].mean(1)
    people = [
        count
        for count, time in zip(seen.seen.people, seen.seen.people_s, strict=False)
        if swing.start_s - 0.3 <= time <= swing.end_s + 0.3
    ]
    return Quality(
        frame_s=gap / swing.slower,
        scatter=swing.scatter,
        sharp=float(np.median(sharp)) if len(sharp) else 0.1,
        seen_down=swing.seen_down,
        light=float(np.median(seen.seen.light)) if seen.seen.light else 90.0,
        burnt=float(np.median(seen.seen.burnt)) if seen.seen.burnt else 0.0,
        trunk_px=float(np.median(np.hypot(*trunk.T))) if len(trunk) else 100.0,
        azimuth_deg=view.azimuth_deg,
        azimuth90_deg=view.azimuth90_deg,
        roll90_deg=view.roll90_deg,
        bits_per_pixel=seen.bits_per_pixel,
        crowded=max(people, default=1) > 1,
        level_known=swing.level_known,
        slower=swing.slower,
        exchanged=bool(stretch.exchanged.any()),
    )


def _by_clock(seen: Track, roll_deg: float, told: float | None) -> tuple[Hand, Clock, Found]:
    """Hand, clock and swings that fit best together."""
    tried: dict[float, tuple[Hand, Found]] = {}
    for slower in (told,) if told else factors(seen.frames_per_s, seen.filmed_fps):
        right, left = (_swings(seen.stretches, hand, slower, roll_deg) for hand in ("right", "left"))
        tried[slower] = ("left", left) if _weight(left) > _weight(right) else ("right", right)
    clock = choose(
        {k: [swing for _, swing, _ in found] for k, (_, found) in tried.items()},
        seen.frames_per_s,
        seen.filmed_fps,
        told,
    )
    hand, found = tried[clock.slower]
    return hand, clock, found


def _swings(stretches: Sequence[Stretch], hand: Hand, slower: float, roll_deg: float) -> Found:
    found: Found = []
    for at, stretch in enumerate(stretches):
        points = upright(stretch.points, roll_deg) if roll_deg else stretch.points
        curves = motion(stretch.time_s / slower, points, stretch.visibility, hand)
        if curves is None:
            continue
        curves = curves if slower == 1 else replace(curves, time_s=stretch.time_s)
        for swing in find_swings(curves if slower == 1 else replace(curves, time_s=stretch.time_s / slower)):
            at_clip = in_clip(swing, slower)
            if not found or at_clip.t_impact_s - found[-1][1].t_impact_s > 0.6 * slower:
                found.append((at, at_clip, curves))
    return found


def in_clip(swing: Swing, slower: float) -> Swing:
    """A swing measured in true time, its instants in seconds of the clip."""
    if slower == 1:
        return swing
    times: dict[str, Any] = {
        name: None if at is None else at * slower for name in INSTANTS for at in (getattr(swing, name),)
    }
    return replace(swing, slower=slower, **times)


def in_picture(swing: Swing, stretch: Stretch, seen: Track) -> Swing:
    """The swing with its ends as hidden where the hands are outside of the picture then."""
    hands, t = stretch.points[:, [L_WRIST, R_WRIST]], stretch.time_s
    size = np.array([seen.seen.width or np.inf, seen.seen.height or np.inf])
    outside = np.asarray(((hands < 0.005 * size) | (hands > 0.995 * size)).any(axis=(1, 2)))
    near = NEAR_END_S * swing.slower

    def gone(start: float, end: float) -> bool:
        there = outside[(t >= start) & (t <= end)]
        return bool(there.size and there.mean() > 0.2)

    if gone(swing.t_top_s - near, swing.t_top_s + near):
        swing = replace(swing, seen_top=0.0)
    if gone(swing.end_s - near, swing.end_s + near):
        swing = replace(swing, seen_finish=0.0)
    if gone(swing.t_top_s, swing.t_impact_s + near):
        swing = replace(swing, seen_down=min(swing.seen_down, 0.5))
    return swing


def passed(seen: Track, swing: Swing) -> bool:
    """Whether somebody walks by the player during the swing: near, and not at the same place a moment later."""
    near = [
        place
        for places, time in zip(seen.seen.others, seen.seen.people_s, strict=False)
        if swing.start_s - PASSING_S <= time <= swing.end_s + PASSING_S
        for place in places
    ]
    return bool(near) and min(map(abs, near)) < PASSING_NEAR and max(near) - min(near) > PASSING_MOVES


def _lost(stretch: Stretch, swing: Swing) -> bool:
    """Whether the points jump to somebody else during the swing."""
    inside = (stretch.time_s >= swing.start_s) & (stretch.time_s <= swing.end_s)
    points = stretch.points[inside]
    if len(points) < 4:
        return True
    hips = points[:, [L_HIP, R_HIP]].mean(1)
    trunk = float(np.median(np.hypot(*(points[:, [11, 12]].mean(1) - hips).T)))
    return bool(np.hypot(*np.diff(hips, axis=0).T).max() > LOST * max(trunk, 1.0))


def _weight(found: Found) -> tuple[int, float]:
    return len(found), sum(swing.lead_arm_top_deg + (swing.lead_arm_finish_deg or 0.0) for _, swing, _ in found)
