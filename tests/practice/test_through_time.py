"""A player's charts through time."""

import datetime
import itertools
import re
from dataclasses import replace

import pytest

from threequarter.chart.fit import fit_chart
from threequarter.chart.result import Chart
from threequarter.golf.ball import Ball, MeasuredAs, MeasuredBy
from threequarter.paper.pictures.through_time_picture import LABEL_STEP, through_time_picture
from threequarter.practice.through_time import tracks

DAY = datetime.date(2026, 5, 1)


def chart(*carries_m: float, swing: str = "waist") -> Chart:
    ball = Ball(
        number=1,
        club="54",
        swing=swing,
        distance_m=1,
        measured_by=MeasuredBy.DEVICE,
        measured_as=MeasuredAs.CARRY,
        offline_m=None,
        strike=None,
        rounding_m=None,
    )
    return fit_chart(tuple(replace(ball, number=i, distance_m=c) for i, c in enumerate(carries_m, start=1)))


def test_a_shot_that_grew_is_told_with_its_doubt_and_one_that_did_not_is_not() -> None:
    old, new = chart(40, 41, 39.5, 40.5, 40, 41), chart(50, 51, 49.5, 50.5, 50, 51)
    (grown,) = tracks([(DAY + datetime.timedelta(days=30), new), (DAY, old)])
    assert grown.points[0].day == DAY
    assert grown.change_m == pytest.approx(10, abs=1.5)
    assert grown.change_m > grown.change_half90_m > 0
    (same,) = tracks([(DAY, old), (DAY, old)])
    assert same.change_m == pytest.approx(0, abs=0.01)
    (shrunk,) = tracks([(DAY, new), (DAY + datetime.timedelta(days=1), old)])
    assert shrunk.change_m is not None
    assert shrunk.change_m < -shrunk.change_half90_m


def test_a_shot_of_one_day_claims_nothing() -> None:
    found = tracks([(DAY, chart(40, 41, 40)), (DAY, chart(55, 56, 54, swing="chest"))])
    assert [track.change_m for track in found] == [None] * 2


def test_labels_of_close_shots_never_overlap() -> None:
    charts = [
        (DAY, chart(40, 41, 40)),
        (DAY, chart(40, 40.5, 41, swing="hip")),
        (DAY, chart(41, 40, 40, swing="chest")),
    ]
    drawn = through_time_picture(tracks(charts), "m", width=360)
    heights = sorted(float(y) for y in re.findall(r'y="([\d.]+)"[^>]*font-weight="600"', drawn))
    assert len(heights) == 3
    assert min(b - a for a, b in itertools.pairwise(heights)) >= LABEL_STEP - 0.2
