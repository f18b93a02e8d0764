"""A child is never told to hit more than a child's day: next balls, balls to go, plans, on the phone too (`CHILD_BALLS`)."""

import shutil
from collections.abc import Sequence
from typing import Any

import numpy as np
import pytest
from benchmarks.phone_engine import engine_says
from hypothesis import given, settings
from hypothesis import strategies as st

from tests_support import chart_by_hand
from threequarter.chart.next_ball import CHILD_BALLS, Advice, Limits, advise
from threequarter.chart.plan import plan_session
from threequarter.golf.ball import Ball
from threequarter.golf.errors import UserError

CLUBS = ("46", "50", "54", "58")
SWINGS = ("knee", "waist", "chest", "shoulder", "full")
NAMED = {"advice.next", "advice.to_go"}
"""Messages that tell how many balls to hit today."""


def hit(count: int, seed: int) -> list[Ball]:
    """So many balls with the shots of the chart made by hand."""
    rng = np.random.default_rng(seed)
    shots = [("54", "waist"), ("54", "full"), ("58", "waist"), ("58", "full")]
    picked = rng.integers(0, len(shots), count)
    return [
        Ball(number=n, club=shots[k][0], swing=shots[k][1], distance_m=40.0, loft_deg=float(shots[k][0]))
        for n, k in enumerate(picked, 1)
    ]


def more_than_allowed(advice: Advice, spent: int) -> list[Any]:
    """What an advice says beyond the balls that are left of a child's day."""
    left = CHILD_BALLS - spent
    told = [one for one in advice.messages if one.code in NAMED and one.values["balls"] > max(0, left)]
    if left > 0:
        return [*told, *(one for one in advice.suggestions if one.balls > left)]
    return told if advice.state == "limit" else [*told, advice.state]


@settings(max_examples=60, deadline=None)
@given(st.integers(1, 120), st.integers(0, 10**6), st.floats(0.02, 0.12), st.floats(0.006, 0.2))
def test_no_advice_names_more_balls_than_a_child_has_left(spent: int, seed: int, spread: float, doubt: float) -> None:
    chart = chart_by_hand(spread, doubt)
    balls = hit(spent, seed)
    found = advise(chart, balls, plan=chart.cells, limits=Limits(child=True))
    if found.enough or found.endless:
        assert not any(one.code in NAMED for one in found.messages)
        return
    assert more_than_allowed(found, spent) == []


def test_a_grown_player_is_told_more_so_the_check_can_fail() -> None:
    chart = chart_by_hand(0.08, 0.1)
    assert more_than_allowed(advise(chart, hit(58, 1), plan=chart.cells), 58)


@settings(max_examples=60, deadline=None)
@given(
    st.lists(st.sampled_from(CLUBS), min_size=1, unique=True),
    st.lists(st.sampled_from(SWINGS), min_size=1, unique=True),
    st.none() | st.integers(10, 600),
    st.none() | st.integers(10, 400),
    st.floats(0.01, 0.3),
)
def test_no_plan_has_more_balls_than_a_childs_day(
    clubs: Sequence[str], swings: Sequence[str], minutes: int | None, balls: int | None, spread: float
) -> None:
    try:
        found = plan_session(clubs, swings, minutes=minutes, balls=balls, spread=spread, child=True)
    except UserError:
        return  # too little time or too few balls for any plan
    assert found.balls <= CHILD_BALLS
    for message in found.messages:
        assert message.values.get("balls", 0) <= CHILD_BALLS


@pytest.mark.skipif(shutil.which("node") is None, reason="the engine runs in node here, and node is not installed")
def test_the_phones_engine_keeps_the_same_limit() -> None:
    rng = np.random.default_rng(8)
    counts = [5, 31, 55, 58, 59, 60, 61, 75]
    told = list(engine_says({"live": asked(count, rng)} for count in counts))
    assert [one["stop"] for one in told] == [count >= CHILD_BALLS for count in counts]
    for count, one in zip(counts, told, strict=True):
        if count < CHILD_BALLS:
            assert max(block["balls"] for block in one["next"]) <= CHILD_BALLS - count
        else:
            assert one["words"][0].startswith("stop here")


def asked(count: int, rng: np.random.Generator) -> dict[str, Any]:
    """A loose bucket of so many balls, as a phone asks its engine."""
    shots = [{"club": club, "swing": swing} for club in CLUBS for swing in SWINGS[1:4]]
    typed = [
        {
            **shots[n % len(shots)],
            **{"key": f"key {n}", "n": n, "at": n, "rev": 0, "back": False, "why": "", "unit": "yd", "by": "device"},
            "carry": round(float(60 * (1 + 0.15 * rng.standard_normal())), 1),
        }
        for n in range(1, count + 1)
    ]
    plan = {"clubs": [{"label": one} for one in CLUBS], "swings": [{"label": one} for one in SWINGS[1:4]]}
    texts = {"advice.limit_child": ["stop here", "stop here", "balls"]}
    tongue = {"texts": texts, "unit": "yd", "mark": "."}
    return {
        **{"typed": typed, "known": [], "plan": plan, "shots": shots},
        "ground": "normal",
        "tongue": tongue,
        "child": True,
    }
