"""Shots of today, greens in words, which wedges: behaviour, brute force on a small case, and made-up players."""

from dataclasses import replace
from itertools import combinations
from typing import Any

import numpy as np
import pytest

from tests_support import chart_by_hand
from threequarter.chart.fit import fit_chart
from threequarter.chart.simulate import simulate
from threequarter.choice import wedges as room
from threequarter.answers.shot import shot_answer
from threequarter.choice.green_words import green_of
from threequarter.choice.shot import choose
from threequarter.choice.today import shot_models, side_spread
from threequarter.choice.wedges import advise_wedges
from threequarter.flight.weather import Weather
from threequarter.golf.ball import Ball
from threequarter.golf.errors import UserError

CALM = Weather(temp_c=20.0, altitude_m=0.0, wind_mps=0.0)
SHOTS = [
    ("50", "waist", 42.0),
    ("50", "chest", 52.0),
    ("58", "waist", 33.0),
    ("58", "chest", 41.0),
    ("58", "full", 62.0),
]
BALLS = [Ball(number=1, club="50", swing="waist", loft_deg=50.0, distance_m=42.0)]


def test_the_wind_moves_the_shots_and_a_swing_between_is_offered() -> None:
    chart = chart_by_hand(shots=SHOTS)
    calm, _ = shot_models(chart, BALLS, CALM, CALM, to_m=54.0)
    windy, _ = shot_models(chart, BALLS, CALM, replace(CALM, wind_mps=6.0, wind_from_deg=270.0), to_m=54.0)
    assert any(model.between for model in calm)
    assert np.median(windy[4].side_m) > np.median(calm[4].side_m) + 2


def test_rough_is_less_sure_and_runs_more() -> None:
    chart = chart_by_hand(shots=SHOTS)
    fair, rough = (shot_models(chart, BALLS, CALM, CALM, lie=lie)[0][0] for lie in ("fairway", "rough"))  # type: ignore[arg-type]
    assert np.median(rough.run_m) > np.median(fair.run_m)
    assert rough.log_sd.mean() > fair.log_sd.mean()
    assert rough.mishit_rate > fair.mishit_rate


def test_offline_of_the_balls_sets_the_side_spread() -> None:
    session = simulate(np.random.default_rng(4), "plain", 10)
    sides = np.random.default_rng(5).normal(0, 0.09, len(session.balls))
    wild = [replace(b, offline_m=float(side) * b.distance_m) for b, side in zip(session.balls, sides, strict=True)]
    chart = fit_chart(wild)
    assert side_spread(chart, wild) > 0.06
    assert side_spread(chart, BALLS) == pytest.approx(0.045)


def test_the_answer_says_what_it_is_and_its_chances_are_chances() -> None:
    chart = chart_by_hand(shots=SHOTS)
    green = green_of(50.0, pin="back", depth_m=24.0, trouble=["short:water"])
    options = choose(shot_models(chart, BALLS, CALM, CALM, to_m=50.0)[0], green, rng=np.random.default_rng(1))
    answer = shot_answer(options, green, "m", "club")
    strokes = [option["expected_strokes"] for option in answer["options"]]
    assert strokes == sorted(strokes)
    for option in answer["options"]:
        chances = option["chances"]
        assert 0 <= chances["within_3m"] <= 1
        assert chances["on_green"] + chances["in_trouble"] <= 1 + 1e-9
    assert any("4.3a" in note for note in answer["notes"])
    assert len(answer["words"]) == 1


def test_a_number_nobody_reaches_gets_words_and_no_option() -> None:
    chart = chart_by_hand(shots=SHOTS)
    green = green_of(130.0)
    options = choose(shot_models(chart, BALLS, CALM, CALM, to_m=130.0)[0], green, rng=np.random.default_rng(1))
    answer = shot_answer(options, green, "m", "club")
    assert answer["options"] == []
    assert "No shot of this chart" in answer["notes"][0]


@pytest.mark.parametrize(
    ("given", "says"),
    [({"pin": "moon"}, "front, middle, back"), ({"trouble": ["behind"]}, "short, long, left or right"), ({"depth_m": 0.0}, "depth"), ({"pin": "40"}, "stand on the green")],
)  # fmt: skip
def test_a_green_that_cannot_be_is_refused(given: dict[str, object], says: str) -> None:
    with pytest.raises(UserError, match=says):
        green_of(50.0, **given)  # type: ignore[arg-type]


def test_wedges_agree_with_brute_force_on_a_small_case(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(room, "LOFTS", (46, 50, 54, 58, 60))
    chart = chart_by_hand(shots=SHOTS)
    advice = advise_wedges(chart, have=[50, 58], most=3)
    worlds = room._Worlds(chart, "club", np.arange(25.0, 101.0, room.STEP_M))
    for found in advice.best:
        every = [worlds.rate(lofts).strokes for lofts in combinations((46, 50, 54, 58, 60), len(found.lofts))]
        assert found.strokes == pytest.approx(min(every), abs=1e-9)
    assert advice.now.lofts == (50, 58)


def test_more_wedges_leave_fewer_holes_and_the_worth_of_one_has_the_right_sign() -> None:
    session = simulate(np.random.default_rng(2), "plain", 8)
    advice = advise_wedges(fit_chart(session.balls))
    holes = [found.holes for found in advice.best]
    assert holes[0] > holes[-1]
    assert all(worth is None or worth.strokes > -1e-6 for worth in (advice.one_more, advice.one_less))


@pytest.mark.parametrize(
    ("given", "says"),
    [
        ({"from_m": 60.0, "to_m": 50.0}, "must rise"), ({"most": 12}, "14 clubs"), ({"have": [20.0, 54.0]}, "30 to 75 degrees, not 20"),
        ({"fixed": [80.0]}, "30 to 75 degrees, not 80"), ({"fixed": [float("nan")]}, "30 to 75 degrees"), ({"have": [float("inf")]}, "30 to 75 degrees"),
    ],
)  # fmt: skip
def test_impossible_wishes_for_wedges_are_refused(given: dict[str, Any], says: str) -> None:
    with pytest.raises(UserError, match=says):
        advise_wedges(chart_by_hand(shots=SHOTS), **given)
