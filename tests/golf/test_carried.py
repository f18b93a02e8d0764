"""A distance that is where a ball came to lie is never charted as a carry."""

import pytest

from threequarter.chart.fit import fit_chart
from threequarter.golf.ball import Ball, Carried, MeasuredAs, MeasuredBy
from threequarter.measurement.carry import to_carry


def resting(count: int = 8) -> list[Ball]:
    return [
        Ball(
            number=n,
            club="54",
            swing="waist",
            distance_m=40.0 + n % 3,
            measured_as=MeasuredAs.REST,
            measured_by=MeasuredBy.LASER,
        )
        for n in range(1, count + 1)
    ]


def test_a_chart_refuses_balls_that_were_measured_where_they_lay() -> None:
    with pytest.raises(ValueError, match="no carry yet"):
        fit_chart(resting())  # type: ignore[arg-type]
    with pytest.raises(ValueError, match="ball 1 "):
        Carried.of(resting()[0])


def test_brought_to_carry_they_are_shorter_less_sure_and_charted() -> None:
    carried, _said = to_carry(resting(), "firm")
    assert all(isinstance(ball, Carried) for ball in carried)
    assert all(ball.carry_m < rest.distance_m for ball, rest in zip(carried, resting(), strict=True))
    assert all((ball.error_sd_m or 0.0) > 0.0 for ball in carried)
    assert fit_chart(carried).cells[0].balls == 8
    assert to_carry(carried) == (carried, ())


@pytest.mark.parametrize(("club", "swing"), [("SW 54", "9:00"), ("54\u00b0", "9 o'clock")])
def test_one_shot_has_one_key_however_it_is_written(club: str, swing: str) -> None:
    assert (
        Ball(number=1, club=club, swing=swing, distance_m=40.0).shot
        == Ball(number=2, club="54", swing="9:00", distance_m=41.0).shot
    )
