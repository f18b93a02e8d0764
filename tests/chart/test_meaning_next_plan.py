"""What a chart means, which ball comes next, and the plan before the first."""

from dataclasses import replace
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from tests_support import chart_by_hand
from threequarter.chart import next_ball
from threequarter.chart.fit import fit_chart
from threequarter.chart.gaps import fill
from threequarter.chart.goal import goals_m, promise_m
from threequarter.chart.meaning import meaning, told
from threequarter.chart.mishits import mishits
from threequarter.chart.mishits import told as mishits_told
from threequarter.chart.plan import plan_session
from threequarter.chart.result import Chart
from threequarter.demo import BUCKET
from threequarter.golf.ball import Ball, MeasuredBy, Strike
from threequarter.golf.errors import UserError
from threequarter.golf.message import Message
from threequarter.golf.units import YARD_M
from threequarter.intake.load import carries
from threequarter.intake.options import ReadOptions
from threequarter.language import lines


def session(centres: dict[tuple[str, str], float], balls: int, spread: float = 0.03) -> Chart:
    rng = np.random.default_rng(2)
    made = []
    for (club, swing), carry in centres.items():
        for _ in range(balls):
            distance = carry * YARD_M * np.exp(spread * rng.normal())
            made.append(
                Ball(number=len(made) + 1, club=club, swing=swing, loft_deg=float(club), distance_m=float(distance))
            )
    return fit_chart(made)


def test_numbers_that_no_stock_shot_serves_are_a_gap() -> None:
    found = meaning(session({("54", "waist"): 40, ("54", "full"): 85}, 12))
    assert len(found.gaps) == 1
    assert 42 < found.gaps[0].low_m / YARD_M < 48
    assert 76 < found.gaps[0].high_m / YARD_M < 84
    assert found.gaps[0].chance > 0.95
    assert any(line.startswith("Gap: no stock shot for") for line in lines(told(found), "yd"))


def test_a_wilder_player_has_the_gaps_of_a_steadier_one() -> None:
    centres = {("54", "waist"): 44.0, ("54", "chest"): 57.0, ("54", "shoulder"): 72.0}
    steady, wild = (
        meaning(chart_by_hand(spread=spread, shots=[(*shot, m * YARD_M) for shot, m in centres.items()]))
        for spread in (0.03, 0.12)
    )
    assert len(steady.gaps) == len(wild.gaps) == 2


def test_a_gap_is_filled_between_two_swings_of_one_club_or_by_gripping_down() -> None:
    shots = [("50", "full", 88.0), ("54", "chest", 52.0), ("54", "shoulder", 64.0), ("58", "full", 69.0)]
    (between, *_), (gripped, *_) = (fill(chart_by_hand(shots=shots), number) for number in (58.0, 83.0))
    assert (between.kind, between.club, between.swings) == ("between", "54", ("chest", "shoulder"))
    assert (gripped.kind, gripped.club, gripped.swings) == ("grip_down", "50", ("full",))
    assert gripped.carry90_m.low < 83.0 < gripped.carry90_m.high


def test_what_gripping_down_takes_off_is_learned_where_it_was_hit() -> None:
    shots = [("54", "full", 80.0), ("54", "full grip down", 70.0), ("58", "full", 74.0)]
    filler = next(one for one in fill(chart_by_hand(shots=shots), 68.0) if one.kind == "grip_down")
    assert filler.learned
    assert filler.carry_m < 0.92 * 74.0


def test_two_shots_for_one_number_are_a_double_and_steps_of_fifteen_are_not() -> None:
    found = meaning(session({("50", "waist"): 54, ("50", "full"): 105, ("58", "waist"): 42, ("58", "full"): 82}, 12))
    assert found.doubles == ()
    found = meaning(session({("50", "waist"): 53, ("50", "chest"): 66, ("58", "waist"): 43, ("58", "chest"): 53.5}, 14))
    assert [{pair.first.swing, pair.second.swing} for pair in found.doubles] == [{"waist", "chest"}]


def test_few_balls_leave_neighbours_untold() -> None:
    found = meaning(session({("54", "waist"): 50, ("54", "chest"): 53}, 2, spread=0.08))
    assert found.undecided
    assert not found.doubles


