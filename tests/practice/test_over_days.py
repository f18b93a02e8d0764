"""What changed over the days, on invented balls whose mishits, spread and carry are known, and one interval from a paper."""

import datetime
from collections.abc import Sequence

import numpy as np
import pytest

from threequarter.chart.fit import fit_chart
from threequarter.chart.mishits import mishits
from threequarter.chart.result import Interval
from threequarter.flight.weather import Weather
from threequarter.golf.ball import Ball, Carried, Strike
from threequarter.practice.lesson import wilson
from threequarter.practice.over_days import DayValue, OverDays, day_spread, of_balls, of_swings
from threequarter.practice.pooled import DayBalls, pool
from threequarter.practice.through_time import DayCount

DAYS = (datetime.date(2026, 4, 18), datetime.date(2026, 5, 9))


def value(day: int, middle: float, low: float, high: float) -> DayValue:
    return DayValue(day=DAYS[day], value=middle, range90=Interval(low, high), count=20)


def hit(day: int, sds: float, fat: int, seed: int) -> DayBalls:
    """Twenty waist swings of a 54 about 40 m with a spread in metres; of the first `fat` it was noted that they were fat."""
    carries = 40 + sds * np.random.default_rng(seed).standard_normal(20)
    return DayBalls(
        day=DAYS[day],
        balls=tuple(
            Carried.of(
                Ball(number=n, club="54", swing="waist", distance_m=c - (9 if n <= fat else 0), strike=said(n, fat))
            )
            for n, c in enumerate(carries, start=1)
        ),
        weather=Weather(),
    )


def said(n: int, fat: int) -> Strike | None:
    return Strike.FAT if n <= fat else None


def over(days: Sequence[DayBalls]) -> dict[str, OverDays]:
    found = pool(days)
    return {one.measure: one for one in of_balls(found.chart, found.balls, DAYS, found.days, counts(days))}


def counts(days: Sequence[DayBalls]) -> list[DayCount]:
    """The mishits of each day by its own chart."""
    found = [(one.day, mishits(fit_chart(one.balls), one.balls)) for one in days]
    return [DayCount(day=day, mishits=bad.called, balls=bad.seen) for day, bad in found]


def test_fewer_mishits_and_a_tighter_spread_are_told() -> None:
    found = over([hit(0, 2.6, 9, 1), hit(1, 0.8, 0, 2)])
    assert set(found) == {"mishits", "spread", "carry"}
    assert found["mishits"].told == "less"
    assert [round(one.value * one.count) for one in found["mishits"].points] == [9, 0]
    assert found["spread"].told == "less"
    assert found["spread"].points[1].value == pytest.approx(0.8 / 40, rel=0.35)


def test_two_days_alike_are_chance_and_one_day_is_no_picture() -> None:
    alike = over([hit(0, 1.5, 2, 3), hit(1, 1.5, 2, 3)])
    assert {one.told for one in alike.values()} == {"chance"}
    days = [hit(0, 1.5, 2, 3)]
    alone = pool(days)
    assert of_balls(alone.chart, alone.balls, DAYS[:1], alone.days, counts(days)) == ()


def test_the_interval_of_a_change_is_that_of_newcombes_table() -> None:
    """Newcombe (1998, Statistics in Medicine 17, 873-890), table II, (a) 56/70 less 48/80, method 10 at 95 %: 0.0524 to 0.3339;
    his interval is that of Zou and Donner with Wilson's ends."""
    wide = 1.959964
    ends = []
    for hits, n in ((48, 80), (56, 70)):
        p = hits / n
        middle = (p + wide**2 / (2 * n)) / (1 + wide**2 / n)
        half = wide / (1 + wide**2 / n) * float(np.sqrt(p * (1 - p) / n + wide**2 / (4 * n * n)))
        ends.append((p, middle - half, middle + half))
    found = OverDays(measure="mishits", points=(value(0, *ends[0]), value(1, *ends[1])))
    assert found.change90.low == pytest.approx(0.0524, abs=5e-5)
    assert found.change90.high == pytest.approx(0.3339, abs=5e-5)


def test_a_camera_in_doubt_does_not_make_a_change_of_the_swing() -> None:
    swings = {DAYS[0]: [(-14.0, 3.0), (-12.0, 3.0), (-13.0, 3.0)], DAYS[1]: [(0.0, 3.0), (1.0, 3.0), (2.0, 3.0)]}
    (sure,) = of_swings(swings)
    assert sure.told == "more"
    (doubtful,) = of_swings({day: [(by, 12.0) for by, _doubt in many] for day, many in swings.items()})
    assert doubtful.told == "chance"
    assert of_swings({DAYS[0]: swings[DAYS[0]]}) == ()
    assert of_swings({DAYS[0]: swings[DAYS[0]], DAYS[1]: [(1.0, 3.0)]}) == ()  # one swing has no spread of its own


def test_of_days_without_change_about_one_in_ten_is_told() -> None:
    """A range of 90 %: of 400 pairs of days hit alike 40 are told apart on average, at most 60 in 999 runs of 1000 (binomial)."""
    told = {"mishits": 0, "spread": 0}
    for seed in range(400):
        rng = np.random.default_rng(seed)
        shares = tuple(value(k, *wilson(int(rng.binomial(30, 0.2)), 30)) for k in (0, 1))
        told["mishits"] += OverDays(measure="mishits", points=shares).told != "chance"
        balls = [hit(k, 1.5, 0, 1000 + 2 * seed + k).balls for k in (0, 1)]
        spread = tuple(one for k in (0, 1) for one in day_spread(DAYS[k], balls[k]))
        told["spread"] += OverDays(measure="spread", points=spread).told != "chance"
    assert max(told.values()) <= 60, told
    assert min(told.values()) > 0, told
