"""The phone's engine says what Python says: of sessions of every kind, of balls typed in every way, in the same words."""

import json
import shutil
from collections.abc import Mapping
from dataclasses import replace
from typing import Any, Final

import pytest
from benchmarks.phone_engine import PLAN, apart, beyond, engine_answers, engine_says, plain, plan_of, simulated
from scripts.engine_constants import ENGINE, run_outs, written

from threequarter.app.charts import answered
from threequarter.measurement.carry import to_carry
from threequarter.store.balls.phone_ball_parser import ball_of
from threequarter.web.pages.keys.context import filling
from threequarter.web.pages.keys.texts import engine_texts

pytestmark = pytest.mark.skipif(
    shutil.which("node") is None, reason="the engine runs in node here, and node is not installed"
)
WAYS: Final[tuple[Mapping[str, Any], ...]] = (
    {"by": "device", "unit": "yd", "carry": 61},
    {"by": "laser", "unit": "m", "carry": 55.5, "side": -4},
    {"by": "paces", "unit": "paces", "carry": 64, "step": [112, 100]},
    {"by": "paces", "unit": "paces", "carry": 40},
    {"by": "pile", "unit": "yd", "carry": 48, "count": 7},
    {"by": "position", "unit": "m", "carry": 70, "radius_m": 4, "start_radius_m": 6},
    {"by": "laser", "unit": "yd", "carry": 22, "club": "GW", "strike": "fat"},
    {"by": "laser", "unit": "yd", "carry": 90, "club": "my old one"},
    {"by": "laser", "unit": "yd", "carry": 80, "club": "52.5"},
)


def typed(way: Mapping[str, Any], n: int = 0) -> dict[str, Any]:
    """A ball as a phone keeps it."""
    return {"club": "54", "swing": "waist", "key": f"key {n}", **way}


def test_sessions_of_every_kind_get_the_same_answer() -> None:
    sessions = [session for _name, session in simulated(5, seed=3)]
    for session, engine in zip(sessions, engine_answers(sessions), strict=True):
        assert beyond(session, engine)[0] == []


def test_another_ball_is_another_answer() -> None:
    balls, plan = next(session for _name, session in simulated(1, seed=5))
    (engine,) = engine_answers([(balls[:-1], plan)])
    assert beyond((balls, plan), engine)[0] != []


@pytest.mark.parametrize("ground", ["soft", "normal", "firm"])
def test_every_way_to_measure_comes_to_the_same_carry(ground: Any) -> None:
    told = [typed(way) for way in WAYS]
    (engine,) = engine_says([{"typed": told, "ground": ground}])
    carried, _notes = to_carry([ball_of(one) for one in told], ground)
    for here, there in zip(carried, engine, strict=True):
        for name in ("distance_m", "error_sd_m", "shared_sd_m", "rounding_m", "offline_m", "count"):
            mine = getattr(here, name)
            assert there[name] == (mine if mine is None else pytest.approx(mine, abs=0.04)), (here.club, name)


def test_the_keys_show_the_same_in_the_same_words() -> None:
    told = [
        typed({"by": "device", "unit": "yd", "carry": carry, "swing": swing, "club": club}, n)
        for n, (club, swing, carry) in enumerate(
            [("54", "waist", c) for c in (41, 43, 42, 30, 44)] + [("58", "chest", c) for c in (44, 45, 47)]
        )
    ]
    balls = tuple(replace(ball_of(one), number=n) for n, one in enumerate(told, 1))
    found = answered(balls, "yd", "normal", plan=PLAN)
    shots = [("54", "waist"), ("54", "chest"), ("58", "waist"), ("58", "chest")]
    python = filling(found.answer, shots, "yd")
    tongue = {"texts": engine_texts(), "unit": "yd", "mark": "."}
    asked = {"typed": told, "known": [], "plan": plan_of(PLAN), "ground": "normal", "tongue": tongue}
    (engine,) = engine_says([{"live": asked | {"shots": [{"club": club, "swing": swing} for club, swing in shots]}}])
    assert [place for place, off in apart(plain(python), engine) if off > 0] == []


def test_the_constants_are_those_of_python() -> None:
    assert (ENGINE / "constants.js").read_text(encoding="utf-8") == written(tables=False)["constants.js"]
    text = (ENGINE / "run_outs.js").read_text(encoding="utf-8")
    for ground, clubs in run_outs(lofts=(54,)).items():
        for club, rows in clubs.items() if isinstance(clubs, dict) else ():
            assert f'"{club}":{json.dumps(rows, separators=(",", ":"))}' in text, ground