def test_the_next_ball_is_where_doubt_is_largest_and_lowers_it() -> None:
    rng = np.random.default_rng(1)
    shots = [("54", "waist", 42.0)] * 8 + [("54", "full", 85.0)]
    balls = [
        Ball(number=i, club=c, swing=s, loft_deg=54.0, distance_m=d * YARD_M * float(np.exp(0.06 * rng.normal())))
        for i, (c, s, d) in enumerate(shots, start=1)
    ]
    advice = next_ball.advise(fit_chart(balls))
    first = advice.suggestions[0]
    assert first.cell.swing == "full"
    assert first.expected_halfwidth_after_m < first.halfwidth_now_m
    assert not advice.stop
    assert advice.balls_to_go > 2
    assert first.balls > 1
    assert first.halfwidth_after_block_m < first.expected_halfwidth_after_m


def test_the_same_block_goes_on_until_it_is_hit_and_then_another_shot_comes() -> None:
    rng = np.random.default_rng(4)
    carry = {"waist": 42.0, "chest": 55.0, "full": 85.0}
    balls: list[Ball] = []
    asked: list[tuple[str, int]] = []
    for _block in range(6):
        first = next_ball.advise(
            fit_chart(balls or [typed(1, "waist", 42.0)], also=[("54", s) for s in carry]), balls
        ).suggestions[0]
        asked.append((first.cell.swing, first.balls))
        for _ball in range(first.balls):
            balls.append(
                typed(len(balls) + 1, first.cell.swing, carry[first.cell.swing] * float(np.exp(0.08 * rng.normal())))
            )
        if _block == 0:  # half a block later the advice is the rest of it
            half = balls[:-1]
            again = next_ball.advise(fit_chart(half, also=[("54", s) for s in carry]), half).suggestions[0]
            assert (again.cell.swing, again.balls) == (first.cell.swing, 1)
    assert all(one[0] != other[0] for one, other in pairwise(asked))
    assert all(count >= 2 for _shot, count in asked)


def typed(number: int, swing: str, carry_yd: float, **more: Any) -> Ball:
    return Ball(number=number, club="54", swing=swing, loft_deg=54.0, distance_m=carry_yd * YARD_M, **more)


def test_a_shot_of_the_plan_is_never_charted_from_fewer_than_three_balls() -> None:
    chart = session({("54", "waist"): 42, ("54", "chest"): 55}, 2, spread=0.01)
    advice = next_ball.advise(chart, plan=chart.cells)
    assert not advice.enough
    assert advice.balls_to_go >= 2


def test_above_one_mishit_in_four_the_strike_comes_first() -> None:
    chart = chart_by_hand(spread=0.06, doubt=0.02)
    fat = replace(chart, draws_mishit_rate=np.full(chart.draws_log_carry.shape, 0.4))
    assert next_ball.advise(chart).messages[0].code != "advice.strike_enough"
    advice = next_ball.advise(fat)
    assert advice.stop
    assert advice.messages[0].code == "advice.strike_enough"
    assert "strike" in lines(advice.messages, "yd")[0]


def test_a_chart_with_a_failed_check_is_never_enough() -> None:
    chart = session({("54", "waist"): 42, ("54", "full"): 85}, 30)
    doubtful = replace(chart, checks=(Message("chart.piles"),))
    assert next_ball.advise(chart).enough
    assert not next_ball.advise(doubtful).enough


def test_a_child_and_a_short_session_stop_at_their_limit() -> None:
    balls = [typed(n, "chest", 50 + 8 * (n % 3)) for n in range(1, 61)]
    chart = fit_chart(balls, also=[("60", "waist"), ("60", "full")])
    child = next_ball.advise(chart, balls, plan=chart.cells, limits=next_ball.Limits(child=True))
    short = next_ball.advise(chart, balls, plan=chart.cells, limits=next_ball.Limits(minutes=20))
    assert (child.state, short.state) == ("limit", "limit")
    assert child.stop
    assert not child.enough
    assert "child" in lines(child.messages, "yd")[0]


def test_expected_doubt_after_a_ball_is_what_a_ball_really_does() -> None:
    """Independent: the chart fitted again with more balls of the suggested cell, averaged over draws of them."""
    rng = np.random.default_rng(5)
    shots = [("54", "waist", 42.0)] * 6 + [("54", "full", 85.0)] * 3
    balls = [
        Ball(number=i, club=c, swing=s, loft_deg=54.0, distance_m=d * YARD_M * float(np.exp(0.05 * rng.normal())))
        for i, (c, s, d) in enumerate(shots, start=1)
    ]
    first = next_ball.advise(fit_chart(balls)).suggestions[0]
    after = []
    for _ in range(40):
        distance = first.cell.stock_carry_m * float(np.exp(0.05 * rng.normal()))
        extra = Ball(number=99, club=first.cell.club, swing=first.cell.swing, loft_deg=54.0, distance_m=distance)
        after.append(fit_chart([*balls, extra]).cell(first.cell.club, first.cell.swing).stock90_m.half)
    assert np.mean(after) == pytest.approx(first.expected_halfwidth_after_m, rel=0.2)


