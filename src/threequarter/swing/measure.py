"""Body points over time -> swings and their measures. Pure arrays; a face-on camera is taken for granted.

Angles of the lead arm run from the lead shoulder to the hands, from straight down, positive to the trail side; hand height
is 0 at the hip joints and 1 at the shoulder joints, by image rows.
"""

from dataclasses import dataclass
from typing import Final, Literal

import numpy as np
from numpy.typing import NDArray
from scipy.signal import butter, filtfilt

Floats = NDArray[np.float64]

L_SHOULDER, R_SHOULDER, L_WRIST, R_WRIST, L_HIP, R_HIP = 11, 12, 15, 16, 23, 24
CUTOFF_HZ: Final = 9.0
"""Low-pass of the body points: fast enough for a downswing of a quarter of a second (Winter, Biomechanics and Motor Control
of Human Movement, residual analysis)."""
LEAST_TURN_DEG: Final = 22.0
LEAST_SPEED: Final = 2.6
"""Peak speed of the hands in torso lengths a second below which a move is a rehearsal, not a swing."""
SLOWING_BELOW: Final = 0.86
IMPACT_AHEAD_DEG: Final = -6.0
"""The arm is this much further through at impact than it was at address; median over the open clips, 3 to 10 in each."""
TOP_SHORT_DEG: Final = 4.5
"""The model's shoulder reads the arm this much short at the top; median over the open clips (rendered, not real players)."""
SPEED_CUTOFF_HZ: Final = 7.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Swing:
    """One swing: instants in seconds, the lead arm's angles and hand heights at top and finish, tempo, and the lead
    wrist's speed at impact over its peak."""

    t_takeaway_s: float
    t_top_s: float
    t_impact_s: float
    t_finish_s: float
    lead_arm_top_deg: float
    lead_arm_finish_deg: float
    hand_height_top: float
    hand_height_finish: float
    impact_over_peak: float

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
    """Smoothed curves on the frames' own times, as of a right-hander: arm angle (degrees), hand height, speed of the lead
    wrist and of the hands in torso lengths a second."""

    time_s: Floats
    arm_deg: Floats
    height: Floats
    wrist_speed: Floats
    hand_speed: Floats
    hand: Literal["right", "left"]


def motion(time_s: Floats, points: Floats, visibility: Floats) -> Motion | None:
    """The curves of a track (points (n, 33, 2) pixels); None where hardly any body was seen."""
    seen = np.isfinite(points[:, L_SHOULDER, 0])
    if seen.sum() < 12:
        return None
    rate = 1 / float(np.median(np.diff(time_s)))
    smooth = {
        k: _smooth(time_s, points[:, k], seen, rate) for k in (L_SHOULDER, R_SHOULDER, L_WRIST, R_WRIST, L_HIP, R_HIP)
    }
    weight = np.clip(visibility[:, [L_WRIST, R_WRIST]], 0.02, 1) ** 3
    weight = np.stack([_smooth(time_s, np.repeat(w[:, None], 2, 1), seen, rate)[:, 0] for w in weight.T], axis=1)
    weight = np.clip(weight, 0.01, 1)
    hands = (smooth[L_WRIST] * weight[:, :1] + smooth[R_WRIST] * weight[:, 1:]) / weight.sum(1, keepdims=True)
    torso = float(
        np.nanmedian(np.hypot(*((smooth[L_SHOULDER] + smooth[R_SHOULDER] - smooth[L_HIP] - smooth[R_HIP]).T / 2)))
    )
    velocity = np.gradient(hands, time_s, axis=0) / torso
    speed = np.hypot(*velocity.T)
    right = velocity[int(np.argmax(speed)), 0] > 0
    lead, wrist = (L_SHOULDER, L_WRIST) if right else (R_SHOULDER, R_WRIST)
    across = (hands - smooth[lead])[:, 0] * (1 if right else -1)
    down = (hands - smooth[lead])[:, 1]
    hip, shoulder = (smooth[L_HIP] + smooth[R_HIP])[:, 1] / 2, (smooth[L_SHOULDER] + smooth[R_SHOULDER])[:, 1] / 2
    slow = _smooth(time_s, points[:, wrist], seen, rate, SPEED_CUTOFF_HZ)
    wrist_speed = np.hypot(*(np.gradient(slow, time_s, axis=0).T)) / torso
    return Motion(
        time_s=time_s,
        arm_deg=np.degrees(np.unwrap(np.arctan2(-across, down))),
        height=(hip - hands[:, 1]) / (hip - shoulder),
        wrist_speed=wrist_speed,
        hand_speed=speed,
        hand="right" if right else "left",
    )


def _smooth(
    time_s: Floats, values: Floats, seen: NDArray[np.bool_], rate: float, cutoff_hz: float = CUTOFF_HZ
) -> Floats:
    """Gaps filled straight, then a zero-phase Butterworth low-pass."""
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
    top_at, top_deg = _vertex(t, arm, top)
    down = np.flatnonzero((np.arange(len(t)) > top) & (arm <= level + IMPACT_AHEAD_DEG))
    if not len(down) or t[down[0]] - t[top] > 0.9:
        return None
    impact_at = _crossing(t, arm, int(down[0]), level + IMPACT_AHEAD_DEG)
    low = arm[finish]
    ended = np.flatnonzero((t > impact_at) & (arm <= low + 2.0))
    finish_at = float(t[ended[0]]) if len(ended) else float(t[finish])
    window = (t >= t[top]) & (t <= impact_at + 0.1)
    most = float(curves.wrist_speed[window].max())
    return Swing(
        t_takeaway_s=start,
        t_top_s=top_at,
        t_impact_s=impact_at,
        t_finish_s=finish_at,
        lead_arm_top_deg=top_deg + TOP_SHORT_DEG,
        lead_arm_finish_deg=-float(np.interp(finish_at, t, arm)),
        hand_height_top=float(np.interp(top_at, t, curves.height)),
        hand_height_finish=float(np.interp(finish_at, t, curves.height)),
        impact_over_peak=float(np.interp(impact_at, t, curves.wrist_speed)) / most,
    )


def _address(curves: Motion, top: int) -> tuple[float, float]:
    """When the arm left its place at address by a degree, and its angle there."""
    t, arm = curves.time_s, curves.arm_deg
    turning = np.gradient(arm, t)
    k = top
    while k > 0 and (turning[k] > 6 or t[top] - t[k] < 0.25):
        k -= 1
    quiet = (t <= t[k]) & (t > t[k] - 0.25)
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
