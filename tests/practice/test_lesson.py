"""A lesson as one: swings find their balls, and what is called a change holds nine times in ten (simulated players)."""

import math
from dataclasses import replace

import numpy as np
import pytest
from scipy import stats

from tests_support import chart_by_hand
from threequarter.chart.result import Verdict
from threequarter.golf.ball import Ball
from threequarter.practice.lesson import Pair, best_on_film, carry_changes, pair_up, swing_changes


def balls_of(pairs: tuple[Pair, ...]) -> list[int | None]:
    return [pair.ball for pair in pairs]


def test_without_times_swings_and_balls_go_in_order_and_one_word_by_hand_moves_what_follows() -> None:
    assert balls_of(pair_up([None] * 3, [None] * 4)) == [0, 1, 2]
    said = pair_up([None] * 4, [None] * 6, {1: 3})
    assert balls_of(said) == [0, 3, 4, 5]
    assert [pair.how for pair in said] == ["in order", "by hand", "in order", "in order"]
    assert balls_of(pair_up([None] * 3, [None] * 3, {0: None})) == [None, 0, 1]
    assert balls_of(pair_up([None] * 4, [None] * 2)) == [0, 1, None, None]
    assert pair_up([], [None]) == ()


def test_with_times_a_swing_without_a_ball_and_a_ball_without_a_swing_are_left_alone() -> None:
    swings = [0.0, 40.0, 80.0, 120.0, 160.0]
    balls = [18.0, 62.0, 140.0, 178.0, 400.0]  # nothing was typed for the third swing; the last ball was not filmed
    found = pair_up(swings, balls)
    assert balls_of(found) == [0, 1, None, 2, 3]
    assert {pair.how for pair in found} == {"by time"}


def test_balls_typed_in_one_go_or_hours_away_say_nothing_by_their_times() -> None:
    in_one_go = pair_up([0.0, 30.0, 60.0], [200.0, 200.5, 201.0])
    assert [pair.how for pair in in_one_go] == ["in order"] * 3
    assert balls_of(in_one_go) == [0, 1, 2]
    assert [pair.how for pair in pair_up([0.0, 30.0], [9000.0, 9030.0])] == ["in order"] * 2


def test_simulated_lessons_are_joined_almost_without_a_mistake_by_time() -> None:
    rng = np.random.default_rng(11)
    right = total = 0
    for _ in range(60):
        hit = np.cumsum(rng.uniform(22, 60, 12))
        filmed, typed = rng.random(12) < 0.8, rng.random(12) < 0.9
        typed_at = hit + rng.uniform(4, 20, 12)
        swings, balls = np.flatnonzero(filmed), np.flatnonzero(typed)
        if len(swings) < 2 or len(balls) < 2:
            continue
        found = pair_up([float(hit[i]) for i in swings], [float(typed_at[j]) for j in balls])
        for pair in found:
            truth = int(np.searchsorted(balls, swings[pair.swing])) if swings[pair.swing] in balls else None
            right, total = right + (pair.ball == truth), total + 1
    assert right / total > 0.95


def test_the_best_ball_on_film_is_the_good_one_nearest_the_players_own_number() -> None:
    chart = chart_by_hand()
    balls = [
        Ball(number=n, club="54", swing="waist", distance_m=m) for n, m in enumerate((30.0, 42.4, 45.0, 42.1), start=1)
    ]
    verdicts = tuple(Verdict(number=n, good=0.05 if n == 4 else 0.95, fat=0, thin=0, toe=0) for n in range(1, 5))
    (best,) = best_on_film(replace(chart, verdicts=verdicts), balls, pair_up([None] * 4, [None] * 4))
    assert (best.ball, best.swing) == (1, 1)
    assert best.cell.swing == "waist"


