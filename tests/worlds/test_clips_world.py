"""The hard copies and the drawn players carry the right truth, the same on every run, and the judge who is shown the truth calls it true."""

import copy
from pathlib import Path

import av
import numpy as np
import pytest
from benchmarks.worlds import clips_bodies
from benchmarks.worlds import clips_truth as true
from benchmarks.worlds.clips_degrade import CONDITIONS, degraded
from benchmarks.worlds.clips_film import Film, read, write
from benchmarks.worlds.clips_judge import FIELDS, judge, table, verdict
from benchmarks.worlds.clips_pictures import turn_about
from benchmarks.worlds.clips_render import KINDS, drawn, truth_of
from benchmarks.worlds.clips_source import OPEN, REPORTED, TUNED, Source

pytestmark = pytest.mark.slow

SHORT = "o10_indoor_30fps"


@pytest.fixture(scope="module")
def base() -> Film:
    return Source("o01_plain", "plain").base()


def test_halves_part_the_clips() -> None:
    assert not set(TUNED) & set(REPORTED)
    assert len({*TUNED, *REPORTED}) == len(list(OPEN.glob("o*.mp4")))


def test_truth_of_the_base_is_what_its_points_say(base: Film) -> None:
    arm, swing = true.lead_arm_deg(base.truth), base.truth["swings"][0]
    assert -np.interp(swing["t_top_s"], base.times_s, arm) == pytest.approx(swing["lead_arm_top_deg"], abs=0.5)
    assert np.interp(swing["t_finish_s"], base.times_s, arm) == pytest.approx(swing["lead_arm_finish_deg"], abs=0.5)


def test_slow_motion_multiplies_times_and_leaves_ratios(base: Film) -> None:
    slow = true.slow_motion(base.truth, 4)
    for name in true.TIMES:
        assert slow["swings"][0][name] == pytest.approx(4 * base.truth["swings"][0][name])
    for name in ("tempo_ratio", "backswing_s", "lead_arm_top_deg"):
        assert slow["swings"][0][name] == base.truth["swings"][0][name]
    assert slow["slowed"] == 4
    film = degraded("o01_plain", "slow_4")
    arm, swing = true.lead_arm_deg(film.truth), film.truth["swings"][0]
    assert -np.interp(swing["t_top_s"], film.times_s, arm) == pytest.approx(swing["lead_arm_top_deg"], abs=0.5)


@pytest.mark.parametrize("clip", ["o01_plain", "o04_left"])
@pytest.mark.parametrize("turn", [6.0, -6.0])
def test_roll_shifts_the_angles_of_the_picture_and_not_those_against_gravity(clip: str, turn: float) -> None:
    film = Source(clip, "plain").base()
    turned = true.rolled(film.truth, turn, turn_about((540, 960), turn))
    swing, was = turned["swings"][0], film.truth["swings"][0]
    seen = -np.interp(swing["t_top_s"], film.times_s, true.lead_arm_deg(turned))
    assert swing["lead_arm_top_deg"] == was["lead_arm_top_deg"]
    assert swing["lead_arm_top_picture_deg"] == pytest.approx(seen, abs=0.5)
    assert abs(swing["lead_arm_top_picture_deg"] - was["lead_arm_top_deg"]) == pytest.approx(6)


def test_mirror_changes_the_hand_and_nothing_a_left_hander_would_measure(base: Film) -> None:
    other = true.mirrored(base.truth, 540)
    assert other["handedness"] == "left"
    assert other["swings"] == base.truth["swings"]
    assert true.lead_arm_deg(other) == pytest.approx(true.lead_arm_deg(base.truth), abs=1e-6)


def test_cuts_make_null_what_the_clip_cannot_tell() -> None:
    late = degraded("o01_plain", "starts_mid_backswing").truth["swings"][0]
    assert [late[name] for name in ("t_takeaway_s", "t_takeaway_1deg_s", "tempo_ratio")] == [None] * 3
    assert late["t_top_s"] > 0
    assert late["lead_arm_finish_deg"] is not None
    early = degraded("o01_plain", "ends_after_impact").truth["swings"][0]
    assert [early[name] for name in true.OF_FINISH] == [None] * len(true.OF_FINISH)
    assert early["tempo_ratio"] is not None
    assert degraded("o01_plain", "starts_just_before").truth["swings"][0]["t_takeaway_s"] == pytest.approx(
        0.1, abs=0.02
    )


