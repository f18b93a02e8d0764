"""How well distances are known: the sums by hand, and intervals that hold nine times in ten (simulated)."""

import datetime

import numpy as np
import pytest

from threequarter.language import lines
from threequarter.paper.pictures.guess_picture import guess_picture
from threequarter.practice.guessing import Guess, guessing, messages

START = datetime.date(2026, 3, 2)


def day(week: int) -> datetime.date:
    return START + datetime.timedelta(weeks=week)


def test_the_sums_are_those_done_by_hand() -> None:
    found = guessing(
        [
            Guess(day=day(week), error_m=error)
            for week, errors in enumerate(((4, 6), (1, 3), (-1, 1)))
            for error in errors
        ]
    )
    assert found is not None
    assert [one.mean_error_m for one in found.days] == [5, 2, 0]
    assert [one.mean_miss_m for one in found.days] == [5, 2, 1]
    assert found.mean_error_m == pytest.approx(7 / 3)
    assert found.mean_miss_m == pytest.approx(16 / 6)
    assert found.trend_m == pytest.approx(-2.0)  # misses 5, 2, 1: least squares by hand
    assert found.trend90_m is not None
    # residuals 1/3, -2/3, 1/3: s^2 = 2/3, slope SE = sqrt(2/3 / 2) = 0.577; t(1 df, 95 %) = 6.314 (any t table)
    assert found.trend90_m.half == pytest.approx(6.314 * 0.57735, rel=1e-3)


def test_too_few_days_claim_nothing() -> None:
    assert guessing([]) is None
    found = guessing([Guess(day=day(0), error_m=3.0), Guess(day=day(0), error_m=5.0)])
    assert found is not None
    assert (found.mean_error90_m, found.trend_m) == (None, None)
    assert "three days" in " ".join(lines(messages(found), "yd"))
    assert "<svg" in guess_picture(found, "yd")


def test_intervals_hold_nine_times_in_ten_for_players_with_good_and_bad_days() -> None:
    rng = np.random.default_rng(7)
    held = {"mean": 0, "trend": 0}
    rounds = 600
    for _ in range(rounds):
        of_days = rng.normal(2.0, 1.5, 8)  # a player who thinks 2 m too far, some days more
        found = guessing(
            [
                Guess(day=day(week), error_m=float(rng.normal(mean, 3.0)))
                for week, mean in enumerate(of_days)
                for _ in range(10)
            ]
        )
        assert found is not None
        assert found.mean_error90_m is not None
        assert found.trend90_m is not None
        held["mean"] += found.mean_error90_m.low <= 2.0 <= found.mean_error90_m.high
        held["trend"] += found.trend90_m.low <= 0.0 <= found.trend90_m.high
    for name, count in held.items():
        assert 0.87 <= count / rounds <= 0.93, (name, count / rounds)


def test_what_is_known_is_said_and_what_is_not_is_not() -> None:
    rng = np.random.default_rng(3)
    better = guessing(
        [Guess(day=day(week), error_m=float(rng.normal(6 - week, 0.6))) for week in range(6) for _ in range(8)]
    )
    same = guessing([Guess(day=day(week), error_m=float(rng.normal(0, 3))) for week in range(6) for _ in range(8)])
    assert better is not None
    assert same is not None
    assert "Getting better" in " ".join(lines(messages(better), "m"))
    assert "further than they do" in " ".join(lines(messages(better), "m"))
    assert "No trend" in " ".join(lines(messages(same), "m"))
    assert "Too long as often as too short so far" in " ".join(lines(messages(same), "m"))
