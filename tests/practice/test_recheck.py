"""The recheck: error rates on players who did not change, and on players who did. Charts here are made by hand."""

import numpy as np
import pytest

from threequarter.chart.result import Cell, Chart, Interval
from threequarter.golf.ball import Ball
from threequarter.language import lines
from threequarter.practice.recheck import DAY_SD, recheck, told

SHOTS = (("54", "waist", 40.0), ("54", "full", 78.0), ("58", "waist", 35.0), ("58", "full", 68.0))


def old_chart(rng: np.random.Generator, spread: float, doubt: float = 0.015) -> tuple[Chart, list[float]]:
    """A chart with doubt, and the player's true carries drawn from it."""
    centre = np.log([carry for _, _, carry in SHOTS])
    draws = centre + doubt * rng.standard_normal((300, len(SHOTS)))
    cells = tuple(
        Cell(
            club=c,
            swing=s,
            loft_deg=float(c),
            balls=10,
            readings=10,
            stock_carry_m=m,
            stock90_m=Interval(m * 0.97, m * 1.03),
            next90_m=Interval(m * 0.9, m * 1.1),
            another_day90_m=Interval(m * 0.95, m * 1.05),
            next_another_day90_m=Interval(m * 0.89, m * 1.11),
            good_sd_m=spread * m,
            mishit_rate=0.12,
            mishit_rate90=Interval(0.05, 0.2),
        )
        for c, s, m in SHOTS
    )
    chart = Chart(
        cells=cells,
        verdicts=(),
        clubs=("54", "58"),
        swings=("waist", "full"),
        draws_log_carry=draws,
        draws_log_sd=np.full(draws.shape, np.log(spread)),
        draws_mishit_rate=np.full(draws.shape, 0.12),
        another_day_sd=0.025,
        shared_sd=np.zeros(len(SHOTS)),
        tail_df=9.0,
    )
    return chart, list(np.exp(centre + doubt * rng.standard_normal(len(SHOTS))))


def new_balls(rng: np.random.Generator, true: list[float], spread: float, count: int, move: float) -> list[Ball]:
    day = DAY_SD * rng.standard_normal()
    balls = []
    for i in range(count):
        club, swing, _ = SHOTS[i % len(SHOTS)]
        log_carry = np.log(true[i % len(SHOTS)] * (1 + move)) + day + spread * rng.standard_normal()
        if rng.random() < 0.12:
            log_carry -= abs(0.3 + 0.15 * rng.standard_normal())
        balls.append(
            Ball(number=i + 1, club=club, loft_deg=float(club), swing=swing, distance_m=float(np.exp(log_carry)))
        )
    return balls


def verdicts(move: float, spread: float, players: int, most: int) -> tuple[list[str], list[int]]:
    """The first firm verdict of each player, looking after every fourth ball, and the balls it took."""
    rng = np.random.default_rng(17)
    said, taken = [], []
    for _ in range(players):
        chart, true = old_chart(rng, spread)
        balls = new_balls(rng, true, spread, most, move)
        verdict, n = "not known yet", most
        for n in range(4, most + 1, 4):
            verdict = recheck(chart, balls[:n]).whole.verdict
            if verdict != "not known yet":
                break
        said.append(verdict)
        taken.append(n)
    return said, taken


@pytest.mark.slow
def test_false_alarms_are_rare_and_it_answers_in_two_of_three_cases() -> None:
    still, _ = verdicts(0.0, 0.05, 120, 24)
    moved, taken = verdicts(0.08, 0.05, 120, 24)
    assert still.count("moved") <= 0.05 * 120
    assert moved.count("holds") <= 0.10 * 120
    assert still.count("holds") >= 0.66 * 120
    assert moved.count("moved") >= 0.66 * 120
    assert np.mean(taken) < 20


def test_a_clear_move_is_said_with_its_size() -> None:
    rng = np.random.default_rng(3)
    chart, true = old_chart(rng, 0.05)
    result = recheck(chart, new_balls(rng, true, 0.05, 24, 0.15))
    assert result.verdict == "moved"
    assert result.whole.ratio90.low < 0.15 < result.whole.ratio90.high + 0.03
    assert result.whole.moved_m > 4
    assert any(one.code == "recheck.take_off" for one in told(result))


def test_two_balls_are_not_enough_and_say_which_to_hit() -> None:
    rng = np.random.default_rng(3)
    chart, true = old_chart(rng, 0.08)
    result = recheck(chart, new_balls(rng, true, 0.08, 2, 0.0))
    assert result.verdict == "not known yet"
    assert result.more
    assert any(line.startswith("To find out, hit 2 with the") for line in lines(told(result), "yd"))


def test_balls_of_other_clubs_are_left_out_and_counted() -> None:
    chart, _ = old_chart(np.random.default_rng(1), 0.05)
    result = recheck(chart, [Ball(number=1, club="7 iron", swing="full", distance_m=140.0)])
    assert (result.verdict, result.left_out) == ("not known yet", 1)
