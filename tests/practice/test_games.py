"""Practice with a chart: bands are the player's own, and a pass mark is what that player reaches in three tries of four."""

import numpy as np
import pytest

from tests_support import chart_by_hand
from threequarter.golf.errors import UserError
from threequarter.practice.call import target_for
from threequarter.practice.games import call_of, homework, in_a_row, ladder, pass_mark, usual_inside


def test_a_ball_hit_as_the_chart_says_is_inside_as_often_as_told() -> None:
    """Drawn from the cell's own spread: the share inside is the chance that stands beside it."""
    chart, rng = chart_by_hand(), np.random.default_rng(3)
    call = call_of(chart, target_for(chart, 42.0))
    cell = chart.cell(call.target.club, call.target.swing)
    sd = np.hypot(cell.good_sd_m, cell.stock90_m.half / 1.645)
    ended = cell.stock_carry_m + sd * rng.normal(size=4000)
    good = np.mean(np.abs(ended - 42.0) <= call.half_m)
    assert call.inside == pytest.approx(good * (1 - cell.mishit_rate), abs=0.02)


def test_a_ladder_goes_up_and_down_three_lengths_of_one_wedge_and_says_where_there_is_none() -> None:
    chart = chart_by_hand(
        shots=[("54", "waist", 37.0), ("54", "chest", 48.0), ("54", "shoulder", 57.0), ("54", "full", 78.0)]
    )
    calls = ladder(chart, 9)
    assert len({call.target.club for call in calls}) == 1
    carries = [call.target.carry_m for call in calls]
    assert carries[:5] == [*sorted(set(carries)), carries[1], carries[0]]
    with pytest.raises(UserError, match=r"practice\.no_ladder"):
        ladder(chart.only(chart.cells[0].club, chart.cells[0].swing), 9)


def test_three_in_a_row_is_one_shot_at_its_own_number() -> None:
    chart = chart_by_hand()
    calls = in_a_row(chart, chart.cells[0].club, chart.cells[0].swing)
    assert {call.target.carry_m for call in calls} == {chart.cells[0].stock_carry_m}
    assert 0 < usual_inside(calls) < len(calls)


def test_a_pass_mark_is_reached_in_three_tries_of_four() -> None:
    rng = np.random.default_rng(4)
    for inside in (0.35, 0.6, 0.85):
        mark = pass_mark(inside, 10)
        tries = rng.binomial(10, inside, size=4000)
        assert (tries >= mark).mean() >= 0.73
        assert (tries >= mark + 1).mean() < 0.77
    assert pass_mark(0.0, 10) == 1


def test_homework_is_of_shots_that_were_hit_and_its_bands_are_the_chart_s() -> None:
    chart = chart_by_hand()
    found = homework(chart)
    assert 1 <= len(found) <= 3
    for one in found:
        cell = chart.cell(one.club, one.swing)
        assert cell.balls
        assert one.band_m == cell.next_another_day90_m  # as on the card
        assert 1 <= one.pass_mark <= one.balls
