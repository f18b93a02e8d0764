"""A swing in words, beside own marks, and in pictures; made-up swings, and one rendered clip for the pictures."""

import json
from collections import Counter
from dataclasses import replace
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import numpy as np
import pytest

from swing_support import checked
from threequarter.answers.swing import swings_answer
from threequarter.golf.errors import UserError
from threequarter.golf.message import Message
from threequarter.golf.swing_length import parse_swing
from threequarter.language import say
from threequarter.paper.pictures.swing_sheets import curves, sheets
from threequarter.paper.typesetting import png_of
from threequarter.swing.check import check
from threequarter.swing.compare import compare
from threequarter.swing.compare import say as say_errors
from threequarter.swing.doubt import Quality, doubts
from threequarter.swing.keep import load_track
from threequarter.swing.measure import Swing
from threequarter.swing.track import Seen, Track
from threequarter.swing.words import (
    LEVELS,
    Lengths,
    alike,
    calibrated,
    clock,
    lesson_tempo,
    lesson_words,
    level,
    match,
    meant_words,
    tempo_beside,
    tempo_kind,
)
from threequarter.swing.words import say as swing_words

CLIPS = Path(__file__).parents[1] / "data" / "swings"
SWING = Swing(
    t_takeaway_s=1.0,
    t_top_s=1.7,
    t_impact_s=2.0,
    t_finish_s=2.35,
    lead_arm_top_deg=75.0,
    lead_arm_finish_deg=72.0,
    hand_height_top=0.45,
    hand_height_finish=0.52,
    impact_over_peak=0.97,
)
ANSWER = swings_answer(checked(SWING))["swings"][0]


def said(message: Message | None) -> str:
    assert message is not None
    return say(message)


def test_levels_and_clock_times_are_the_trades_own() -> None:
    assert [said(level(h)) for h in (-1.0, 0.2, 0.45, 0.7, 1.0, 1.4)] == [
        "knee",
        "waist",
        "between waist and chest",
        "chest",
        "shoulder",
        "above the shoulder",
    ]
    assert [clock(90), clock(75), clock(60)] == ["9:00", "8:30", "8:00"]
    assert [clock(90, through=True), clock(60, through=True)] == ["3:00", "4:00"]


def test_a_length_told_in_degrees_is_held_against_the_arm_not_the_hands() -> None:
    told = Lengths(arms_deg={"chest": 75.0, "stinger": 40.0})
    high = {**ANSWER, "hand_height_top": 1.6, "lead_arm_top_deg": 77.0}
    assert said(meant_words(high, "chest", told)) == "meant chest, filmed the same"
    assert "longer than meant" in said(meant_words(high, "chest"))
    assert "longer than meant" in said(meant_words(high, "stinger", told))  # a name of the player's own
    assert "shorter than meant" in said(meant_words({**high, "lead_arm_top_deg": 52.0}, "chest", told))
    nine = parse_swing("9:00").key
    assert said(meant_words(high, "9:00", Lengths(arms_deg={nine: 75.0}))) == "meant 9:00, filmed the same"
    assert "shorter than meant" in said(meant_words(high, "9:00"))


def test_a_level_that_a_player_posed_holds_and_its_neighbours_move_with_it() -> None:
    own = calibrated({"chest": 0.95})
    assert own["chest"] == 0.95
    assert own["shoulder"] == pytest.approx(1.25)
    assert said(level(0.95, own)) == "chest"
    posed = Lengths(own)
    assert said(meant_words({**ANSWER, "hand_height_top": 0.95}, "chest", posed)) == "meant chest, filmed the same"
    assert "longer than meant" in said(meant_words({**ANSWER, "hand_height_top": 0.95}, "chest"))
    between = calibrated({"waist": 0.1, "shoulder": 1.1})
    assert between["chest"] == pytest.approx(0.1 + 0.5 / 0.8)
    assert calibrated({}) == LEVELS
    for wrong in ({"grip": 0.3}, {"waist": 0.9, "chest": 0.7}):
        with pytest.raises(UserError):
            calibrated(wrong)