def _session(
    rng: np.random.Generator, shift: float, spread: tuple[float, float], n: int
) -> tuple[list[Ball], list[bool]]:
    balls, late = [], []
    for k in range(n):
        club, swing, carry = (("54", "waist", 42.0), ("54", "full", 78.0), ("58", "full", 68.0))[int(rng.integers(3))]
        side = k >= n // 2
        t = rng.standard_t(9) * math.sqrt(7 / 9)
        balls.append(
            Ball(number=k + 1, club=club, swing=swing, distance_m=carry * math.exp(shift * side + spread[side] * t))
        )
        late.append(side)
    return balls, late


def test_changes_of_carry_and_spread_hold_nine_times_in_ten_on_simulated_lessons() -> None:
    rng = np.random.default_rng(3)
    chart = chart_by_hand()
    held = {"carry": 0, "spread": 0}
    runs = 600
    for _ in range(runs):
        balls, late = _session(rng, 0.03, (0.06, 0.045), 36)
        good = replace(chart, verdicts=tuple(Verdict(number=b.number, good=1, fat=0, thin=0, toe=0) for b in balls))
        found = {change.measure: change for change in carry_changes(good, balls, late)}
        held["carry"] += found["carry"].change90.low <= 0.03 <= found["carry"].change90.high
        held["spread"] += found["spread"].change90.low <= 0.045 / 0.06 - 1 <= found["spread"].change90.high
    for share in held.values():
        assert 0.875 <= share / runs <= 0.935


def test_no_change_is_called_one_at_most_once_in_ten_and_a_large_one_is_called() -> None:
    rng = np.random.default_rng(4)
    called = 0
    for _ in range(300):
        swings = [
            {"lead_arm_top_deg": float(rng.normal(90, 6)), "doubt90": {"lead_arm_top_deg": 3.4}} for _ in range(12)
        ]
        (change,) = swing_changes(swings, [""] * 12, [1] * 12, [i >= 6 for i in range(12)])
        called += change.told
    assert called / 300 < 0.14
    swings = [
        {"lead_arm_top_deg": 90.0 + i % 3 + (25 if i >= 6 else 0), "doubt90": {"lead_arm_top_deg": 3.4}}
        for i in range(12)
    ]
    (change,) = swing_changes(swings, [""] * 12, [1] * 12, [i >= 6 for i in range(12)])
    assert change.told
    assert change.change == pytest.approx(25)
    (apart,) = swing_changes(swings, [""] * 12, [1] * 6 + [2] * 6, [i >= 6 for i in range(12)])
    assert apart.change90.half > 2 * change.change90.half  # two films: the camera's own doubt counts
    (same,) = swing_changes(swings, ["waist"] * 3 + ["full"] * 3 + ["full"] * 6, [1] * 12, [i >= 6 for i in range(12)])
    assert same.counts == (3, 6)  # each length is compared with itself only


def test_mishits_by_newcombe_agree_with_his_own_example() -> None:
    """Reference: Newcombe 1998 (Statistics in Medicine 17, 873), table II, method 10: 56/70 - 48/80, 95 %: 0.0524 to 0.3339."""
    from threequarter.practice import lesson

    level = lesson.LEVEL
    try:
        lesson.LEVEL = 0.95  # type: ignore[misc]
        change = lesson._share("mishits", [True] * 48 + [False] * 32, [True] * 56 + [False] * 14)
    finally:
        lesson.LEVEL = level  # type: ignore[misc]
    assert change is not None
    assert change.change90.low == pytest.approx(0.0524, abs=2e-4)
    assert change.change90.high == pytest.approx(0.3339, abs=2e-4)
    assert stats.norm.ppf(0.975) == pytest.approx(1.96, abs=1e-3)


def test_too_few_balls_say_nothing() -> None:
    balls = [
        Ball(number=1, club="54", swing="waist", distance_m=42.0),
        Ball(number=2, club="54", swing="waist", distance_m=43.0),
    ]
    chart = replace(chart_by_hand(), verdicts=tuple(Verdict(number=n, good=1, fat=0, thin=0, toe=0) for n in (1, 2)))
    assert carry_changes(chart, balls, [False, True]) == ()
    assert swing_changes([], [], [], []) == ()
