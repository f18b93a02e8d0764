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
INSTANTS: Final = ("t_takeaway_s", "t_top_s", "t_impact_s", "t_finish_s")
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
LONGEST_DOWN_S: Final = 0.9
"""0.7 % of real downswings are longer (758 face-on and other clips, McNally et al. 2019)."""
HELD: Final = 0.5
"""Wrists of hands on one grip are nearer than this, in torso lengths: 0.16 to 0.35 in the open clips."""
ADDRESS_LOW: Final = 0.35
ADDRESS_ARM_DEG: Final = (-25.0, 50.0)
"""At address the hands hang below the belt and the arm within these angles: -0.2 to -0.3 and 9 to 19 degrees in the open clips."""
ADDRESS_USUAL_DEG: Final = 14.0
"""The arm at address where the clip begins later; the middle of the open clips."""
EDGE_S: Final = 0.1
"""A move that is still under way so near the edge of what was filmed is not measured to its end."""
USUAL_BACK_S: Final = 0.8
USUAL_THROUGH_S: Final = 0.7
"""Medians of the same 758 clips."""
IMPACT_AHEAD_DEG: Final = -6.0
"""The arm is this much further through at impact than it was at address; median over the open clips, 3 to 10 in each."""
TOP_LINE: Final = (1.086, -1.6)
FINISH_LINE: Final = (0.867, 8.7)
HIP_LOW: Final = 0.04
FINISH_LOW: Final = 0.024
"""The model's own habits, the same on every open clip (rendered, not real players): it puts the shoulder high where the arm is
raised, so an angle at the top reads short and one at a high finish long (truth = slope x reading + degrees); its hips lie low by
a share of the torso, and hands at the finish low by a share of hip to shoulder (scripts/swing_habits.py). Fitted leaving one clip
out, the arm is right to 0.9 and 2.2 degrees (median), 5.3 and 4.7 at worst."""
TOP_FIT_S: Final = 0.2
"""So much on either side of the top is fitted by a cubic: the arm hardly moves there, and noise would choose the frame."""
TOP_EARLY_S: Final = 0.011
"""The cubic's top of a slow way back and a quick way down lies this much early; median over the open clips."""
SPEED_CUTOFF_HZ: Final = 5.0
SPEED_LOST: Final = 0.02
"""So much of the ratio of two hand speeds the smoothing takes; median over the open clips."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Swing:
    """One swing: instants in seconds of the clip, the lead arm's angles and hand heights at top and finish, the hands' speed at
    impact over its peak. What lies outside of the clip is None.

    `slower` is how many times slower than life the clip shows it; `seen_top` and `seen_finish` how well the hands are seen
    there, `seen_down` on the way down (motion blur hides them), 0..1; `scatter` how far the body points jump from picture to picture, in torso lengths; `level_known` whether the
    arm's place at address was seen.
    """

    t_takeaway_s: float | None
    t_top_s: float
    t_impact_s: float
    t_finish_s: float | None
    lead_arm_top_deg: float
    lead_arm_finish_deg: float | None
    hand_height_top: float
    hand_height_finish: float | None
    impact_over_peak: float
    seen_top: float = 1.0
    seen_finish: float = 1.0
    slower: float = 1.0
    scatter: float = 0.0
    seen_down: float = 1.0
    level_known: bool = True

    @property
    def start_s(self) -> float:
        """Where the swing begins in the clip: its takeaway, else a usual way back before the top."""
        return self.t_top_s - USUAL_BACK_S * self.slower if self.t_takeaway_s is None else self.t_takeaway_s

    @property
    def end_s(self) -> float:
        """Where it ends in the clip: its finish, else a usual way through after impact."""
        return self.t_impact_s + USUAL_THROUGH_S * self.slower if self.t_finish_s is None else self.t_finish_s

    @property
    def tempo_ratio(self) -> float | None:
        """Backswing time over downswing time; it needs no clock."""
        if self.t_takeaway_s is None:
            return None
        return (self.t_top_s - self.t_takeaway_s) / (self.t_impact_s - self.t_top_s)


@dataclass(frozen=True, slots=True, eq=False)
class Motion:
    """Smoothed curves on the frames' own times, as of a right-hander: arm angle (degrees), the same smoothed more, hand height,
    speed of the lead wrist and of the hands in torso lengths a second, how well the better seen wrist is seen (0..1), how far
    the wrists are apart and how far arm and shoulders jump from picture to picture, both in torso lengths."""

    time_s: Floats
    arm_deg: Floats
    arm_slow_deg: Floats
    height: Floats
    wrist_speed: Floats
    hand_speed: Floats
    seen: Floats
    hand: Literal["right", "left"]
    apart: Floats
    scatter: Floats


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
        apart=np.hypot(*(smooth[L_WRIST] - smooth[R_WRIST]).T) / torso,
        scatter=_scatter(points, torso),
    )


def _scatter(points: Floats, torso: float) -> Floats:
    """How far shoulders, wrists and hips lie from the middle between their neighbours in time, (n,), in torso lengths."""
    used = points[:, _USED]
    jump = np.zeros(len(points))
    if len(points) > 4:
        # a second difference over every other picture: neighbours may be seen mirrored and differ by the model's own habit
        off = np.hypot(*np.moveaxis(used[4:] - 2 * used[2:-2] + used[:-4], -1, 0))
        jump[2:-2] = np.nanmedian(off, axis=1) / np.sqrt(6) / torso
    return jump


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
    """Gaps filled straight and uneven pictures brought to even times, then a zero-phase Butterworth low-pass."""
    from scipy.signal import butter, filtfilt  # half a second to load, and the pages only show what was measured

    even = np.linspace(time_s[0], time_s[-1], max(len(time_s), round((time_s[-1] - time_s[0]) * rate) + 1))
    filled = np.stack([np.interp(even, time_s[seen], column[seen]) for column in values.T], axis=1)
    b, a = butter(2, min(cutoff_hz / (rate / 2), 0.9))
    smooth = filtfilt(b, a, filled, axis=0, padlen=min(len(filled) - 2, int(rate / 2)))
    return np.stack([np.interp(time_s, even, column) for column in smooth.T], axis=1)


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
        busy |= near | ((t > swing.start_s - 0.3) & (t < swing.end_s + 1.0))
    return tuple(sorted(swings, key=lambda swing: swing.t_impact_s))


def _swing_about(curves: Motion, peak: int) -> Swing | None:
    """The swing whose fastest moment is `peak`, or None where the arm does not go back and through."""
    t, arm = curves.time_s, curves.arm_deg
    before = np.flatnonzero((t < t[peak]) & (t > t[peak] - 1.0))
    after = np.flatnonzero((t > t[peak]) & (t < t[peak] + 1.2))
    if len(before) < 4 or len(after) < 4:
        return None
    top = int(before[np.argmax(arm[before])])
    low = float(arm[after].min())
    start, level = _address(curves, top)
    level_known = start is not None
    if arm[top] - level < LEAST_TURN_DEG or level - low < LEAST_TURN_DEG / 2:
        return None
    if not _held(curves, top, peak) or (level_known and not _at_address(curves, start or 0.0)):
        return None
    down = np.flatnonzero((np.arange(len(t)) > top) & (arm <= level + IMPACT_AHEAD_DEG))
    if not len(down) or t[down[0]] - t[top] > LONGEST_DOWN_S:
        return None
    top_at = _turning_point(t, arm, top) + TOP_EARLY_S
    impact_at = _crossing(t, arm, int(down[0]), level + IMPACT_AHEAD_DEG)
    finish_at = _finish(curves, impact_at, low)
    window = (t >= t[top]) & (t <= impact_at + 0.1)
    most = float(curves.wrist_speed[window].max())
    whole = (t >= (top_at - USUAL_BACK_S if start is None else start)) & (t <= impact_at + USUAL_THROUGH_S)
    return Swing(
        t_takeaway_s=start,
        t_top_s=top_at,
        t_impact_s=impact_at,
        t_finish_s=finish_at,
        lead_arm_top_deg=TOP_LINE[0] * _vertex(t, arm, top)[1] + TOP_LINE[1],
        lead_arm_finish_deg=None
        if finish_at is None
        else -FINISH_LINE[0] * float(np.interp(finish_at, t, arm)) + FINISH_LINE[1],
        hand_height_top=float(np.interp(top_at, t, curves.height)),
        hand_height_finish=None if finish_at is None else float(np.interp(finish_at, t, curves.height)) + FINISH_LOW,
        seen_top=float(np.interp(top_at, t, curves.seen)),
        seen_finish=float(np.interp(finish_at or t[-1], t, curves.seen)),
        impact_over_peak=min(1.0, float(np.interp(impact_at, t, curves.wrist_speed)) / most + SPEED_LOST),
        scatter=float(np.median(curves.scatter[whole])),
        seen_down=float(np.median(curves.seen[window])),
        level_known=level_known,
    )


def _held(curves: Motion, top: int, peak: int) -> bool:
    """Whether both hands stay on one grip on the way down: walkers, jumpers and dancers let go."""
    down = curves.apart[top : peak + 1]
    return bool(np.median(down) < HELD)


def _at_address(curves: Motion, start: float) -> bool:
    """Whether the hands hang low in front of the body before the club moves."""
    t = curves.time_s
    near = (t <= start) & (t > start - 0.3)
    if not near.any():
        return True
    low = float(np.median(curves.height[near])) < ADDRESS_LOW
    return low and ADDRESS_ARM_DEG[0] < float(np.median(curves.arm_deg[near])) < ADDRESS_ARM_DEG[1]


def _finish(curves: Motion, impact_at: float, low: float) -> float | None:
    """When the arm came to rest after impact; None where the stretch ends before."""
    t, arm = curves.time_s, curves.arm_deg
    turning = np.gradient(curves.arm_slow_deg, t)
    ended = np.flatnonzero((t > impact_at) & (arm <= low + STILL_TURNS_DEG) & (turning > -STILL_DEG_S))
    if not len(ended) or t[-1] - t[ended[0]] < EDGE_S:
        return None
    return float(t[ended[0]])


def _address(curves: Motion, top: int) -> tuple[float | None, float]:
    """When the arm left its place at address by a degree, and its angle there; None and a usual angle where the stretch begins
    on the way back."""
    t, arm = curves.time_s, curves.arm_deg
    turning = np.gradient(curves.arm_slow_deg, t)
    k = top
    while k > 0 and (turning[k] > SETS_OFF_DEG_S or t[top] - t[k] < 0.25):
        k -= 1
    if t[k] - t[0] < EDGE_S:
        return None, min(ADDRESS_USUAL_DEG, float(arm[: top + 1].min()))
    quiet = (t <= t[k]) & (t > t[k] - QUIET_S)
    level = float(np.median(arm[quiet]))
    moved = np.flatnonzero((np.arange(len(t)) <= top) & (arm < level + 1.0))
    last = int(moved[-1]) if len(moved) else k
    return _crossing(t, arm, min(last + 1, len(t) - 1), level + 1.0), level


def _crossing(t: Floats, arm: Floats, k: int, level: float) -> float:
    """The time between frames k - 1 and k at which the angle passes a level."""
    if k == 0 or arm[k] == arm[k - 1]:
        return float(t[k])
    share = float(np.clip((level - arm[k - 1]) / (arm[k] - arm[k - 1]), 0, 1))
    return float(t[k - 1] + share * (t[k] - t[k - 1]))


def _turning_point(t: Floats, arm: Floats, k: int) -> float:
    """When the arm turned at the top near frame `k`: the maximum of a cubic fitted around it."""
    at = float(t[k])
    for _ in range(3):
        near = np.abs(t - at) < TOP_FIT_S
        if near.sum() < 5:
            return _vertex(t, arm, k)[0]
        cubic = np.polynomial.Polynomial.fit(t[near] - at, arm[near], 3)
        steps = np.linspace(-0.6 * TOP_FIT_S, 0.6 * TOP_FIT_S, 241)
        at += float(steps[np.argmax(cubic(steps))])
    return at


def _vertex(t: Floats, arm: Floats, k: int) -> tuple[float, float]:
    """Time and value of a maximum by a parabola through three frames."""
    if not 0 < k < len(t) - 1:
        return float(t[k]), float(arm[k])
    a, b, c = arm[k - 1 : k + 2]
    bend = a - 2 * b + c
    share = 0.0 if bend == 0 else float(np.clip(0.5 * (a - c) / bend, -0.5, 0.5))
    return float(t[k] + share * (t[k + 1] - t[k - 1]) / 2), float(b - 0.25 * (a - c) * share)