def test_a_swing_is_said_with_what_was_meant_beside_what_was_filmed() -> None:
    lines = [say(line) for line in swing_words({**ANSWER, "felt": "chest"})]
    assert lines[0] == "back: between waist and chest, 8:30; through: between waist and chest, 3:40"
    assert lines[1] == "through matches back"
    assert "hands still at 97 % of their top speed at the ball" in lines
    assert lines[-1] == "meant chest, filmed between waist and chest: shorter than meant"
    assert said(meant_words(ANSWER, "9:00")).endswith("shorter than meant")
    assert said(meant_words(ANSWER, "8:30")) == "meant 8:30, filmed the same"
    with pytest.raises(UserError, match="no_length"):
        meant_words(ANSWER, "whisper")


@pytest.mark.parametrize(
    ("through", "doubt", "kind"),
    [
        (75, 5, "matches"),
        (82, 5, "matches"),
        (68, 5, "matches"),
        (60, 5, "shorter"),
        (60, 16, "unknown"),
        (65, 5, "unknown"),
        (86, 5, "unknown"),
        (95, 5, "longer"),
        (75, 14, "unknown"),
        (None, 5, "unknown"),
    ],
)
def test_through_matches_back_by_the_arm_and_its_doubt_never_by_hand_height(
    through: float | None, doubt: float, kind: str
) -> None:
    answer = {"lead_arm_top_square_deg": 75.0, "lead_arm_finish_square_deg": through, "doubt90": {"match_deg": doubt}}
    assert match(answer).kind == kind
    assert match({**answer, "hand_height_top": 0.4, "hand_height_finish": 0.95}).kind == kind


def test_every_matched_swing_of_the_true_ones_is_called_matched_or_cannot_be_told() -> None:
    """Truth of the open clips by their renderer: no perfect measurement may say "longer" of a swing within 8 degrees, and the same
    swing 15 degrees less far through is short."""
    swings = [s for path in sorted(CLIPS.glob("*.json")) for s in json.loads(path.read_text()).get("swings", [])]
    kinds = Counter()
    for swing in swings:
        told = {name: swing[name] for name in ("lead_arm_top_square_deg", "lead_arm_finish_square_deg")}
        by = told["lead_arm_finish_square_deg"] - told["lead_arm_top_square_deg"]
        if abs(by) <= 8.5:
            kinds[match({**told, "doubt90": {"match_deg": 6.0}}).kind] += 1
            short = {**told, "lead_arm_finish_square_deg": told["lead_arm_top_square_deg"] - 15}
            assert match({**short, "doubt90": {"match_deg": 6.0}}).kind == "shorter"
    assert kinds["longer"] == kinds["shorter"] == 0
    assert kinds["matches"] >= 9


def test_the_same_is_said_of_the_measured_open_clips() -> None:
    kinds = {}
    for path in sorted((CLIPS / "tracks").glob("*.npz")):
        for swing in swings_answer(check(load_track(path)))["swings"]:
            kinds[f"{path.stem} {swing['number']}"] = match(swing).kind
    assert kinds.pop("o07_decel_120fps 1") == "shorter"  # 46 through of 90 back
    assert set(kinds.values()) <= {"matches", "unknown"}
    assert list(kinds.values()).count("matches") >= 8


def test_how_alike_needs_three_and_counts_the_matches() -> None:
    assert alike((ANSWER, ANSWER)) is None
    assert said(alike((ANSWER, ANSWER, ANSWER))).endswith("through matches back in 3")


def swung(tempo: float, doubt: float, arm: float = 70.0) -> dict[str, Any]:
    return {"tempo_ratio": tempo, "lead_arm_top_deg": arm, "doubt90": {"tempo_ratio": doubt}}


OWN = [(70.0 + k, tempo) for k, tempo in enumerate((2.0, 2.1, 2.05, 1.95, 2.0))]


def test_a_tempo_is_judged_against_the_players_own_of_that_length_and_its_doubt() -> None:
    assert tempo_beside(swung(2.0, 0.1), OWN[:2]) is None
    assert tempo_beside(swung(2.0, 0.1, arm=95.0), OWN) is None  # another length has a tempo of its own
    assert said(tempo_beside(swung(2.1, 0.2), OWN)).startswith("as usual")
    assert said(tempo_beside(swung(2.6, 0.2), OWN)).startswith("slower back")
    assert said(tempo_beside(swung(2.6, 0.7), OWN)).startswith("as usual")
    assert said(tempo_beside(swung(1.5, 0.2), OWN)).startswith("quicker back")


