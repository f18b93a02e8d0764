"""Strike and swing in one story: invented swings, for behaviour only."""

from typing import Any

import numpy as np

from threequarter.language import say
from threequarter.swing.story import differences, story


def swing(through: float, tempo: float = 2.0, **more: Any) -> dict[str, Any]:
    return {
        "lead_arm_top_deg": 75.0,
        "lead_arm_finish_deg": 75.0 + through,
        "tempo_ratio": tempo,
        "impact_over_peak": 0.97,
        "doubt90": {"match_deg": 5.0},
    } | more


def test_fat_balls_that_fell_short_through_are_told_with_one_drill() -> None:
    rng = np.random.default_rng(1)
    good = [swing(float(v)) for v in rng.normal(0, 2, 8)]
    fat = [swing(float(v)) for v in rng.normal(-16, 2, 5)]
    lines = [say(line) for line in story([*good, *fat], ["good"] * 8 + ["fat"] * 5)]
    assert lines[0] == "Filmed with a fat strike: 5; with a good one: 8."
    assert "less through than on good ones" in lines[1]
    assert lines[2].startswith("Drill: ")


def test_what_may_be_chance_is_not_told() -> None:
    """Of 300 lessons without any difference at most one in ten is told one, over all measures together."""
    rng = np.random.default_rng(2)
    told = 0
    for _ in range(300):
        swings = [swing(float(a), float(b)) for a, b in zip(rng.normal(0, 4, 12), rng.normal(2, 0.2, 12), strict=True)]
        told += any(one.told for one in differences(swings, ["good"] * 7 + ["thin"] * 5))
    assert told / 300 < 0.1
    same = [swing(0.0), swing(1.0), swing(-1.0)] * 2
    assert "Nothing we measured differs" in say(story(same, ["good"] * 3 + ["fat"] * 3)[1])


def test_a_shot_is_compared_with_itself_only() -> None:
    waist, chest = (
        [swing(v, lead_arm_top_deg=top, lead_arm_finish_deg=top + v) for v in (-1.0, 0.0, 1.0)] for top in (50.0, 90.0)
    )
    mixed = [*chest, *chest, *waist, *waist]
    strikes = ["good"] * 5 + ["fat"] + ["fat", "good"] + ["fat"] * 4
    shots = ["54 chest"] * 6 + ["54 waist"] * 6
    assert "less back than" in say(story(mixed, strikes)[1])  # thrown together the shorter shot would be blamed
    assert "Nothing we measured differs" in say(story(mixed, strikes, shots)[1])


def test_too_few_or_no_bad_strikes_are_said_or_nothing() -> None:
    assert story([swing(0.0)] * 4, ["good"] * 4) == []
    assert story([], []) == []
    assert "Too few" in say(story([swing(0.0)] * 3, ["good", "good", "fat"])[1])
    missing = [swing(0.0, lead_arm_finish_deg=None)] * 6
    assert "Nothing" in say(story(missing, ["good"] * 3 + ["heavy"] * 3)[1])
