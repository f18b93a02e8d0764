"""Left and right set right, the top between pictures, the camera's distance, poses: on tracks that were kept."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from threequarter.answers.swing import swings_answer
from threequarter.golf.errors import UserError
from threequarter.swing.check import check
from threequarter.swing.facing import faced
from threequarter.swing.keep import load_track, save_track
from threequarter.swing.marks import pose_height
from threequarter.swing.pose import MIRROR
from threequarter.swing.sound import CAMERA_M
from threequarter.swing.strike import camera_m
from threequarter.swing.track import Seen, Stretch, Track

TRACKS = Path(__file__).parents[1] / "data" / "swings" / "tracks"


@pytest.fixture(scope="module")
def plain() -> Track:
    return load_track(TRACKS / "o01_plain.npz")


def taken_for_a_back(stretch: Stretch, until: int) -> Stretch:
    points, world, visibility = stretch.points.copy(), stretch.world.copy(), stretch.visibility.copy()
    for values in (points, world, visibility):
        values[:until] = values[:until][:, MIRROR]
    return replace(stretch, points=points, world=world, visibility=visibility)


def test_a_player_taken_for_a_back_is_set_right_and_told_with_wider_doubt(plain: Track, tmp_path: Path) -> None:
    stretch = plain.stretches[0]
    until = len(stretch.time_s) // 2
    wrong = replace(plain, stretches=(taken_for_a_back(stretch, until),))
    right = faced(wrong.stretches[0])
    assert np.array_equal(right.points, stretch.points)
    assert np.flatnonzero(right.exchanged).tolist() == list(range(until))
    found, usual = check(wrong), check(plain)
    assert found.hand == usual.hand
    assert found.swings == usual.swings
    assert found.doubt90[0]["t_top_s"] == pytest.approx(3 * usual.doubt90[0]["t_top_s"], rel=0.01)
    assert "swing.exchanged" in {line.code for line in found.told[0]}
    save_track(replace(wrong, stretches=(right,)), tmp_path / "t.npz")
    assert load_track(tmp_path / "t.npz").stretches[0].exchanged.sum() == until


def test_without_a_ball_before_the_feet_it_may_be_a_back_and_is_refused(plain: Track) -> None:
    stretch = plain.stretches[0]
    behind = taken_for_a_back(replace(stretch, ground=np.full_like(stretch.ground, 90)), len(stretch.time_s))
    found = check(replace(plain, stretches=(behind,)))
    assert found.swings == ()
    assert found.warnings[0].code == "swing.from_the_side"
    assert found.warnings[0].values["view_deg"] == 180


def test_the_match_is_a_field_of_its_own(plain: Track) -> None:
    swing = swings_answer(check(plain))["swings"][0]
    assert swing["match"] == "matches"
    by = swing["lead_arm_finish_square_deg"] - swing["lead_arm_top_square_deg"]
    assert swing["match_by_deg"] == pytest.approx(by, abs=0.02)


def test_the_sound_comes_later_from_further_off() -> None:
    assert camera_m(Seen()) == CAMERA_M
    near, far = (camera_m(Seen(width=1080, height=1920, tall_share=[share])) for share in (0.7, 0.2))
    assert near == pytest.approx(2.0, abs=0.3)
    assert far == pytest.approx(7.0, abs=0.5)


def test_a_pose_tells_the_hands_height_where_it_is_held(plain: Track) -> None:
    swing = check(plain).swings[0]
    assert pose_height(plain, swing.t_top_s) == pytest.approx(swing.hand_height_top, abs=0.1)
    with pytest.raises(UserError):
        pose_height(plain, 99.0)


def test_what_blur_and_compression_hide_is_not_told(plain: Track) -> None:
    stretch = plain.stretches[0]
    swing = check(plain).swings[0]
    down = (stretch.time_s > swing.t_top_s) & (stretch.time_s < swing.t_impact_s + 0.1)
    visibility = stretch.visibility.copy()
    visibility[down] = 0.6
    blurred = replace(plain, stretches=(replace(stretch, visibility=visibility),))
    for seen, start in ((blurred, swing.t_takeaway_s), (replace(plain, bits_per_pixel=0.002), None)):
        told = swings_answer(check(seen))["swings"][0]
        assert (told["tempo_ratio"], told["to_ball_s"], told["impact_over_peak"]) == (None, None, None)
        assert (told["t_takeaway_s"] is None) == (start is None)
    assert swings_answer(check(blurred))["swings"][0]["doubt90"]["t_impact_s"] == pytest.approx(0.2)
    heard = replace(blurred, bangs=((swing.t_impact_s, 40.0),), heard=True)
    told = swings_answer(check(heard))["swings"][0]
    assert told["tempo_ratio"] is not None
    assert told["doubt90"]["t_impact_s"] == pytest.approx(0.02)
