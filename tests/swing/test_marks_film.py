"""Own corrections, the marked-up film, kept tracks, shaky and hostile clips: real clips, made on the spot where needed."""

from collections.abc import Callable, Iterator
from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest

from threequarter.golf.errors import UserError
from threequarter.paper.pictures.swing_sheets import sheet_boxes
from threequarter.swing.check import SwingCheck, check, look
from threequarter.swing.decode import Frame, frames, probe
from threequarter.swing.film import marked_film
from threequarter.swing.keep import load_track, save_track
from threequarter.swing.marks import apply_marks
from threequarter.swing.track import Source, Track, follow

CLIPS = Path(__file__).parents[1] / "data" / "swings"
CLIP = CLIPS / "o10_indoor_30fps.mp4"


@pytest.fixture(scope="module")
def seen() -> Track:
    return load_track(CLIPS / "tracks" / "o10_indoor_30fps.npz")


def source_of(pictures: list[Frame]) -> Source:
    """Pictures in memory, as a film gives them."""

    def source(*, spans=((None, None),), every_s=0.0, quick=False, turned=0) -> Iterator[Frame]:  # type: ignore[no-untyped-def]
        due = -1e9
        for start, end in spans:
            for picture in pictures:
                inside = (start is None or picture.time_s >= start) and (end is None or picture.time_s <= end)
                if inside and picture.time_s >= due - 1e-6:
                    due = picture.time_s + every_s
                    yield picture

    return source


@pytest.fixture(scope="module")
def found(seen: Track) -> SwingCheck:
    return check(seen)


def make(path: Path, count: int, draw: Callable[[int], np.ndarray], rate: int = 30) -> Path:
    import av

    with av.open(str(path), "w") as out:
        stream = out.add_stream("libx264", rate=rate, options={"preset": "ultrafast"})
        first = draw(0)
        stream.width, stream.height, stream.pix_fmt, stream.time_base = (
            first.shape[1],
            first.shape[0],
            "yuv420p",
            Fraction(1, rate),
        )
        for i in range(count):
            for packet in stream.encode(av.VideoFrame.from_ndarray(draw(i), format="rgb24")):
                out.mux(packet)
        for packet in stream.encode(None):
            out.mux(packet)
    return path


def test_a_corrected_instant_moves_the_measures_that_hang_on_it(seen: Track, found: SwingCheck) -> None:
    swing = found.swings[0]
    moved, changed = apply_marks(found, seen, {"1": {"t_top_s": swing.t_top_s - 0.1}})
    assert set(changed[1]) == {"t_top_s", "lead_arm_top_deg", "hand_height_top", "impact_over_peak", "tempo_ratio"}
    assert moved.swings[0].lead_arm_top_deg < swing.lead_arm_top_deg
    assert (moved.swings[0].tempo_ratio or 0) < (swing.tempo_ratio or 0)
    assert found.swings[0] is swing  # what was found is kept
    assert apply_marks(found, seen, {})[1] == {}
    for wrong in ({"1": {"t_top_s": 99.0}}, {"7": {"t_top_s": 1.0}}, {"1": {"grip": 1}}, {"1": {"hands_top": ["x"]}}):
        with pytest.raises(UserError):
            apply_marks(found, seen, wrong)


def test_a_false_swing_is_thrown_out_and_the_others_keep_their_numbers() -> None:
    three = load_track(CLIPS / "tracks" / "o09_three_swings.npz")
    found = check(three)
    kept, changed = apply_marks(found, three, {"2": {"not_a_swing": True}})
    assert kept.numbers == (1, 3)
    assert [swing.t_impact_s for swing in kept.swings] == [found.swings[i].t_impact_s for i in (0, 2)]
    assert len(kept.doubt90) == len(kept.told) == len(kept.struck) == 2
    assert changed == {}


def test_a_swing_that_was_missed_is_added_and_measured(seen: Track, found: SwingCheck) -> None:
    swing = found.swings[0]
    told = {"t_top_s": swing.t_top_s, "t_impact_s": swing.t_impact_s}
    more, changed = apply_marks(found, seen, {"1": {"not_a_swing": True}, "added": [told]})
    assert more.numbers == (2,)
    assert more.swings[0].lead_arm_top_deg == pytest.approx(swing.lead_arm_top_deg, abs=1.5)
    assert more.swings[0].tempo_ratio is None  # no takeaway was told
    assert "t_top_s" in changed[2]
    for wrong in ({"t_top_s": 1.0}, {"t_top_s": 50.0, "t_impact_s": 50.3}, {"t_top_s": 2.0, "t_impact_s": 1.0}):
        with pytest.raises(UserError):
            apply_marks(found, seen, {"added": [wrong]})


def test_a_marked_point_gives_the_arms_own_angle(seen: Track, found: SwingCheck) -> None:
    moved, changed = apply_marks(found, seen, {"1": {"shoulder_top": [300.0, 300.0], "hands_top": [200.0, 300.0]}})
    assert moved.swings[0].lead_arm_top_deg == pytest.approx(90.0)
    assert changed[1] == ["lead_arm_top_deg"]
    assert sheet_boxes(seen, found)[0]["scale"] > 0


def test_a_kept_track_gives_the_same_swings(seen: Track, found: SwingCheck, tmp_path: Path) -> None:
    save_track(seen, tmp_path / "t.npz")
    again = check(load_track(tmp_path / "t.npz"))
    assert again.swings == found.swings
    assert again.camera_deg == pytest.approx(found.camera_deg)