def test_players_who_changed_nothing_are_seldom_called_slower_or_quicker() -> None:
    rng = np.random.default_rng(3)
    calls = []
    for _ in range(2000):
        usual, count = rng.uniform(1.7, 3.2), int(rng.integers(3, 12))
        *own, now = usual + rng.normal(0, 0.1, count + 1) + rng.normal(0, 0.12, count + 1)
        calls.append(tempo_kind(swung(now, 1.645 * 0.12), [(70.0, one) for one in own]))
    assert 0.02 < np.mean([call != "usual" for call in calls]) < 0.08


def test_a_lesson_tells_the_tempo_only_against_the_players_own() -> None:
    many = [swung(2.0, 0.1)] * 5
    assert lesson_tempo(many, [()] * 5) == []
    assert [say(line) for line in lesson_tempo(many, [OWN] * 5)] == ["Tempo as usual for this player in 5 of 5 swings."]
    slower = [*many, *[swung(2.8, 0.1)] * 3, {**swung(2.8, 0.1), "struck": "practice"}]
    assert [say(line) for line in lesson_tempo(slower, [OWN] * 9)] == [
        "Tempo as usual for this player in 5 of 8 swings.",
        "Of the others 3 were slower back, 0 quicker.",
    ]


def test_a_lesson_counts_what_can_be_told_and_no_practice_swing() -> None:
    short = {**ANSWER, "lead_arm_finish_deg": 55.0, "lead_arm_finish_square_deg": 55.0}
    lines = [say(line) for line in lesson_words([ANSWER, short, {**ANSWER, "struck": "practice"}, {"doubt90": {}}])]
    assert lines == [
        "3 swings were filmed.",
        "Of 2 clear swings, 1 went as far through as back, which is the aim; 1 fell short.",
        "For 1 it is not clear.",
    ]


def test_what_spoils_the_picture_widens_the_doubt() -> None:
    clear = doubts(SWING, Quality())
    for worse in (
        Quality(scatter=0.03),
        Quality(seen_down=0.6),
        Quality(frame_s=1 / 24),
        Quality(light=15),
        Quality(trunk_px=30),
    ):
        spoilt = doubts(SWING, worse)
        assert all(spoilt[name] >= clear[name] for name in clear)
        assert sum(spoilt[name] > clear[name] for name in clear) >= 3
    assert doubts(SWING, Quality(roll90_deg=6))["lead_arm_top_deg"] > 5
    assert doubts(SWING, Quality(azimuth_deg=30))["lead_arm_top_deg"] > 5
    assert "lead_arm_finish_deg" not in doubts(replace(SWING, t_finish_s=None), Quality())


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
    assert "1 missed" in say(say_errors(result)[0])
    with pytest.raises(UserError, match="no_marks"):
        compare(answer, [])


def test_the_corrections_of_a_clip_show_our_error_too() -> None:
    doubt = {"t_top_s": 0.03, "t_impact_s": 0.02}
    ours = [{"number": n, "t_top_s": n + 0.7, "t_impact_s": n + 1.0, "doubt90": doubt} for n in (1, 2, 3)]
    marks = {"1": {"t_top_s": 1.72}, "3": {"not_a_swing": True}, "added": [{"t_top_s": 9.0, "t_impact_s": 9.3}]}
    result = compare({"swings": ours}, marks)
    assert (result["matched"], result["missed"], result["found_too_many"]) == (2, 1, 1)
    assert result["errors"] == {"t_top_s": [-0.02]}
    assert result["within_doubt"] == {"t_top_s": 1.0}


def test_a_clip_without_a_player_says_so() -> None:
    found = check(Track(stretches=(), frames_per_s=60.0, duration_s=3.0, seen=Seen(looks=40)))
    assert found.swings == ()
    assert [say(line) for line in found.warnings] == ["no player seen in this clip"]


@pytest.mark.slow
def test_pictures_hold_the_four_instants_and_become_png() -> None:
    clip = CLIPS / "o10_indoor_30fps.mp4"
    seen = load_track(CLIPS / "tracks" / "o10_indoor_30fps.npz")
    found = check(seen)
    (sheet,) = sheets(clip, seen, found)
    root = ElementTree.fromstring(sheet)
    assert len(root.findall(".//{http://www.w3.org/2000/svg}image")) == 4
    for word in ("address", "top", "impact", "finish", "waist"):
        assert word in sheet
    for svg in (sheet, curves(found)):
        assert png_of(svg).startswith(b"\x89PNG")