@pytest.mark.parametrize("condition", list(CONDITIONS))
def test_every_copy_has_points_for_its_pictures_and_instants_within_it(condition: str) -> None:
    film = degraded(SHORT, condition)
    assert len(film.truth["keypoints_px"]) == len(film.times_s)
    assert film.truth["expected"][0] in ("measured", "refused", "asked")
    assert (np.diff(film.times_s) > 0).all()
    for swing in film.truth["swings"] + film.truth["practice"]:
        for name in true.TIMES:
            assert swing[name] is None or -0.01 <= swing[name] <= film.times_s[-1] + 0.01
    if film.sound is not None:
        assert np.abs(film.sound).max() <= 1


@pytest.mark.parametrize("spot", [(150.0, 300.0), (300.0, 820.0)])
def test_a_childs_pictures_and_points_go_the_same_way(spot: tuple[float, float]) -> None:
    picture = np.zeros((960, 540, 3), np.uint8)
    x, y = (int(v) for v in spot)
    picture[y - 4 : y + 5, x - 4 : x + 5] = 255
    rows, columns = np.nonzero(clips_bodies._small(540, 960, 600.0)(picture)[:, :, 0] > 100)
    wanted = clips_bodies._placed(np.array([spot]), 540, 960, 600.0)[0]
    assert (columns.mean(), rows.mean()) == pytest.approx(wanted, abs=1.5)


def test_a_tilt_is_undone_by_the_same_tilt_the_other_way() -> None:
    points = np.array([[100.0, 200.0], [400.0, 900.0]])
    there = clips_bodies._turned(points, 540, 960, 0.35, 980.0)
    assert clips_bodies._turned(there, 540, 960, -0.35, 980.0) == pytest.approx(points)
    assert np.ptp(there[:, 0]) != pytest.approx(np.ptp(points[:, 0]), rel=0.02)  # it is no mere shift


def test_practice_swings_lie_between_the_balls() -> None:
    truth = degraded(SHORT, "practice_between").truth
    first, last = (swing["t_impact_s"] for swing in truth["swings"])
    assert first < truth["practice"][0]["t_impact_s"] < last


@pytest.mark.parametrize("condition", ["darker_70", "vfr_honest", "hand_held"])
def test_same_clip_and_condition_give_the_same_pictures(condition: str) -> None:
    one, again = degraded(SHORT, condition), degraded(SHORT, condition)
    assert (one.times_s == again.times_s).all()
    for _, first, second in zip(range(3), one.pictures(), again.pictures(), strict=False):
        assert (first == second).all()


def test_a_turn_in_the_header_is_undone_by_a_player_of_films(tmp_path: Path) -> None:
    film = degraded(SHORT, "turned_by_header")
    few = film.kept(np.arange(3), film.times_s[:3], film.truth)
    write(few, tmp_path / "turned.mp4")
    with av.open(str(tmp_path / "turned.mp4")) as file:
        frame = next(file.decode(video=0))
        assert (frame.width, frame.height) == (960, 540)
        assert frame.rotation % 360 == 270  # by FFmpeg's count: turn it back by 90 clockwise
    assert read(tmp_path / "turned.mp4").truth["size"] == [540, 960]


def test_sound_has_its_click_at_the_strike() -> None:
    film = degraded(SHORT, "sound_strike_neighbours")
    assert film.sound is not None
    loudest = int(np.abs(film.sound).argmax()) / 48_000
    assert loudest == pytest.approx(film.truth["sound"]["strike_s"][0], abs=0.01)
    assert film.truth["sound"]["strike_s"][0] - film.truth["swings"][0]["t_impact_s"] == pytest.approx(
        3.6 / 343, abs=1e-6
    )


