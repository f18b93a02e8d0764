"""Practice and recheck on the phone say what Python says of the same chart."""

import itertools
import shutil
from dataclasses import replace
from typing import Any, Final

import numpy as np
import pytest
from benchmarks.phone_engine import apart, engine_says, limit_of, plain, simulated

from threequarter.answers.answer import answer
from threequarter.chart.result import Chart
from threequarter.golf.ball import Ball, Carried
from threequarter.golf.ball_codec import ball_to
from threequarter.golf.errors import UserError
from threequarter.golf.swing_length import parse_swing
from threequarter.paper.card import CardDetails, card_content
from threequarter.practice import games
from threequarter.practice.call import CalledBall, Target, expected_miss_m, score_test
from threequarter.practice.recheck import recheck, told

pytestmark = [
    pytest.mark.slow,
    pytest.mark.skipif(shutil.which("node") is None, reason="the engine runs in node here, and node is not installed"),
]
BEYOND: Final = 0.02
"""The phone's chart is within 0.05 yd of Python's; what is made of it may differ by a little more."""


def sessions(count: int = 4, seed: int = 11) -> list[list[Ball]]:
    found = [list(balls) for _name, (balls, _plan) in simulated(count, seed=seed)]
    return [balls for balls in found if len(balls) > 20]


def charted(balls: list[Ball]) -> Chart:
    return answer([Carried.of(ball) for ball in balls], None).chart


def asked(balls: list[Ball]) -> list[dict[str, Any]]:
    return [ball_to(ball) for ball in balls]


@pytest.mark.parametrize("game", ["ladder", "row"])
def test_a_game_calls_the_same(game: str) -> None:
    compared = 0
    for balls in sessions():
        (engine,) = engine_says([{"called": asked(balls), "game": game, "count": 9}])
        chart = charted(balls)
        if "told" in engine:
            with pytest.raises(UserError) as error:
                games.ladder(chart, 9)
            assert engine == {"told": plain(error.value.args[0])}
            continue
        calls = games.ladder(chart, 9) if game == "ladder" else games.in_a_row(chart)
        assert len(engine["calls"]) == len(calls)
        for mine, there in zip(calls, engine["calls"], strict=True):
            assert (mine.target.club, mine.target.swing) == (there["club"], there["swing"])
            assert there["carry_m"] == pytest.approx(mine.target.carry_m, abs=0.05)
            assert there["possible_miss_m"] == pytest.approx(mine.target.possible_miss_m, abs=0.05)
            assert there["half_m"] == pytest.approx(mine.half_m, abs=0.05)
            assert there["inside"] == pytest.approx(mine.inside, abs=0.005)
        assert engine["usual"] == pytest.approx(games.usual_inside(calls), abs=0.1)
        compared += 1
    assert compared


def test_a_called_number_is_best_hit_with_the_shot_it_is_scored_by() -> None:
    balls = sessions()[0]
    chart = charted(balls)
    (engine, other, again) = engine_says(
        {"called": asked(balls), "game": "called", "count": 24, "seed": seed} for seed in (5, 6, 5)
    )
    calls = engine["calls"]
    assert len(calls) == 24
    assert again == engine
    assert other != engine
    for call in calls:
        misses = {(c.club, c.swing): expected_miss_m(c, call["carry_m"]) for c in chart.cells}
        assert misses[call["club"], call["swing"]] <= min(misses.values()) + BEYOND
    assert sum(parse_swing(call["swing"]).kind == "full" for call in calls) <= 8
    if len({(c["club"], c["swing"]) for c in calls}) > 2:
        assert all((a["club"], a["swing"]) != (b["club"], b["swing"]) for a, b in itertools.pairwise(calls))


def test_a_score_and_its_doubt_are_the_same() -> None:
    rng = np.random.default_rng(3)
    for count in (1, 9, 40):
        balls = [
            CalledBall(
                target=Target(carry_m=50.0, club="54", swing="waist", possible_miss_m=3.0),
                ended_m=float(rng.normal(50, 4)),
            )
            for _ball in range(count)
        ]
        told = [{"carry_m": 50, "ended_m": ball.ended_m, "possible_miss_m": 3} for ball in balls]
        (engine,) = engine_says([{"scored": told}])
        python = score_test(balls, rng)
        assert engine["score"] == pytest.approx(python.score)
        assert engine["bias_m"] == pytest.approx(python.bias_m)
        for end in ("low", "high"):
            # Python draws 4000 times, the phone takes the quantile itself
            assert engine["score90"][end] == pytest.approx(getattr(python.score90, end), rel=0.04)


@pytest.mark.parametrize("moved", [0.0, -0.12, 0.15])
def test_a_recheck_says_the_same(moved: float) -> None:
    for balls in sessions(3, seed=23):
        old, fresh = balls[::2], balls[1::2][:20]
        new = [one | {"distance_m": one["distance_m"] * (1 + moved)} for one in asked(fresh)]
        (engine,) = engine_says([{"old": asked(old), "fresh": new}])
        hit = [replace(ball, distance_m=ball.distance_m * (1 + moved)) for ball in fresh]
        python = recheck(charted(old), hit)
        names = {"not known yet": "open"}
        assert engine["verdict"] == names.get(python.verdict, python.verdict)
        apart_by = list(apart(plain(told(python)), engine["told"]))
        assert [place for place, off in apart_by if off > max(limit_of(place), 0.005)] == []


def test_the_round_view_has_the_rungs_of_the_card() -> None:
    balls = sessions()[1]
    shots = {(ball.club, ball.swing) for ball in balls}
    tongue = {"texts": {}, "unit": "yd", "mark": "."}
    clubs, swings = ({shot[k] for shot in shots} for k in (0, 1))
    question = {
        "typed": [],
        "known": asked(balls),
        "plan": None,
        "shots": [{"club": club, "swing": swing} for club in clubs for swing in swings],
        "ground": "normal",
        "tongue": tongue,
    }
    (engine,) = engine_says([{"whole": question}])
    rows = [row for side in card_content(charted(balls), CardDetails(), "yd")["pages"] for row in side]
    python = [
        None
        if row["gap"]
        else (row["number"], [(f"{one['club']} {one['swing']}", one["doubt"]) for one in row["shots"]])
        for row in rows
    ]
    phone = [
        None if "gap" in row else (str(row["number"]), [(one["name"], one["doubt"]) for one in row["shots"]])
        for row in engine["ladder"]
    ]
    assert phone == python
