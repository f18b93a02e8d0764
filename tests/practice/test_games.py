"""Practice with a chart: bands are the player's own, and a pass mark is what that player reaches in three tries of four."""

import numpy as np
import pytest

from tests_support import chart_by_hand
from threequarter.chart.result import Chart
from threequarter.golf.errors import UserError
from threequarter.practice.call import target_for
from threequarter.practice.games import (
    Call,
    call_of,
    game,
    homework,
    in_a_row,
    ladder,
    pass_mark,
    placed,
    usual_inside,
)


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


def played(loft_sd: dict[str, float], rounds: int, rng: np.random.Generator) -> list[str]:
    """Who wins each of many games, every ball drawn as the player's own chart says, mishits among them."""
    charts = {who: chart_by_hand(spread=sd) for who, sd in loft_sd.items()}
    won = []
    for _round in range(rounds):
        turns = game(charts, 5, rng)
        ended = [_drawn(charts[turn.who], turn.call, rng) for turn in turns]
        table = placed(turns, ended)
        assert table[0].ahead >= table[-1].ahead
        won.append(table[0].who)
    return won


def _drawn(chart: Chart, call: Call, rng: np.random.Generator) -> float:
    cell = chart.cell(call.target.club, call.target.swing)
    if rng.random() < cell.mishit_rate:
        return 0.6 * cell.stock_carry_m
    return cell.stock_carry_m + float(np.hypot(cell.good_sd_m, cell.stock90_m.half / 1.645)) * rng.normal()


def test_in_a_game_a_wild_player_wins_as_often_as_a_tight_one() -> None:
    won = played({"tight": 0.03, "wild": 0.12}, 150, np.random.default_rng(11))
    assert 45 <= won.count("wild") <= 105  # half of 150, four and a half standard deviations to each side


def test_a_game_goes_in_turn_and_is_for_two_to_eight() -> None:
    charts = {who: chart_by_hand() for who in ("Ida", "Max", "Pip")}
    turns = game(charts, 4, np.random.default_rng(1))
    assert [turn.who for turn in turns] == ["Ida", "Max", "Pip"] * 4
    half = placed(turns, [turn.call.target.carry_m for turn in turns[:4]])
    assert {one.who: (one.balls, one.inside) for one in half} == {"Ida": (2, 2), "Max": (1, 1), "Pip": (1, 1)}
    for count in (1, 9):
        with pytest.raises(UserError, match=r"practice\.game_players"):
            game({str(n): charts["Ida"] for n in range(count)}, 4, np.random.default_rng(1))
    with pytest.raises(UserError, match=r"practice\.not_hit"):
        placed(turns, [None] * len(turns))