@pytest.mark.slow
def test_the_marked_film_plays(seen: Track, found: SwingCheck, tmp_path: Path) -> None:
    marked_film(CLIP, seen, found, tmp_path / "m.mp4")
    info = probe(tmp_path / "m.mp4")
    assert (info.width, info.height) == (540, 960)
    plain, drawn = next(iter(frames(CLIP))), next(iter(frames(tmp_path / "m.mp4")))
    assert (np.abs(plain.rgb.astype(int) - drawn.rgb.astype(int)).max(axis=2) > 60).sum() > 200


@pytest.mark.slow
def test_a_shaken_camera_is_told_and_a_still_one_is_not(found: SwingCheck) -> None:
    rng = np.random.default_rng(1)
    shaken = [
        Frame(frame.time_s, np.ascontiguousarray(np.roll(frame.rgb, rng.integers(-25, 26, 2), axis=(0, 1))))
        for frame in frames(CLIP, spans=((0.0, 2.0),))
    ]
    assert "swing.shakes" in [line.code for line in check(follow(source_of(shaken), 30.0)).warnings]
    assert "swing.shakes" not in [line.code for line in found.warnings]


@pytest.mark.slow
def test_a_picture_on_its_side_is_turned_and_measured_the_same(found: SwingCheck) -> None:
    lying = [Frame(frame.time_s, np.ascontiguousarray(np.rot90(frame.rgb))) for frame in frames(CLIP)]

    def source(*, spans=((None, None),), every_s=0.0, quick=False, turned=0) -> Iterator[Frame]:  # type: ignore[no-untyped-def]
        for frame in source_of(lying)(spans=spans, every_s=every_s):
            yield Frame(frame.time_s, np.ascontiguousarray(np.rot90(frame.rgb, turned)))

    seen = follow(source, 30.0)
    answer = check(seen)
    assert seen.seen.turned == 3
    assert "swing.sideways" in [line.code for line in answer.warnings]
    assert answer.swings[0].lead_arm_top_deg == pytest.approx(found.swings[0].lead_arm_top_deg, abs=2)


@pytest.mark.slow
def test_a_clip_without_a_player_is_answered_with_no_swing(tmp_path: Path) -> None:
    rng = np.random.default_rng(2)
    clip = make(tmp_path / "noise.mp4", 30, lambda i: rng.integers(0, 255, (320, 180, 3), dtype=np.uint8))
    _, answer = look(clip)
    assert answer.swings == ()
    assert [line.code for line in answer.warnings] == ["swing.no_player"]


@pytest.mark.slow
def test_only_a_rehearsal_is_no_swing() -> None:
    """Standing and half a way back slowly, from the start of a rendered clip."""
    seen = follow(source_of(list(frames(CLIPS / "o02_waist.mp4", spans=((0.0, 1.6),)))), 60.0)
    assert check(seen).swings == ()


def test_one_frame_and_odd_sizes_are_read(tmp_path: Path) -> None:
    clip = make(tmp_path / "one.mp4", 1, lambda i: np.zeros((64, 48, 3), dtype=np.uint8))
    assert len(list(frames(clip))) == 1


def test_sound_alone_and_too_many_pixels_are_refused(tmp_path: Path) -> None:
    import av

    sound = tmp_path / "sound.mp4"
    with av.open(str(sound), "w") as out:
        stream = out.add_stream("aac", rate=44100)
        frame = av.AudioFrame.from_ndarray(np.zeros((1, 1024), dtype=np.float32), format="fltp", layout="mono")
        frame.rate = 44100
        for packet in [*stream.encode(frame), *stream.encode(None)]:
            out.mux(packet)
    with pytest.raises(UserError, match="clip_no_picture"):
        probe(sound)
    large = make(tmp_path / "8k.mp4", 1, lambda i: np.zeros((4320, 7680, 3), dtype=np.uint8))
    with pytest.raises(UserError, match="clip_too_large"):
        probe(large)


def test_a_circle_has_its_own_speed_and_the_filter_leaves_it() -> None:
    """Analytic: points on a circle of radius r at w rad/s move at r w; the low-pass keeps 1 Hz to a per mille (Butterworth)."""
    from threequarter.swing.measure import _smooth

    t = np.arange(0, 4, 1 / 120)
    circle = np.column_stack([np.cos(2 * np.pi * t), np.sin(2 * np.pi * t)]) * 50
    smooth = _smooth(t, circle, np.ones(len(t), dtype=bool), 120.0)
    speed = np.hypot(*np.gradient(smooth, t, axis=0).T)[60:-60]
    assert speed == pytest.approx(50 * 2 * np.pi, rel=2e-3)


def test_the_cutoff_leaves_mostly_noise_behind() -> None:
    """Winter's residual analysis: at a good cutoff what is taken off is as large as the noise that was put on, not the motion."""
    from threequarter.swing.measure import _smooth

    rng = np.random.default_rng(5)
    t = np.arange(0, 3, 1 / 60)
    motion = 200 / (1 + np.exp(-(t - 1.5) / 0.06))  # a downswing of a quarter of a second
    noise = rng.normal(0, 1.5, (len(t), 1))
    residual = (motion[:, None] + noise) - _smooth(t, motion[:, None] + noise, np.ones(len(t), dtype=bool), 60.0)
    assert 0.7 * 1.5 < residual.std() < 1.6 * 1.5
