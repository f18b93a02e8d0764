"""A coach's own corrections of a clip: instants in seconds, the hands and the lead shoulder on the picture, "not a swing", "here is
one"; measures follow.

A correction is kept beside what was found, never instead of it; the fields it changed are named. Marks by the swing's number as
text, from 1: {"2": {"t_top_s": 1.52, "hands_top": [310, 402]}, "3": {"not_a_swing": true}, "added": [{"t_top_s": 8.1, "t_impact_s":
8.4}]}; swings that were added are numbered on after those that were found. A pose of the player ("this is my chest") stands among
them with its instant and hand height: {"poses": {"chest": {"t_s": 0.8, "hand_height": 0.74}}}.
"""

import itertools
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from threequarter.golf.errors import UserError
from threequarter.golf.message import Message
from threequarter.swing.camera import upright, view_of
from threequarter.swing.check import Hand, SwingCheck, with_doubt
from threequarter.swing.compare import ADDED, NOT_A_SWING
from threequarter.swing.facing import all_faced
from threequarter.swing.measure import (
    FINISH_LINE,
    FINISH_LOW,
    HIP_LOW,
    INSTANTS,
    L_HIP,
    L_SHOULDER,
    L_WRIST,
    R_HIP,
    R_SHOULDER,
    R_WRIST,
    SPEED_LOST,
    TOP_LINE,
    Motion,
    Swing,
    motion,
)
from threequarter.swing.track import Looks, Stretch, Track

Floats = NDArray[np.float64]
POINTS: Final = ("hands_top", "hands_finish", "shoulder_top", "shoulder_finish")
POSES: Final = "poses"
MOST_ADDED: Final = 50
POSE_NEAR_S: Final = 0.2
"""A pose is held still: the points of pictures so near its instant tell it."""


def apply_marks(found: SwingCheck, track: Track, marks: Mapping[str, Any]) -> tuple[SwingCheck, dict[int, list[str]]]:
    """The check with marks, and the fields they changed by number of the swing.

    Raises UserError for instants out of order or outside of the clip, or a mark of no known kind.
    """
    track = all_faced(track)
    swings, changed = list(found.swings), {}
    dropped = set()
    for number, told in marks.items():
        if number in (ADDED, POSES):
            continue
        if not (number.isdecimal() and len(number) < 6) or not 1 <= int(number) <= len(swings):
            raise UserError(Message("swing.mark_no_swing", swing=number))
        i = int(number) - 1
        if told.get(NOT_A_SWING):
            dropped.add(i)
            continue
        swings[i], fields = _marked(swings[i], found.curves[i], track, told, found.hand or "right")
        if fields:
            changed[i + 1] = fields
    kept = [i for i in range(len(swings)) if i not in dropped]
    more = _added(found, track, marks.get(ADDED) or ())
    result = replace(
        found,
        swings=(*(swings[i] for i in kept), *(swing for _, swing, _ in more)),
        curves=(*(found.curves[i] for i in kept), *(curves for _, _, curves in more)),
        stretch_of=(*(found.stretch_of[i] for i in kept), *(at for at, _, _ in more)),
        numbers=(*(i + 1 for i in kept), *range(len(swings) + 1, len(swings) + len(more) + 1)),
        hand=found.hand or (more[0][2].hand if more else None),
    )
    changed |= {len(swings) + 1 + n: [*INSTANTS] for n in range(len(more))}
    if more and not found.swings and result.hand:
        pairs = tuple((at, swing) for at, swing, _ in more)
        result = replace(result, view=view_of(track, pairs, result.hand))
    return with_doubt(result, track), changed


def pose_height(track: Track, at_s: float) -> float:
    """The hand height (0 hip joints, 1 shoulder joints) of a pose that is held at an instant of the clip.

    Raises UserError where the player was not seen then.
    """
    parts: tuple[Stretch | Looks, ...] = (*track.stretches, track.looks)
    for seen in parts:
        near = np.abs(seen.time_s - at_s) <= POSE_NEAR_S
        if near.any():
            points = np.median(seen.points[near], axis=0)
            shoulders, hips = points[[L_SHOULDER, R_SHOULDER]].mean(0), points[[L_HIP, R_HIP]].mean(0)
            hip = hips[1] - HIP_LOW * float(np.hypot(*(shoulders - hips)))
            return float((hip - points[[L_WRIST, R_WRIST], 1].mean()) / (hip - shoulders[1]))
    raise UserError(Message("swing.pose_not_seen"))


def _added(found: SwingCheck, track: Track, told: Sequence[Mapping[str, Any]]) -> list[tuple[int, Swing, Motion]]:
    """Swings that a coach points out, measured at the instants told."""
    if len(told) > MOST_ADDED:
        raise UserError(Message("swing.mark_added"))
    return [_one_added(found, track, one) for one in told]


def _one_added(found: SwingCheck, track: Track, told: Mapping[str, Any]) -> tuple[int, Swing, Motion]:
    if unknown := set(told) - set(INSTANTS):
        raise UserError(_unknown(unknown))
    if told.get("t_top_s") is None or told.get("t_impact_s") is None:
        raise UserError(Message("swing.mark_added"))
    at, stretch = _stretch_at(track, float(told["t_top_s"]), float(told["t_impact_s"]))
    slower = found.clock.slower
    points = upright(stretch.points, found.view.roll_deg)
    curves = motion(stretch.time_s / slower, points, stretch.visibility, found.hand)
    if curves is None:
        raise UserError(Message("swing.mark_added"))
    curves = replace(curves, time_s=stretch.time_s)
    bare = Swing(
        t_takeaway_s=None,
        t_top_s=float(told["t_top_s"]),
        t_impact_s=float(told["t_impact_s"]),
        t_finish_s=None,
        lead_arm_top_deg=0.0,
        lead_arm_finish_deg=None,
        hand_height_top=0.0,
        hand_height_finish=None,
        impact_over_peak=0.0,
        slower=slower,
        scatter=float(np.median(curves.scatter)),
    )
    times: dict[str, Any] = {name: float(told[name]) for name in INSTANTS if told.get(name) is not None}
    _in_order(times, curves)
    moved, _fields = _moved(replace(bare, **times), curves, list(times))
    return at, moved, curves


