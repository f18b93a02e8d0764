"""Shots of today, greens in words, which wedges: behaviour, brute force on a small case, and made-up players."""

from dataclasses import replace
from itertools import combinations, pairwise
from typing import Any

import numpy as np
import pytest
from benchmarks.worlds.old import simulate

from tests_support import chart_by_hand
from threequarter.answers.shot import shot_answer
from threequarter.chart.fit import fit_chart
from threequarter.choice import wedges as room
from threequarter.choice.green_words import green_of
from threequarter.choice.shot import TIED_STROKES, choose
from threequarter.choice.today import shot_models, side_spread
from threequarter.choice.told import shown
from threequarter.choice.wedges import advise_wedges, worth_told
from threequarter.flight.weather import Weather
from threequarter.golf.ball import Ball
from threequarter.golf.errors import UserError
from threequarter.language import line

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
    assert np.mean(rough.mishit_rate) > np.mean(fair.mishit_rate)


def test_the_club_that_is_struck_better_is_priced_better() -> None:
    chart = chart_by_hand(shots=SHOTS)
    rates = np.tile([0.3, 0.3, 0.05, 0.05, 0.05], (len(chart.draws_log_carry), 1))
    models, _ = shot_models(replace(chart, draws_mishit_rate=rates), BALLS, CALM, CALM, to_m=41.0)
    by_shot = {(model.club, model.swing): float(np.mean(model.mishit_rate)) for model in models}
    assert by_shot["50", "waist"] == pytest.approx(0.3)
    assert by_shot["58", "chest"] == pytest.approx(0.05)
    options = choose(models, green_of(41.0), rng=np.random.default_rng(1))
    places = [(option.club, option.swing) for option in options]
    assert places.index(("58", "chest")) < places.index(("50", "waist"))


def test_a_swing_that_was_never_hit_is_wide_and_marked() -> None:
    chart = chart_by_hand(shots=SHOTS)
    models, _ = shot_models(chart, BALLS, CALM, CALM, to_m=54.0)
    between = next(model for model in models if model.between)
    hit = models[0]
    assert between.never_hit
    assert between.log_carry.std() > 1.3 * hit.log_carry.std()
    assert between.log_sd.mean() > hit.log_sd.mean() + 0.2


def test_of_options_that_cannot_be_told_apart_the_one_with_less_trouble_comes_first() -> None:
    chart = chart_by_hand(shots=[("54", "full", 60.0), ("60", "full", 61.0)])
    green = green_of(60.0, pin="front", trouble=["short"])
    options = choose(shot_models(chart, BALLS, CALM, CALM)[0], green, rng=np.random.default_rng(1))
    assert options[0].tied
    assert options[0].in_trouble <= options[1].in_trouble + 0.05
    assert len(shown(options)) <= 3


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
    assert strokes[0] <= min(strokes) + TIED_STROKES
    assert len(answer["shown"]) <= 3
    assert all(option["why"] for option in answer["options"])
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
    assert "No shot in this chart" in answer["notes"][0]


@pytest.mark.parametrize(
    ("given", "says"),
    [
        ({"pin": "moon"}, "green.pin_word"),
        ({"trouble": ["behind"]}, "green.trouble_word"),
        ({"depth_m": 0.0}, "green.size"),
        ({"pin": "40"}, "green.pin"),
    ],
)
def test_a_green_that_cannot_be_is_refused(given: dict[str, object], says: str) -> None:
    with pytest.raises(UserError, match=says):
        green_of(50.0, **given)  # type: ignore[arg-type]


def test_wedges_agree_with_brute_force_on_a_small_case(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(room, "LOFTS", (46, 50, 54, 58, 62))
    chart = chart_by_hand(shots=SHOTS)
    advice = advise_wedges(chart, have=[50, 58], most=3)
    worlds = room._Worlds(chart, "club", np.arange(advice.from_m, advice.to_m + 1, room.STEP_M))
    for found in advice.best:
        every = [worlds.rate((50, *rest)).strokes for rest in combinations((54, 58, 62), len(found.lofts) - 1)]
        assert found.strokes == pytest.approx(min(every), abs=1e-9)
    assert advice.now.lofts == (50, 58)


def test_wedges_keep_the_hand_over_to_the_next_iron_stay_apart_and_within_reach() -> None:
    chart = chart_by_hand(shots=SHOTS)
    advice = advise_wedges(chart, have=[46, 50, 54, 58])
    assert (advice.from_m, advice.to_m) == (33.0, 62.0)
    for found in advice.best:
        assert found.lofts[0] == 46
        assert all(b - a >= 4 for a, b in pairwise(found.lofts))
    assert advice.one_less is not None
    assert set(advice.one_less.lofts) < {50, 54, 58}
    assert 46 not in advice.one_less.lofts


def test_more_wedges_leave_fewer_gaps_and_the_worth_of_one_has_the_right_sign() -> None:
    shots = [
        (club, swing, carry * (1 - 0.03 * (int(club) - 46)))
        for club in ("46", "52")
        for swing, carry in (("waist", 50.0), ("full", 100.0))
    ]
    advice = advise_wedges(chart_by_hand(shots=shots))
    gaps = [found.gaps for found in advice.best]
    assert gaps[0] > gaps[-1]
    assert all(worth is None or worth.strokes > -1e-6 for worth in (advice.one_more, advice.one_less))
    assert "such shots" in line(
        worth_told("wedges.one_more", room.Worth(lofts=(56,), strokes=1 / 45, strokes90=advice.now.strokes90))
    )


@pytest.mark.parametrize(
    ("given", "says"),
    [
        ({"from_m": 60.0, "to_m": 50.0}, "wedges.span"),
        ({"most": 12}, "wedges.most"),
        ({"have": [20.0, 54.0]}, "wedges.loft"),
        ({"fixed": [80.0]}, "wedges.loft"),
        ({"fixed": [float("nan")]}, "wedges.loft"),
        ({"have": [float("inf")]}, "wedges.loft"),
    ],
)
def test_impossible_wishes_for_wedges_are_refused(given: dict[str, Any], says: str) -> None:
    with pytest.raises(UserError, match=says):
        advise_wedges(chart_by_hand(shots=SHOTS), **given)
