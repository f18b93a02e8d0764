"""Body points over time -> swings and their measures. Pure arrays; a face-on camera is taken for granted.

Angles of the lead arm run from the lead shoulder to the hands, from straight down, positive to the trail side; hand height
is 0 at the hip joints and 1 at the shoulder joints, by image rows.
"""

from dataclasses import dataclass
from typing import Final, Literal

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

L_SHOULDER, R_SHOULDER, L_WRIST, R_WRIST, L_HIP, R_HIP = 11, 12, 15, 16, 23, 24
_USED: Final = (L_SHOULDER, R_SHOULDER, L_WRIST, R_WRIST, L_HIP, R_HIP)
LEAST_FRAMES: Final = 12
CUTOFF_HZ: Final = 9.0
"""Low-pass of the body points: fast enough for a downswing of a quarter of a second (Winter, Biomechanics and Motor Control
of Human Movement, residual analysis)."""
TOP_CUTOFF_HZ: Final = 6.5
"""The same for the instant of the top, where the arm hardly moves and noise would choose the frame."""
LEAST_TURN_DEG: Final = 22.0
SETS_OFF_DEG_S: Final = 15.0
QUIET_S: Final = 0.15
STILL_DEG_S: Final = 25.0
STILL_TURNS_DEG: Final = 8.0
LEAST_SPEED: Final = 2.6
"""Peak speed of the hands in torso lengths a second below which a move is a rehearsal, not a swing."""
SLOWING_BELOW: Final = 0.86
IMPACT_AHEAD_DEG: Final = -6.0
"""The arm is this much further through at impact than it was at address; median over the open clips, 3 to 10 in each."""
TOP_LINE: Final = (1.076, -0.8)
FINISH_LINE: Final = (0.867, 8.7)
HIP_LOW: Final = 0.04
FINISH_LOW: Final = 0.024
"""The model's own habits, the same on every open clip (rendered, not real players): it puts the shoulder high where the arm is
raised, so an angle at the top reads short and one at a high finish long (truth = slope x reading + degrees); its hips lie low by
a share of the torso, and hands at the finish low by a share of hip to shoulder. Fitted leaving one clip out, the arm is right to
1.1 and 1.5 degrees (median) and 4.0 and 3.1 (95 %)."""
TOP_EARLY_S: Final = 0.005
"""Smoothing moves the top of a slow way back and a quick way down this much forward; median over the open clips."""
SPEED_CUTOFF_HZ: Final = 5.0
SPEED_LOST: Final = 0.02
"""So much of the ratio of two hand speeds the smoothing takes; median over the open clips."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Swing:
    """One swing (`seen_top`, `seen_finish`: how well the hands are seen there, 0..1): instants in seconds, the lead arm's angles and hand heights at top and finish, and the speed of the
    hands at impact over its peak."""

    t_takeaway_s: float
    t_top_s: float
    t_impact_s: float
    t_finish_s: float
    lead_arm_top_deg: float
    lead_arm_finish_deg: float
    hand_height_top: float
    hand_height_finish: float
    impact_over_peak: float
    seen_top: float = 1.0
    seen_finish: float = 1.0

    @property
    def tempo_ratio(self) -> float:
        """Backswing time over downswing time."""
        return (self.t_top_s - self.t_takeaway_s) / (self.t_impact_s - self.t_top_s)

    @property
    def decelerating(self) -> bool:
        """Whether the hands slowed down before the ball."""
        return self.impact_over_peak < SLOWING_BELOW


@dataclass(frozen=True, slots=True, eq=False)
class Motion:
    """Smoothed curves on the frames' own times, as of a right-hander: arm angle (degrees), the same smoothed more, hand height,
    speed of the lead wrist and of the hands in torso lengths a second, how well the better seen wrist is seen (0..1)."""

    time_s: Floats
    arm_deg: Floats
    arm_slow_deg: Floats
    height: Floats
    wrist_speed: Floats
    hand_speed: Floats
    seen: Floats
    hand: Literal["right", "left"]


def motion(
    time_s: Floats, points: Floats, visibility: Floats, hand: Literal["right", "left"] | None = None
) -> Motion | None:
    """The curves of a stretch (points (n, 33, 2) pixels); None where hardly any body was seen.

    `hand` is the player's; without it the one whose forward swing would be the fastest move.
    """
    seen = np.isfinite(points[:, L_SHOULDER, 0])
    if seen.sum() < LEAST_FRAMES:
        return None
    rate = 1 / float(np.median(np.diff(time_s)))
    smooth = {k: _smooth(time_s, points[:, k], seen, rate) for k in _USED}
    slow = {k: _smooth(time_s, points[:, k], seen, rate, TOP_CUTOFF_HZ) for k in _USED}
    weight = np.clip(visibility[:, [L_WRIST, R_WRIST]], 0.02, 1) ** 3
    weight = np.stack([_smooth(time_s, np.repeat(w[:, None], 2, 1), seen, rate)[:, 0] for w in weight.T], axis=1)
    weight = np.clip(weight, 0.01, 1)
    hands, hands_slow = _hands(smooth, weight), _hands(slow, weight)
    shoulders, hips = (smooth[L_SHOULDER] + smooth[R_SHOULDER]) / 2, (smooth[L_HIP] + smooth[R_HIP]) / 2
    torso = float(np.nanmedian(np.hypot(*(shoulders - hips).T)))
    velocity = np.gradient(hands, time_s, axis=0) / torso
    speed = np.hypot(*velocity.T)
    right = velocity[int(np.argmax(speed)), 0] > 0 if hand is None else hand == "right"
    lead = L_SHOULDER if right else R_SHOULDER
    both = (points[:, L_WRIST] + points[:, R_WRIST]) / 2
    quick = _smooth(time_s, both, seen, rate, SPEED_CUTOFF_HZ)
    hip = hips[:, 1] - HIP_LOW * torso
    return Motion(
        time_s=time_s,
        arm_deg=_arm(hands, smooth[lead], right),
        arm_slow_deg=_arm(hands_slow, slow[lead], right),
        height=(hip - hands[:, 1]) / (hip - shoulders[:, 1]),
        wrist_speed=np.hypot(*(np.gradient(quick, time_s, axis=0).T)) / torso,
        hand_speed=speed,
        seen=np.asarray(visibility[:, [L_WRIST, R_WRIST]].max(axis=1)),
        hand="right" if right else "left",
    )


def _hands(points: dict[int, Floats], weight: Floats) -> Floats:
    """The middle of the wrists, each by how well it is seen."""
    both = points[L_WRIST] * weight[:, :1] + points[R_WRIST] * weight[:, 1:]
    return np.asarray(both / weight.sum(1, keepdims=True))


def _arm(hands: Floats, shoulder: Floats, right: bool) -> Floats:
    across, down = (hands - shoulder)[:, 0] * (1 if right else -1), (hands - shoulder)[:, 1]
    return np.asarray(np.degrees(np.unwrap(np.arctan2(-across, down))))


def _smooth(
    time_s: Floats, values: Floats, seen: NDArray[np.bool_], rate: float, cutoff_hz: float = CUTOFF_HZ
) -> Floats:
    """Gaps filled straight, then a zero-phase Butterworth low-pass."""
    from scipy.signal import butter, filtfilt  # half a second to load, and the pages only show what was measured

    filled = np.stack([np.interp(time_s, time_s[seen], column[seen]) for column in values.T], axis=1)
    b, a = butter(2, min(cutoff_hz / (rate / 2), 0.9))
    return np.asarray(filtfilt(b, a, filled, axis=0, padlen=min(len(filled) - 2, int(rate / 2))))


def find_swings(curves: Motion) -> tuple[Swing, ...]:
    """All swings of a motion: fast moves of the hands through the ball with the arm back before and through after."""
    t, speed = curves.time_s, curves.hand_speed
    swings: list[Swing] = []
    busy = np.zeros(len(t), dtype=bool)
    for peak in np.argsort(-speed):
        if speed[peak] < LEAST_SPEED:
            break
        if busy[peak]:
            continue
        near = np.abs(t - t[peak]) < 0.6
        swing = _swing_about(curves, int(peak))
        if swing is None:
            busy |= np.abs(t - t[peak]) < 0.15
            continue
        swings.append(swing)
        busy |= near | ((t > swing.t_takeaway_s - 0.3) & (t < swing.t_finish_s + 1.0))
    return tuple(sorted(swings, key=lambda swing: swing.t_impact_s))


def _swing_about(curves: Motion, peak: int) -> Swing | None:
    """The swing whose fastest moment is `peak`, or None where the arm does not go back and through."""
    t, arm = curves.time_s, curves.arm_deg
    before = np.flatnonzero((t < t[peak]) & (t > t[peak] - 1.0))
    after = np.flatnonzero((t > t[peak]) & (t < t[peak] + 1.2))
    if len(before) < 4 or len(after) < 4:
        return None
    top = int(before[np.argmax(arm[before])])
    finish = int(after[np.argmin(arm[after])])
    start, level = _address(curves, top)
    if arm[top] - level < LEAST_TURN_DEG or level - arm[finish] < LEAST_TURN_DEG / 2:
        return None
    near = np.flatnonzero(np.abs(t - t[top]) < 0.15)
    top_at, _ = _vertex(t, curves.arm_slow_deg, int(near[np.argmax(curves.arm_slow_deg[near])]))
    top_at += TOP_EARLY_S
    top_deg = _vertex(t, arm, top)[1]
    down = np.flatnonzero((np.arange(len(t)) > top) & (arm <= level + IMPACT_AHEAD_DEG))
    if not len(down) or t[down[0]] - t[top] > 0.9:
        return None
    impact_at = _crossing(t, arm, int(down[0]), level + IMPACT_AHEAD_DEG)
    low = arm[finish]
    turning = np.gradient(curves.arm_slow_deg, t)
    ended = np.flatnonzero((t > impact_at) & (arm <= low + STILL_TURNS_DEG) & (turning > -STILL_DEG_S))
    finish_at = float(t[ended[0]]) if len(ended) else float(t[finish])
    window = (t >= t[top]) & (t <= impact_at + 0.1)
    most = float(curves.wrist_speed[window].max())
    return Swing(
        t_takeaway_s=start,
        t_top_s=top_at,
        t_impact_s=impact_at,
        t_finish_s=finish_at,
        lead_arm_top_deg=TOP_LINE[0] * top_deg + TOP_LINE[1],
        lead_arm_finish_deg=-FINISH_LINE[0] * float(np.interp(finish_at, t, arm)) + FINISH_LINE[1],
        hand_height_top=float(np.interp(top_at, t, curves.height)),
        hand_height_finish=float(np.interp(finish_at, t, curves.height)) + FINISH_LOW,
        seen_top=float(np.interp(top_at, t, curves.seen)),
        seen_finish=float(np.interp(finish_at, t, curves.seen)),
        impact_over_peak=min(1.0, float(np.interp(impact_at, t, curves.wrist_speed)) / most + SPEED_LOST),
    )


def _address(curves: Motion, top: int) -> tuple[float, float]:
    """When the arm left its place at address by a degree, and its angle there."""
    t, arm = curves.time_s, curves.arm_deg
    turning = np.gradient(curves.arm_slow_deg, t)
    k = top
    while k > 0 and (turning[k] > SETS_OFF_DEG_S or t[top] - t[k] < 0.25):
        k -= 1
    quiet = (t <= t[k]) & (t > t[k] - QUIET_S)
    level = float(np.median(arm[quiet])) if quiet.any() else float(arm[k])
    moved = np.flatnonzero((np.arange(len(t)) <= top) & (arm < level + 1.0))
    last = int(moved[-1]) if len(moved) else k
    return _crossing(t, arm, min(last + 1, len(t) - 1), level + 1.0), level


def _crossing(t: Floats, arm: Floats, k: int, level: float) -> float:
    """The time between frames k - 1 and k at which the angle passes a level."""
    if k == 0 or arm[k] == arm[k - 1]:
        return float(t[k])
    share = float(np.clip((level - arm[k - 1]) / (arm[k] - arm[k - 1]), 0, 1))
    return float(t[k - 1] + share * (t[k] - t[k - 1]))


def _vertex(t: Floats, arm: Floats, k: int) -> tuple[float, float]:
    """Time and value of a maximum by a parabola through three frames."""
    if not 0 < k < len(t) - 1:
        return float(t[k]), float(arm[k])
    a, b, c = arm[k - 1 : k + 2]
    bend = a - 2 * b + c
    share = 0.0 if bend == 0 else float(np.clip(0.5 * (a - c) / bend, -0.5, 0.5))
    return float(t[k] + share * (t[k + 1] - t[k - 1]) / 2), float(b - 0.25 * (a - c) * share)