def _stretch_at(track: Track, top: float, impact: float) -> tuple[int, Stretch]:
    """The close stretch with both instants. Raises UserError where the clip was not looked at closely there."""
    for at, stretch in enumerate(track.stretches):
        if stretch.time_s[0] <= top < impact <= stretch.time_s[-1]:
            return at, stretch
    raise UserError(Message("swing.mark_not_followed"))


def _marked(swing: Swing, curves: Motion, track: Track, told: Mapping[str, Any], hand: Hand) -> tuple[Swing, list[str]]:
    if unknown := set(told) - set(INSTANTS) - set(POINTS):
        raise UserError(_unknown(unknown))
    times: dict[str, Any] = {
        name: float(at) for name in INSTANTS if (at := told.get(name, getattr(swing, name))) is not None
    }
    _in_order(times, curves)
    fields = [name for name in times if name in told and _differs(times[name], getattr(swing, name))]
    moved, fields = _moved(replace(swing, **times), curves, fields)
    for end in ("top", "finish"):
        if f"hands_{end}" in told or f"shoulder_{end}" in told:
            arm: dict[str, Any] = {f"lead_arm_{end}_deg": _angle(track, moved, told, end, hand)}
            moved = replace(moved, **arm)
            fields.append(f"lead_arm_{end}_deg")
    return moved, list(dict.fromkeys(fields))


def _unknown(names: set[str]) -> Message:
    return Message("swing.mark_unknown", known=(*INSTANTS, *POINTS, NOT_A_SWING), unknown=tuple(sorted(names)))


def _differs(one: float, other: float | None) -> bool:
    return other is None or abs(one - other) > 1e-9


def _in_order(times: Mapping[str, float], curves: Motion) -> None:
    order = [times[name] for name in INSTANTS if name in times]
    inside = order[0] >= curves.time_s[0] - 1e-6 and order[-1] <= curves.time_s[-1] + 1e-6
    if not inside or not all(a < b for a, b in itertools.pairwise(order)):
        raise UserError(Message("swing.mark_order"))


def _moved(swing: Swing, curves: Motion, fields: list[str]) -> tuple[Swing, list[str]]:
    """The measures at the instants that changed; all the fields that changed."""
    t, fields = curves.time_s, list(fields)
    if "t_top_s" in fields:
        angle = float(np.interp(swing.t_top_s, t, curves.arm_deg))
        swing = replace(
            swing,
            lead_arm_top_deg=TOP_LINE[0] * angle + TOP_LINE[1],
            hand_height_top=float(np.interp(swing.t_top_s, t, curves.height)),
        )
        fields += ["lead_arm_top_deg", "hand_height_top"]
    if "t_finish_s" in fields and swing.t_finish_s is not None:
        angle = float(np.interp(swing.t_finish_s, t, curves.arm_deg))
        height = float(np.interp(swing.t_finish_s, t, curves.height)) + FINISH_LOW
        swing = replace(swing, lead_arm_finish_deg=-FINISH_LINE[0] * angle + FINISH_LINE[1], hand_height_finish=height)
        fields += ["lead_arm_finish_deg", "hand_height_finish"]
    if "t_impact_s" in fields or "t_top_s" in fields:
        window = (t >= swing.t_top_s) & (t <= swing.t_impact_s + 0.1 * swing.slower)
        most = float(curves.wrist_speed[window].max()) if window.any() else 1.0
        share = float(np.interp(swing.t_impact_s, t, curves.wrist_speed)) / most
        swing = replace(swing, impact_over_peak=min(1.0, share + SPEED_LOST))
        fields += ["impact_over_peak", "tempo_ratio"]
    if "t_takeaway_s" in fields:
        fields += ["tempo_ratio"]
    return swing, fields


def _angle(track: Track, swing: Swing, told: Mapping[str, Any], end: str, hand: Hand) -> float:
    """The arm by the marked points; what was not marked is the model's."""
    at = swing.t_top_s if end == "top" else swing.end_s
    stretch = next(s for s in track.stretches if s.time_s[0] <= at <= s.time_s[-1])
    k = int(np.argmin(np.abs(stretch.time_s - at)))
    points = stretch.points[k]
    shoulder = _point(told.get(f"shoulder_{end}"), points[L_SHOULDER if hand == "right" else R_SHOULDER])
    hands = _point(told.get(f"hands_{end}"), points[[L_WRIST, R_WRIST]].mean(0))
    across, down = (hands - shoulder) * np.array([1.0 if hand == "right" else -1.0, 1.0])
    return float(np.degrees(np.arctan2(-across, down))) * (1 if end == "top" else -1)


def _point(told: Any, usual: Floats) -> Floats:
    if told is None:
        return usual
    if (
        not isinstance(told, list | tuple)
        or len(told) != 2
        or not all(isinstance(v, int | float) and np.isfinite(v) for v in told)
    ):
        raise UserError(Message("swing.mark_point"))
    return np.array(told, dtype=float)
