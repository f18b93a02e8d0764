"""Clip to frames to body points, on the rendered open clips (good figures show that the measuring is right)."""

import json
from pathlib import Path

import numpy as np
import pytest

from threequarter.golf.errors import UserError
from threequarter.swing.decode import frames, probe
from threequarter.swing.pose import Detector, Landmarker

CLIPS = Path(__file__).parents[1] / "data" / "swings"
POINTS = {
    "left_shoulder": 11,
    "right_shoulder": 12,
    "left_hip": 23,
    "right_hip": 24,
    "left_wrist": 15,
    "right_wrist": 16,
}


def test_a_clip_says_its_size_and_rate() -> None:
    info = probe(CLIPS / "o01_plain.mp4")
    assert (info.width, info.height) == (540, 960)
    assert info.fps == pytest.approx(60)


def test_frames_bear_their_exact_times() -> None:
    times = [frame.time_s for frame in frames(CLIPS / "o10_indoor_30fps.mp4", spans=((0.0, 1.0),))]
    assert np.diff(times) == pytest.approx(1 / 30, abs=1e-6)


@pytest.mark.slow
def test_body_points_of_a_player_at_address_lie_near_the_joints() -> None:
    truth = json.loads((CLIPS / "o01_plain.json").read_text())
    joints = np.array(truth["keypoints_px"])[0]
    frame = next(iter(frames(CLIPS / "o01_plain.mp4", spans=((0.0, 0.1),))))
    people = Detector()(frame.rgb)
    assert len(people) == 1
    body = Landmarker("full")(frame.rgb, people[0].roi)
    height = joints[:, 1].max() - joints[:, 1].min()
    for name, point in POINTS.items():
        true = joints[truth["keypoint_names"].index(name)]
        assert np.hypot(*(body.points[point, :2] - true)) < 0.06 * height, name


@pytest.mark.parametrize(
    ("name", "content"),
    [("a.mp4", b""), ("a.mp4", b"ffconcat version 1.0\nfile o01.mp4\n"), ("a.mov", b"not a video" * 100)],
)
def test_what_is_no_clip_is_refused_in_one_line(tmp_path: Path, name: str, content: bytes) -> None:
    clip = tmp_path / name
    clip.write_bytes(content)
    with pytest.raises(UserError) as said:
        probe(clip)
    assert "\n" not in str(said.value)


def test_a_clip_cut_before_its_index_is_told(tmp_path: Path) -> None:
    whole = (CLIPS / "o02_waist.mp4").read_bytes()
    clip = tmp_path / "cut.mp4"
    clip.write_bytes(whole[: len(whole) // 2])
    with pytest.raises(UserError, match=r"swing\.clip_damaged\(file=cut\.mp4"):
        list(frames(clip))