@pytest.mark.parametrize("kind", ["face_on", "left_hander", "child", "az_40"])
def test_a_drawn_swing_is_true_to_its_law(kind: str) -> None:
    scene, truth = KINDS[kind], truth_of(KINDS[kind])
    swing = truth["swings"][0]
    arm = true.lead_arm_deg(truth)
    seen = -np.interp(swing["t_top_s"], np.arange(len(arm)) / scene.fps, arm)
    assert seen == pytest.approx(swing["lead_arm_top_deg"], abs=0.7)
    assert swing["tempo_ratio"] == pytest.approx(scene.law.back_s / scene.law.down_s)
    assert scene.law.angle_deg(np.array([swing["t_top_s"]]))[0] == pytest.approx(-scene.law.back_deg, abs=0.3)
    assert swing["impact_over_peak"] > 0.95
    assert 0.2 < swing["t_finish_s"] - swing["t_impact_s"] < 0.7
    assert truth["handedness"] == ("left" if scene.left_handed else "right")


def test_slowing_and_uneven_drawn_swings_are_so() -> None:
    assert truth_of(KINDS["slows"])["swings"][0]["impact_over_peak"] < 0.85
    short = truth_of(KINDS["short_through"])["swings"][0]
    assert short["lead_arm_finish_square_deg"] < short["lead_arm_top_square_deg"] - 15
    even = truth_of(KINDS["face_on"])["swings"][0]
    assert abs(even["lead_arm_finish_square_deg"] - even["lead_arm_top_square_deg"]) < 8


def test_a_drawn_picture_shows_a_player_before_a_background() -> None:
    film = drawn("face_on")
    picture = next(film.pictures())
    x, y = film.truth["keypoints_px"][0][[0, 1]].mean(axis=0).astype(int)
    red, green, _ = picture[y + 20, x]
    assert red > 1.5 * green


def _told(truth: true.Truth) -> dict[str, object]:
    swing = {name: truth["swings"][0][key] for name, key in FIELDS.items()}
    swing |= {"decelerating": False, "words": ["through matches back"], "doubt90": dict.fromkeys(swing, 0.1)}
    return {"swings": [swing], "handedness": truth["handedness"], "camera_azimuth_deg": 0.0, "slower": truth["slowed"]}


def test_the_truth_is_judged_true() -> None:
    truth = degraded("o01_plain", "slow_4").truth
    tally = judge(_told(truth), truth)
    n = tally.counts
    assert (n["found"], n["missed"], n["false"], n["clock_wrong"], n["matched_said"]) == (1, 0, 0, 0, 1)
    assert tally.held() == (12, 12)
    assert "1/1" in table({"slow_4": tally})


def test_the_judge_sees_what_is_wrong() -> None:
    truth = degraded("o01_plain", "ends_after_impact").truth
    told = _told(degraded("o01_plain", "plain").truth)
    n = judge(told, truth).counts
    assert n["not_null"] >= 4  # a finish that the clip cannot tell
    truth = degraded("o01_plain", "plain").truth
    told = copy.deepcopy(_told(truth))
    told["swings"][0]["t_impact_s"] += 0.05  # type: ignore[index]
    told["swings"][0]["words"] = ["through is shorter than back"]  # type: ignore[index]
    told["swings"][0]["decelerating"] = True  # type: ignore[index]
    told["swings"].append({"t_impact_s": 9.0})  # type: ignore[attr-defined]
    told["slower"] = 4.0
    tally = judge(told, truth)
    n = tally.counts
    assert (n["false"], n["slow_false"], n["matched_wrong"], n["clock_wrong"]) == (1, 1, 1, 1)
    assert tally.errors["t_impact_s"][0][0] == pytest.approx(0.05)
    empty = judge({"swings": []}, truth).counts
    assert (empty["missed"], empty["let_go"]) == (1, 0)
    assert judge({"swings": []}, {**truth, "expected": ["measured", "refused"]}).counts["let_go"] == 1
    assert judge(_told(truth), {**truth, "expected": ["refused"]}).counts["measured_though"] == 1
    assert judge(_told(truth), true.as_practice(truth)).counts["practice_as_ball"] == 1


def test_words_give_the_verdict() -> None:
    assert verdict({"words": ["back: chest, 9:00; through: chest, 3:00", "through is longer than back"]}) == "longer"
    assert verdict({"words": ["about 15° shorter through"]}) == "shorter"
    assert verdict({"words": ["through matches back"]}) == "matches"
    assert verdict({"words": ["whether through matches back cannot be told"]}) == "cannot tell"
    assert verdict({"words": []}) == "cannot tell"
