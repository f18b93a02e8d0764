"""Swings from body points: exact made-up motions, and one rendered clip end to end."""

import json
from pathlib import Path

import numpy as np
import pytest

from tests_support import load_module
from threequarter.answers.swing import swings_answer
from threequarter.swing.check import check, look
from threequarter.swing.compare import compare
from threequarter.swing.keep import load_track
from threequarter.swing.measure import L_HIP, L_SHOULDER, L_WRIST, R_HIP, R_SHOULDER, R_WRIST, find_swings, motion

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


@pytest.fixture(scope="module")
def answers(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The answers to the open clips, from tracks that were kept (scripts/keep_tracks.py)."""
    folder = tmp_path_factory.mktemp("answers")
    for clip in sorted(CLIPS.glob("*.mp4")):
        answer = swings_answer(check(load_track(CLIPS / "tracks" / f"{clip.stem}.npz")))
        (folder / f"{clip.stem}.json").write_text(json.dumps(answer))
    return folder


@pytest.mark.slow
def test_a_fresh_look_gives_what_the_kept_track_gave(answers: Path) -> None:
    kept = json.loads((answers / "o02_waist.json").read_text())["swings"]
    fresh = swings_answer(look(CLIPS / "o02_waist.mp4")[1])["swings"]
    assert len(fresh) == len(kept) == 1
    assert fresh[0]["lead_arm_top_deg"] == pytest.approx(kept[0]["lead_arm_top_deg"], abs=0.5)
    assert fresh[0]["t_impact_s"] == pytest.approx(kept[0]["t_impact_s"], abs=0.005)


def test_the_open_clips_are_measured_as_well_as_asked(answers: Path) -> None:
    """Rendered, not real: exact truth by the renderer, judged by the scorer beside the clips. Limits: median, 95th percentile."""
    scorer = load_module("swing_score", CLIPS / "score.py")
    errors, counts, azimuth = scorer.score(answers, CLIPS, show=lambda *_: None)
    assert (
        counts["missed"]
        == counts["false"]
        == counts["slow_missed"]
        == counts["slow_false"]
        == counts["hand_wrong"]
        == 0
    )
    assert counts["unanswered"] == 0
    limits = {
        "t_top_s": (0.010, 0.030),
        "t_impact_s": (0.006, 0.015),
        "lead_arm_top_deg": (2.0, 6.0),
        "lead_arm_finish_deg": (2.4, 6.0),
        "lead_arm_top_square_deg": (2.5, 8.0),
        "lead_arm_finish_square_deg": (2.7, 8.0),
        "hand_height_top": (0.022, 0.08),
        "hand_height_finish": (0.025, 0.08),
        "tempo_ratio": (0.15, 0.40),
    }
    for name, (middle, far) in limits.items():
        off = np.abs(errors[name])
        assert np.median(off) <= middle, name
        assert np.percentile(off, 95) <= far, name
    assert max(map(abs, azimuth)) < 5.5


def test_a_badly_placed_camera_is_told_with_its_side_and_no_other_is(answers: Path) -> None:
    for clip in sorted(CLIPS.glob("*.mp4")):
        true = json.loads((CLIPS / f"{clip.stem}.json").read_text())["camera"]["azimuth_deg"]
        said = [w for w in json.loads((answers / f"{clip.stem}.json").read_text())["warnings"] if "off square" in w]
        if abs(true) >= 10:
            assert len(said) == 1
            assert ("target side" if true > 0 else "trail side") in said[0]
        elif abs(true) < 5:
            assert said == []


def test_nine_in_ten_measures_lie_within_their_doubt(answers: Path) -> None:
    held = []
    for clip in sorted(CLIPS.glob("*.mp4")):
        result = compare(
            json.loads((answers / f"{clip.stem}.json").read_text()),
            json.loads((CLIPS / f"{clip.stem}.json").read_text()),
        )
        answer = json.loads((answers / f"{clip.stem}.json").read_text())
        assert result["missed"] == 0
        for name, errors in result["errors"].items():
            held += [abs(e) <= s["doubt90"][name] for e, s in zip(errors, answer["swings"], strict=False)]
    assert 0.85 <= np.mean(held) <= 1.0
    assert len(held) > 100
