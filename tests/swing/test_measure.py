"""Swings from body points: exact made-up motions, and one rendered clip end to end."""

import json
from pathlib import Path

import numpy as np
import pytest

from threequarter.swing.measure import L_HIP, L_SHOULDER, L_WRIST, R_HIP, R_SHOULDER, R_WRIST, find_swings, motion
from threequarter.swing.track import track

CLIPS = Path(__file__).parents[1] / "data" / "swings"


def arm(angles_deg: np.ndarray, left_handed: bool = False) -> np.ndarray:
    """Points of a player whose straight lead arm hangs at given angles (positive to the trail side), 100 px a torso."""
    points = np.zeros((len(angles_deg), 33, 2))
    for joint, (x, y) in {L_SHOULDER: (30, 0), R_SHOULDER: (-30, 0), L_HIP: (18, 100), R_HIP: (-18, 100)}.items():
        points[:, joint] = (x, y)
    turn = np.radians(angles_deg)
    hands = np.stack([30 - 110 * np.sin(turn), 110 * np.cos(turn)], axis=1)
    apart = np.array([4.0, 0.0])
    points[:, L_WRIST], points[:, R_WRIST] = hands + apart, hands - apart
    if left_handed:
        points[..., 0] *= -1
        for left, right in ((L_SHOULDER, R_SHOULDER), (L_HIP, R_HIP), (L_WRIST, R_WRIST)):
            points[:, [left, right]] = points[:, [right, left]]
    return points + 300


def swing_angles(time_s: np.ndarray, top: float, through: float) -> np.ndarray:
    """At rest, back to `top` in 0.7 s, down and through to `-through` in 0.6 s, held."""
    back = np.clip((time_s - 1.0) / 0.7, 0, 1)
    down = np.clip((time_s - 1.7) / 0.6, 0, 1)
    return top * (1 - np.cos(np.pi * back)) / 2 - (top + through) * (1 - np.cos(np.pi * down)) / 2


@pytest.mark.parametrize("left_handed", [False, True])
def test_a_pendulum_of_an_arm_is_measured_exactly(left_handed: bool) -> None:
    time_s = np.arange(0, 4, 1 / 120)
    points = arm(swing_angles(time_s, 80, 70), left_handed)
    curves = motion(time_s, points, np.ones((len(time_s), 33)))
    assert curves is not None
    assert curves.hand == ("left" if left_handed else "right")
    assert curves.arm_deg.max() == pytest.approx(80, abs=1)
    (swing,) = find_swings(curves)
    assert swing.t_top_s == pytest.approx(1.7, abs=0.02)
    assert swing.t_takeaway_s == pytest.approx(1.05, abs=0.05)
    assert swing.lead_arm_finish_deg == pytest.approx(70, abs=3)


def test_standing_walking_slowly_and_slow_moves_are_no_swings() -> None:
    time_s = np.arange(0, 6, 1 / 60)
    still = motion(time_s, arm(np.zeros(len(time_s))), np.ones((len(time_s), 33)))
    slow = motion(time_s, arm(40 * np.sin(0.5 * np.pi * time_s)), np.ones((len(time_s), 33)))
    assert still is not None
    assert slow is not None
    assert find_swings(still) == ()
    assert find_swings(slow) == ()
    assert motion(time_s, np.full((len(time_s), 33, 2), np.nan), np.zeros((len(time_s), 33))) is None


@pytest.mark.slow
@pytest.mark.parametrize("name", ["o02_waist", "o04_left"])
def test_a_rendered_clip_gives_its_one_swing(name: str) -> None:
    """Rendered, not real: exact truth by the renderer."""
    truth = json.loads((CLIPS / f"{name}.json").read_text())
    seen = track(CLIPS / f"{name}.mp4")
    curves = motion(seen.time_s, seen.points, seen.visibility)
    assert curves is not None
    assert curves.hand == truth["handedness"]
    (swing,) = find_swings(curves)
    true = truth["swings"][0]
    assert swing.t_impact_s == pytest.approx(true["t_impact_s"], abs=0.025)
    assert swing.t_top_s == pytest.approx(true["t_top_s"], abs=0.06)
    assert swing.lead_arm_top_deg == pytest.approx(true["lead_arm_top_deg"], abs=6)
