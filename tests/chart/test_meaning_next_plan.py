"""What a chart means, which ball comes next, and the plan before the first."""

from pathlib import Path

import numpy as np
import pytest

from threequarter.chart import next_ball
from threequarter.chart.fit import fit_chart
from threequarter.chart.meaning import goal_m, meaning, say
from threequarter.chart.plan import plan_session
from threequarter.chart.result import Chart
from threequarter.demo import BUCKET
from threequarter.golf.ball import Ball
from threequarter.golf.errors import UserError
from threequarter.golf.units import YARD_M
from threequarter.intake.load import carries
from threequarter.intake.options import ReadOptions


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


def test_a_gap_no_ball_reaches_is_a_hole() -> None:
    found = meaning(session({("54", "waist"): 40, ("54", "full"): 85}, 12))
    assert len(found.holes) == 1
    assert 42 < found.holes[0].low_m / YARD_M < 48
    assert 76 < found.holes[0].high_m / YARD_M < 84
    assert found.holes[0].chance > 0.95
    assert any(line.startswith("Hole: nothing lands at") for line in say(found, "yd"))


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
    assert next_ball.say(advice, "yd")[0].startswith("Good enough")


def test_the_goal_is_the_looser_of_two_yards_and_three_percent() -> None:
    assert goal_m(30 * YARD_M) == pytest.approx(2 * YARD_M)
    assert goal_m(100 * YARD_M) == pytest.approx(3 * YARD_M)


def test_a_plan_begins_with_one_wedge_and_asks_wilder_players_for_more() -> None:
    steady, wild = (plan_session(["50", "54", "58"], ["waist", "chest"], spread=s) for s in (0.04, 0.10))
    assert len({cell.club for cell in steady.cells[:2]}) == 1
    assert steady.balls < wild.balls
    assert {(cell.club, cell.swing) for cell in wild.cells} == {
        (c, s) for c in ("50", "54", "58") for s in ("waist", "chest")
    }
    assert steady.minutes > 0


def test_a_plan_needs_a_club_and_a_believable_spread() -> None:
    with pytest.raises(UserError, match="at least one club"):
        plan_session([], ["waist"])
    with pytest.raises(UserError, match="outside 1 to 30 %"):
        plan_session(["54"], ["waist"], spread=0.9)


def test_the_demo_shows_a_hole_and_doubles() -> None:
    balls, unit, _ = carries(Path(BUCKET), ReadOptions())
    found = meaning(fit_chart(balls))
    assert unit == "yd"
    assert len(found.holes) == 1
    assert len(found.doubles) == 2