def test_enough_balls_say_stop() -> None:
    advice = next_ball.advise(session({("54", "waist"): 42, ("54", "full"): 85}, 30))
    assert advice.stop
    assert advice.balls_to_go == 0
    assert lines(advice.messages, "yd")[0].startswith("Good enough")


def test_the_goal_is_the_looser_of_two_yards_three_percent_and_a_third_of_the_own_spread() -> None:
    assert promise_m(30 * YARD_M) == pytest.approx(2 * YARD_M)
    assert promise_m(100 * YARD_M) == pytest.approx(3 * YARD_M)
    steady, wild = (goals_m(chart_by_hand(spread=s, shots=[("54", "full", 80.0)]))[0] for s in (0.03, 0.12))
    assert steady == pytest.approx(promise_m(80.0))
    assert wild == pytest.approx(1.645 * 0.12 * 80.0 / 3)


def test_a_plan_begins_with_one_wedge_and_asks_wilder_players_for_more() -> None:
    steady, wild = (plan_session(["50", "54", "58"], ["waist", "chest"], spread=s) for s in (0.04, 0.10))
    assert len({cell.club for cell in steady.cells[:2]}) == 1
    assert steady.balls < wild.balls
    assert {(cell.club, cell.swing) for cell in wild.cells} == {
        (c, s) for c in ("50", "54", "58") for s in ("waist", "chest")
    }
    assert steady.minutes > 0
    assert all(cell.balls >= 3 for cell in steady.cells)


def test_a_plan_comes_back_to_each_shot_in_a_second_round() -> None:
    plan = plan_session(["50", "54"], ["waist", "chest"])
    first, second = ({(c.club, c.swing) for c in part} for part in plan.rounds)
    assert first == second
    assert sum(c.balls for part in plan.rounds for c in part) == plan.balls - plan.warm_up


def test_a_plan_keeps_to_the_minutes_and_the_balls_and_says_what_it_leaves() -> None:
    whole = plan_session(["50", "54", "58"], ["waist", "chest", "shoulder"], spread=0.1)
    short = plan_session(["50", "54", "58"], ["waist", "chest", "shoulder"], spread=0.1, minutes=20, balls=40)
    assert whole.minutes > 20
    assert short.minutes <= 20
    assert short.balls <= 40
    assert short.left_out
    assert not short.enough
    assert all(cell.balls >= 3 for cell in short.cells)
    junior = plan_session(["54", "60"], ["waist", "full"], full_m=40 * YARD_M, child=True)
    assert junior.balls <= next_ball.CHILD_BALLS


def test_a_plan_needs_a_club_and_a_believable_spread() -> None:
    for given, code in (
        ({"clubs": []}, "plan.nothing"),
        ({"spread": 0.9}, "plan.spread"),
        ({"minutes": 3}, "plan.minutes"),
        ({"balls": 2}, "plan.balls"),
        ({"full_m": 400.0}, "plan.full"),
    ):
        wished: dict[str, Any] = {"clubs": ["54"], "swings": ["waist"], **given}
        with pytest.raises(UserError) as refused:
            plan_session(**wished)
        assert refused.value.args[0].code == code


def test_the_demo_shows_a_gap_and_doubles() -> None:
    balls, unit, _ = carries(Path(BUCKET), ReadOptions())
    found = meaning(fit_chart(balls))
    assert unit == "yd"
    assert found.gaps
    assert found.doubles


def test_mishits_are_counted_so_that_the_counts_add_up() -> None:
    balls = [typed(n, "chest", 55 + n % 4) for n in range(1, 11)]
    balls[2] = typed(3, "chest", 38, strike=Strike.FAT)
    balls[5] = typed(6, "chest", 52, strike=Strike.HEAVY)
    balls.append(typed(11, "chest", 30, use=False))
    found = mishits(fit_chart(balls), balls)
    assert (found.read, found.charted, found.unused) == (11, 10, 1)
    assert found.noted == {"fat": 1, "heavy": 1}
    assert found.called == 1 + sum(found.inferred.values())
    assert found.share is not None
    assert any("Noted: 1 fat, 1 heavy (usable)." in line for line in lines(mishits_told(found), "yd"))


def test_piles_tell_nothing_of_mishits() -> None:
    pile = typed(1, "chest", 55, count=10, measured_by=MeasuredBy.PILE)
    found = mishits(fit_chart([pile]), [pile])
    assert found.share is None
    assert lines(mishits_told(found), "yd") == ["Mishits: piles cannot show them."]
