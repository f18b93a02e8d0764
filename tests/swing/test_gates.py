"""When the swing check does not measure: made-up motions and numbers, and kept tracks of the rendered clips cut or turned."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from threequarter.swing import strike
from threequarter.swing.camera import lines_roll, upright, view_of
from threequarter.swing.check import check, in_picture, passed
from threequarter.swing.clock import choose, factors
from threequarter.swing.keep import load_track
from threequarter.swing.measure import Swing
from threequarter.swing.picture import LINE_BINS, lines_of
from threequarter.swing.pose import MIRROR
from threequarter.swing.sound import bangs_of
from threequarter.swing.track import Seen, Stretch, Track

TRACKS = Path(__file__).parents[1] / "data" / "swings" / "tracks"
SWING = Swing(
    t_takeaway_s=1.0,
    t_top_s=1.8,
    t_impact_s=2.1,
    t_finish_s=2.5,
    lead_arm_top_deg=80.0,
    lead_arm_finish_deg=78.0,
    hand_height_top=0.6,
    hand_height_finish=0.9,
    impact_over_peak=0.97,
)


def cut(track: Track, start: float, end: float) -> Track:
    """A track of a clip that begins and ends elsewhere."""

    def part(stretch: Stretch) -> Stretch:
        k = (stretch.time_s >= start) & (stretch.time_s <= end)
        kept = {name: getattr(stretch, name)[k] for name in ("time_s", "points", "visibility", "world", "sharp")}
        return replace(stretch, **kept)

    return replace(track, stretches=tuple(part(stretch) for stretch in track.stretches))


def test_a_finish_after_the_clip_is_not_invented() -> None:
    whole = load_track(TRACKS / "o01_plain.npz")
    true = check(whole).swings[0]
    found = check(cut(whole, 0.0, true.t_impact_s + 0.12))
    (swing,) = found.swings
    assert (swing.t_finish_s, swing.lead_arm_finish_deg, swing.hand_height_finish) == (None, None, None)
    assert swing.lead_arm_top_deg == pytest.approx(true.lead_arm_top_deg, abs=1)
    assert "swing.ends_after" in [line.code for line in found.told[0]]


def test_a_takeaway_before_the_clip_is_not_invented_and_gives_no_tempo() -> None:
    whole = load_track(TRACKS / "o01_plain.npz")
    true = check(whole).swings[0]
    assert true.t_takeaway_s is not None
    found = check(cut(whole, (true.t_takeaway_s + true.t_top_s) / 2, 99.0))
    (swing,) = found.swings
    assert swing.t_takeaway_s is None
    assert swing.tempo_ratio is None
    assert swing.t_impact_s == pytest.approx(true.t_impact_s, abs=0.02)
    assert found.camera_deg is None  # the player was not seen still
    assert "swing.starts_before" in [line.code for line in found.told[0]]


@pytest.mark.parametrize("turn", [70, 90, -60])
def test_a_camera_far_from_face_on_is_refused_in_words(turn: float) -> None:
    seen = load_track(TRACKS / "o01_plain.npz")
    angle = np.radians(turn)
    spin = np.array([[np.cos(angle), 0, -np.sin(angle)], [0, 1, 0], [np.sin(angle), 0, np.cos(angle)]])
    turned = tuple(replace(stretch, world=stretch.world @ spin.T) for stretch in seen.stretches)
    found = check(replace(seen, stretches=turned))
    assert found.swings == ()
    assert next(line.code for line in found.warnings) == "swing.from_the_side"


def test_hands_that_are_not_on_one_grip_make_no_swing() -> None:
    seen = load_track(TRACKS / "o01_plain.npz")
    apart = []
    for stretch in seen.stretches:
        points = stretch.points.copy()
        points[:, 15, 0] += 90
        points[:, 16, 0] -= 90
        apart.append(replace(stretch, points=points))
    assert check(replace(seen, stretches=tuple(apart))).swings == ()


def test_a_rolled_phone_is_found_by_lines_and_taken_out() -> None:
    seen = load_track(TRACKS / "o04_left.npz")
    straight = check(seen).swings[0]
    counts = np.zeros(LINE_BINS)
    counts[60 + 12 - 1 : 60 + 12 + 2] = 400  # six degrees
    rolled = tuple(replace(stretch, points=upright(stretch.points, -6.0)) for stretch in seen.stretches)
    found = check(replace(seen, stretches=rolled, seen=replace(seen.seen, lines=[float(v) for v in counts])))
    assert found.view.roll_deg == pytest.approx(6.0, abs=0.5)
    assert found.swings[0].lead_arm_top_deg == pytest.approx(straight.lead_arm_top_deg, abs=1)
    assert "swing.rolled" in [line.code for line in found.warnings]


def test_lines_of_a_turned_grid_tell_its_turn_and_grass_tells_none() -> None:
    y, x = np.mgrid[0:480, 0:360].astype(float)
    angle = np.radians(5.0)
    grid = 100 + 90 * np.tanh(3 * np.sin((np.cos(angle) * x + np.sin(angle) * y) * 2 * np.pi / 60))
    picture = np.repeat(grid[..., None], 3, axis=2).astype(np.uint8)
    counts = lines_of(picture, (0, 0, 0, 0))
    assert lines_roll(Seen(lines=[float(v) for v in counts])) == pytest.approx(5.0, abs=1.0)
    grass = np.random.default_rng(1).integers(0, 255, (480, 360, 3)).astype(np.uint8)
    assert lines_roll(Seen(lines=[float(v) for v in lines_of(grass, (0, 0, 0, 0))])) is None


def test_slow_motion_is_found_from_the_swings_own_times_and_asked_where_two_fit() -> None:
    """Times as in the 758 clips of the open event data (McNally et al. 2019): 1.1 s to impact, 0.27 s down, by default."""

    def at(slower: float, to_impact: float = 1.1, down: float = 0.27) -> dict[float, list[Swing]]:
        shown = {}
        for tried in factors(30.0):
            one = replace(
                SWING,
                slower=tried,
                t_takeaway_s=0.0,
                t_top_s=slower * (to_impact - down),
                t_impact_s=slower * to_impact,
            )
            shown[tried] = [one]
        return shown

    assert factors(30.0) == (1.0, 2.0, 4.0, 8.0)
    assert factors(240.0) == (1.0,)
    for slower in (1.0, 2.0, 4.0, 8.0):
        clock = choose(at(slower), 30.0)
        assert clock.slower == slower
        assert clock.sure
    between = choose(at(1.55), 30.0)
    assert not between.sure
    assert set(between.fitting) == {1.0, 2.0}
    assert choose(at(1.55), 30.0, told=2.0).sure
    assert choose(at(4.0), 30.0, filmed_fps=120.0).chances[0][1] > 0.99


def test_a_bang_is_heard_at_its_time_and_noise_is_none() -> None:
    rng = np.random.default_rng(3)
    quiet = rng.exponential(1e-6, 4000)
    assert bangs_of(0.0, quiet) == ()
    loud = quiet.copy()
    loud[2500:2512] += 1e-2 * np.exp(-np.arange(12) / 4)
    ((at, over),) = bangs_of(0.5, loud)
    assert at == pytest.approx(0.5 + 2.5 - 3.5 / 340, abs=0.003)
    assert over > 30


def test_a_ball_that_lies_still_makes_a_practice_swing_and_one_that_is_gone_a_ball() -> None:
    seen = load_track(TRACKS / "o10_indoor_30fps.npz")
    swing = check(seen).swings[0]
    stretch = seen.stretches[0]
    assert strike.struck(seen, 0, swing)[0] == "ball"
    before = stretch.ground[stretch.ground_s < swing.t_top_s]
    lying = replace(stretch, ground=np.repeat(before[-1:], len(stretch.ground), axis=0))
    still = replace(seen, stretches=(lying,))
    assert strike.struck(still, 0, swing) == ("practice", ("ball lies",))
    heard = replace(seen, heard=True, bangs=((swing.t_impact_s + 0.02, 45.0),))
    assert strike.struck(heard, 0, swing) == ("ball", ("heard", "ball gone"))
    elsewhere = replace(seen, heard=True, bangs=((swing.t_impact_s + 2.0, 45.0),))
    assert strike.struck(elsewhere, 0, swing)[0] == "unknown"


def test_somebody_who_walks_by_stops_the_measuring_and_a_bystander_does_not() -> None:
    times = [0.5, 1.0, 1.5, 2.0, 2.5]
    walks = Seen(others=[[0.8], [0.5], [0.2], [-0.2], [-0.5]], people_s=times)
    stands = Seen(others=[[0.3]] * 5, people_s=times)
    far = Seen(others=[[2.0], [1.6], [1.2], [1.0], [0.9]], people_s=times)
    for seen, by in ((walks, True), (stands, False), (far, False)):
        track = Track(stretches=(), frames_per_s=60.0, duration_s=4.0, seen=seen)
        assert passed(track, SWING) is by


def test_hands_outside_the_picture_are_not_measured() -> None:
    seen = load_track(TRACKS / "o01_plain.npz")
    swing = check(seen).swings[0]
    k = int(np.argmin(np.abs(seen.stretches[0].time_s - swing.t_finish_s)))
    edge = seen.stretches[0].points[k, 15, 0]
    tight = replace(seen, seen=replace(seen.seen, width=int(edge) - 5))
    assert in_picture(swing, seen.stretches[0], seen).seen_finish == swing.seen_finish
    assert in_picture(swing, tight.stretches[0], tight).seen_finish == 0.0


def test_the_camera_is_not_judged_without_a_still_second() -> None:
    seen = load_track(TRACKS / "o01_plain.npz")
    swing = replace(check(seen).swings[0], t_takeaway_s=None)
    assert view_of(seen, ((0, swing),), "right").azimuth_deg is None


def test_in_the_dark_no_word_is_lost_on_where_the_camera_stood() -> None:
    whole = load_track(TRACKS / "o01_plain.npz")
    no_ball = {"ground_s": np.zeros(0), "ground": np.zeros((0, 1, 1), np.uint8)}

    def other(one: Stretch) -> Stretch:
        sides = {name: getattr(one, name)[:, MIRROR] for name in ("points", "visibility", "world")}
        return replace(one, **sides, **no_ball)

    mirrored = replace(whole, stretches=tuple(map(other, whole.stretches)))
    dark = replace(mirrored, seen=replace(whole.seen, light=[20.0]))
    assert check(mirrored).warnings[0].code == "swing.from_the_side"  # and no ball shows that it stands in front
    found = check(dark)
    assert (found.swings, found.warnings[0].code) == ((), "swing.dark_sides")
