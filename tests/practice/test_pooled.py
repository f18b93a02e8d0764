"""Several days as one chart: each brought to one air first, and each told against the whole."""

import datetime

import numpy as np
import pytest

from threequarter.flight.weather import Weather
from threequarter.golf.ball import Ball
from threequarter.golf.errors import UserError
from threequarter.language import lines
from threequarter.practice.pooled import DayBalls, pool

SHOTS = (("54", "waist", 40.0), ("54", "chest", 58.0), ("58", "waist", 36.0), ("58", "chest", 52.0))
MILD = Weather(temp_c=18.0, altitude_m=0.0, humidity=50.0, wind_mps=0.0)


def balls(rng: np.random.Generator, times: float) -> list[Ball]:
    return [
        Ball(number=n, club=club, swing=swing, distance_m=float(carry * times * np.exp(0.04 * rng.standard_normal())))
        for n, (club, swing, carry) in enumerate(SHOTS * 8, start=1)
    ]


def test_a_day_that_went_further_is_told_and_the_pooled_carry_lies_between() -> None:
    rng = np.random.default_rng(2)
    days = [
        DayBalls(day=datetime.date(2026, month, 1), balls=balls(rng, times), weather=MILD)
        for month, times in ((5, 0.97), (6, 1.03))
    ]
    found = pool(days[::-1])
    early, late = found.days
    assert early.day < late.day
    assert early.shift is not None
    assert late.shift is not None
    assert early.shift90 is not None
    assert early.shift90.high < 0 < late.shift
    carry = found.chart.cell("54", "chest").stock_carry_m
    assert carry == pytest.approx(58.0, rel=0.02)
    assert [ball.number for ball in found.balls] == list(range(1, 65))


def test_two_days_that_differ_leave_more_doubt_than_one_day_of_as_many_balls() -> None:
    rng = np.random.default_rng(8)
    apart = [
        DayBalls(day=datetime.date(2026, 5, d), balls=balls(rng, times), weather=Weather())
        for d, times in ((1, 0.96), (2, 1.04))
    ]
    alike = [DayBalls(day=datetime.date(2026, 5, d), balls=balls(rng, 1.0), weather=Weather()) for d in (1, 2)]
    wide, narrow = (pool(days).chart.cell("54", "chest").stock90_m.half for days in (apart, alike))
    assert wide > narrow


def test_known_weather_is_taken_out_and_said() -> None:
    rng = np.random.default_rng(3)
    same = balls(rng, 1.0)
    cold = Weather(temp_c=2.0, altitude_m=0.0, humidity=50.0, wind_mps=0.0)
    mild = DayBalls(day=datetime.date(2026, 5, 9), balls=same, weather=MILD)
    found = pool([DayBalls(day=datetime.date(2026, 1, 9), balls=same, weather=cold), mild])
    assert found.balls[1].distance_m > same[1].distance_m  # the same strikes fly further in milder air
    assert any("Day 1" in line for line in lines(found.said))


def test_no_ball_no_chart() -> None:
    with pytest.raises(UserError, match="no_ball"):
        pool([])
