"""A swing in words, beside own marks, and in pictures; made-up swings, and one rendered clip for the pictures."""

import json
from dataclasses import replace
from pathlib import Path
from xml.etree import ElementTree

import numpy as np
import pytest

from threequarter.golf.errors import UserError
from threequarter.paper.typesetting import png_of
from threequarter.swing.check import check
from threequarter.swing.compare import compare
from threequarter.swing.compare import say as say_errors
from threequarter.swing.decode import frames
from threequarter.swing.doubt import doubts
from threequarter.swing.measure import Swing
from threequarter.swing.pictures import curves, sheets
from threequarter.swing.track import Seen, Track, follow, track
from threequarter.swing.words import alike, clock, felt_against_real, level, say

CLIPS = Path(__file__).parents[1] / "data" / "swings"
SWING = Swing(
    t_takeaway_s=1.0, t_top_s=1.7, t_impact_s=2.0, t_finish_s=2.35, lead_arm_top_deg=75.0, lead_arm_finish_deg=72.0,
    hand_height_top=0.45, hand_height_finish=0.52, impact_over_peak=0.97,
)  # fmt: skip


def test_levels_and_clock_times_are_the_trades_own() -> None:
    assert [level(h) for h in (-1.0, 0.2, 0.45, 0.7, 1.0, 1.4)] == [
        "knee",
        "waist",
        "between waist and chest",
        "chest",
        "shoulder",
        "above the shoulder",
    ]
    assert [clock(90), clock(75), clock(60)] == ["9:00", "8:30", "8:00"]
    assert [clock(90, through=True), clock(60, through=True)] == ["3:00", "4:00"]


def test_a_swing_is_said_with_felt_against_real() -> None:
    lines = say(SWING, "chest")
    assert lines[0] == "back: between waist and chest, 8:30; through: between waist and chest, 3:40"
    assert "through matches back" in lines
    assert "shorter than meant" in lines[-1]
    assert felt_against_real(SWING, "9:00").endswith("shorter than meant")
    assert felt_against_real(SWING, "8:30") == "felt 8:30, and it was 8:30"
    assert "through is longer than back" in say(replace(SWING, hand_height_finish=0.9))
    assert "the hands slowed down before the ball" in say(replace(SWING, impact_over_peak=0.7))
    with pytest.raises(UserError, match="no swing length"):
        felt_against_real(SWING, "whisper")


def test_how_alike_needs_three_and_names_the_odd_one() -> None:
    assert alike((SWING, SWING)) is None
    odd = replace(SWING, t_top_s=1.5)
    assert "unlike the others in tempo: 3" in (alike((SWING, SWING, odd, SWING)) or "")


def test_badly_seen_hands_and_slow_cameras_widen_the_doubt() -> None:
    clear, hidden, slow = doubts(SWING, 60), doubts(replace(SWING, seen_top=0.4), 60), doubts(SWING, 30)
    assert hidden["lead_arm_top_deg"] == pytest.approx(2 * clear["lead_arm_top_deg"])
    assert slow["t_impact_s"] > clear["t_impact_s"] > 0.008


def test_own_marks_show_our_error() -> None:
    answer = {
        "swings": [
            {"t_impact_s": 2.01, "lead_arm_top_deg": 77.0, "doubt90": {"t_impact_s": 0.02, "lead_arm_top_deg": 1.0}}
        ]
    }
    result = compare(answer, {"swings": [{"t_impact_s": 2.0, "lead_arm_top_deg": 75.0}, {"t_impact_s": 9.0}]})
    assert (result["matched"], result["missed"], result["found_too_many"]) == (1, 1, 0)
    assert result["errors"] == {"t_impact_s": [0.01], "lead_arm_top_deg": [2.0]}
    assert result["within_doubt"] == {"t_impact_s": 1.0, "lead_arm_top_deg": 0.0}
    assert "1 missed" in say_errors(result)[0]
    with pytest.raises(UserError, match="swings"):
        compare(answer, [])


def test_a_clip_without_a_player_says_so() -> None:
    found = check(Track(stretches=(), frames_per_s=60.0, duration_s=3.0, seen=Seen(looks=40)))
    assert found.swings == ()
    assert found.warnings == ("no player was seen in this clip",)


@pytest.mark.slow
def test_a_still_player_is_no_swing_and_costs_no_close_look() -> None:
    still = [next(iter(frames(CLIPS / "o01_plain.mp4", spans=((0.0, 0.1),))))] * 1
    pictures = [replace(still[0], time_s=i / 30) for i in range(60)]
    seen = follow(pictures, 30.0)
    assert seen.stretches == ()
    assert check(seen).swings == ()


@pytest.mark.slow
def test_pictures_hold_the_four_instants_and_become_png() -> None:
    clip = CLIPS / "o10_indoor_30fps.mp4"
    seen = track(clip)
    found = check(seen)
    (sheet,) = sheets(clip, seen, found)
    root = ElementTree.fromstring(sheet)
    assert len(root.findall(".//{http://www.w3.org/2000/svg}image")) == 4
    for word in ("address", "top", "impact", "finish", "waist"):
        assert word in sheet
    for svg in (sheet, curves(found)):
        assert png_of(svg).startswith(b"\x89PNG")
    assert json.dumps(doubts(found.swings[0], 30.0))
    assert np.isfinite(found.swings[0].tempo_ratio)
