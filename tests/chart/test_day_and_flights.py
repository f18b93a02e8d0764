"""A chart on another day, what its shots do in the air, days brought to one air, range balls."""

import numpy as np
import pytest
from benchmarks.worlds.old import simulate
from tests.saying import raises_saying

from tests_support import chart_by_hand
from threequarter.answers.day import day_answer
from threequarter.chart.day import effects, move_chart, shown_shots, wind_rose
from threequarter.chart.fit import fit_chart
from threequarter.chart.in_air import chart_in_air, pairs_told
from threequarter.chart.meaning import meaning
from threequarter.chart.one_air import to_one_air
from threequarter.chart.result import Chart
from threequarter.flight.weather import Weather
from threequarter.golf.ball import Ball
from threequarter.golf.errors import UserError
from threequarter.golf.message import Message
from threequarter.intake.range_balls import read_pairs, to_own_ball
from threequarter.language import line, say_error
from threequarter.language import lines as lines_of
from threequarter.language.typed_weather import parse_weather, wind_from

MADE = Weather(temp_c=20.0, altitude_m=0.0, wind_mps=0.0, humidity=50.0)


@pytest.fixture(scope="module")
def bucket() -> tuple[Chart, tuple[Ball, ...]]:
    session = simulate(np.random.default_rng(8), "plain", 8)
    return fit_chart(session.balls), session.balls


def longest(chart: Chart) -> int:
    return int(np.argmax([cell.stock_carry_m for cell in chart.cells]))


def test_the_same_air_changes_nothing(bucket: tuple[Chart, tuple[Ball, ...]]) -> None:
    moved = move_chart(*bucket, MADE, MADE)
    for cell in moved.cells:
        assert abs(cell.change_m) < 0.004 * cell.before.stock_carry_m
        assert cell.after90_m.low <= cell.before.stock90_m.low * 1.004


def test_cold_shortens_height_lengthens_and_an_unknown_session_is_less_sure(
    bucket: tuple[Chart, tuple[Ball, ...]],
) -> None:
    i = longest(bucket[0])
    cold = move_chart(*bucket, MADE, Weather(temp_c=2.0, altitude_m=0.0, wind_mps=0.0)).cells[i]
    high = move_chart(*bucket, MADE, Weather(temp_c=20.0, altitude_m=1500.0, wind_mps=0.0)).cells[i]
    assert cold.change_m < 0 < high.change_m
    unknown = move_chart(*bucket, Weather(), Weather(temp_c=2.0, altitude_m=0.0, wind_mps=0.0))
    assert unknown.cells[i].after90_m.half > cold.after90_m.half
    assert any(note.code == "day.made_unknown" for note in unknown.notes)


def test_a_wind_from_the_left_puts_the_ball_right_and_mirrors(bucket: tuple[Chart, tuple[Ball, ...]]) -> None:
    rose = wind_rose(*bucket, MADE, longest(bucket[0]), 5.0)
    assert rose.sides_m[6] > 1.0
    assert rose.sides_m[2] == pytest.approx(-rose.sides_m[6], abs=0.6)
    assert rose.changes_m[0] < 0 < rose.changes_m[4] < -rose.changes_m[0]


def test_what_one_thing_adds_grows_with_it(bucket: tuple[Chart, tuple[Ball, ...]]) -> None:
    shots = shown_shots(bucket[0])
    found = {line(effect.name): effect.changes_m[-1] for effect in effects(*bucket, MADE, shots)}
    assert found["head wind 8 m/s"] < found["head wind 5 m/s"] < found["head wind 3 m/s"] < 0
    assert found["10 % uphill"] < found["5 % uphill"] < 0 < found["5 % downhill"]
    answer = day_answer(move_chart(*bucket, MADE, MADE), effects(*bucket, MADE, shots), shots, "yd")
    assert len(answer["cells"]) == len(bucket[0].cells)
    assert "4.3a" in answer["rule"]


def test_a_wind_from_the_right_is_the_mirror_of_one_from_the_left(bucket: tuple[Chart, tuple[Ball, ...]]) -> None:
    rose = wind_rose(*bucket, MADE, 0, 6.0)
    assert rose.changes_m[1:4] == rose.changes_m[:4:-1]
    assert rose.sides_m[1:4] == tuple(-side for side in rose.sides_m[:4:-1])
    assert rose.sides_m[0] == rose.sides_m[4] == 0
    assert rose.sides_m[2] < 0 < rose.sides_m[6]


def test_a_run_out_is_told_where_nine_in_ten_end(bucket: tuple[Chart, tuple[Ball, ...]]) -> None:
    flown = chart_in_air(*bucket, MADE)
    for i, flight in enumerate(flown.flights):
        told = flight.runs.values
        low, high = -told.get("back_m", -told.get("low_m", 0.0)), told["high_m"]
        inside = (flown.air.run_m[:, i] >= min(low, 0.0) - 0.5) & (flown.air.run_m[:, i] <= high + 0.5)
        assert inside.mean() >= 0.88


def test_nothing_told_is_said_only_when_nothing_was(bucket: tuple[Chart, tuple[Ball, ...]]) -> None:
    def codes(day: Weather) -> list[str]:
        return [note.code for note in move_chart(*bucket, MADE, day).notes]

    assert "day.nothing_told" in codes(Weather())
    assert "day.nothing_told" not in codes(Weather(slope_percent=10.0))
    assert "day.nothing_told" not in codes(Weather(temp_c=9.0))


def test_two_shots_for_one_number_are_told_apart_by_flight() -> None:
    chart = chart_by_hand(shots=[("50", "waist", 45.0), ("60", "shoulder", 45.2)])
    balls = [Ball(number=1, club="50", swing="waist", loft_deg=50.0, distance_m=45.0)]
    flown = chart_in_air(chart, balls, MADE)
    lines = lines_of(pairs_told(chart, flown, meaning(chart)), "yd")
    assert len(lines) == 1
    assert lines[0].startswith("50 waist: lower")
    assert "60 shoulder: higher" in lines[0]


def test_measured_launch_narrows_the_flight() -> None:
    carries = [49.0, 50.0, 51.0, 50.5, 49.5]
    plain = [Ball(number=i + 1, club="54", swing="chest", loft_deg=54.0, distance_m=c) for i, c in enumerate(carries)]
    read = [
        Ball(
            number=b.number,
            club="54",
            swing="chest",
            loft_deg=54.0,
            distance_m=b.distance_m,
            launch_deg=31.0,
            backspin_rpm=6200.0,
        )
        for b in plain
    ]
    bare = chart_in_air(fit_chart(plain), plain, MADE).flights[0]
    told = chart_in_air(fit_chart(read), read, MADE).flights[0]
    assert told.measured
    assert not bare.measured
    assert told.apex90_m.half < bare.apex90_m.half
    assert told.launch_deg == pytest.approx(31.0, abs=0.5)


def test_days_in_different_air_are_brought_to_one_before_they_are_pooled() -> None:
    balls = [
        Ball(number=i + 1, day=1 + i // 6, club="50", swing="full", loft_deg=50.0, distance_m=80.0) for i in range(18)
    ]
    winds = {
        1: parse_weather("temp 20 altitude 0 wind 6 from ahead"),
        2: parse_weather("temp 20 altitude 0 wind 6 from behind"),
    }
    moved, said = to_one_air(balls, winds)
    by_day = {d: np.mean([b.distance_m for b in moved if b.day == d]) for d in (1, 2, 3)}
    assert by_day[1] > 84
    assert by_day[2] < 80
    assert by_day[3] == 80
    assert (moved[-1].shared_sd_m or 0) > 0.5
    assert said[2] == Message("one_air.unknown", day=3)
    assert to_one_air(balls, {}) == (tuple(balls), ())


def test_range_balls_get_an_own_factor_with_its_doubt() -> None:
    few = read_pairs("range 54 chest 47 48\nown 54 chest 52 53", "m")
    many = read_pairs(
        "range 54 chest 47 48 46 49 47 48 fat 30\nown 54 chest 52 53 51 54 52 53\nrange 58 waist 27 28 27\nown 58 waist 30 31 30",
        "m",
    )
    assert 0.90 < few.times < 0.97
    assert 0.89 < many.times < 0.93
    assert many.sd < few.sd
    ball = to_own_ball([Ball(number=1, club="54", swing="chest", distance_m=47.0)], many)[0]
    assert ball.distance_m == pytest.approx(47 / many.times)
    with raises_saying(UserError, match="no shot with both"):
        read_pairs("range 54 chest 47 48\nown 58 chest 52 53", "m")
    with raises_saying(UserError, match="start each line with range or own"):
        read_pairs("54 chest 47 48", "m")


@pytest.mark.parametrize(
    ("fields", "says"),
    [
        ({"temp_c": -60.0}, "not −60"),
        ({"humidity": 120.0}, "humidity must be 0 to 100 %, not 120"),
        ({"altitude_m": 9000.0}, "not 9000"),
        ({"wind_mps": 60.0}, "wind must be"),
        ({"temp_c": float("nan")}, "not nan"),
        ({"pressure_hpa": 950.0, "sea_level_hpa": 1013.0}, "two pressures"),
    ],
)
def test_weather_that_cannot_be_is_refused_by_name(fields: dict[str, float], says: str) -> None:
    with pytest.raises(UserError) as refused:
        Weather(**fields)
    assert says in say_error(refused.value)


def test_a_wind_direction_is_a_word_or_degrees() -> None:
    assert [wind_from(t) for t in ("ahead", "Right", "behind", "left", "45°", "-90")] == [0, 90, 180, 270, 45, 270]
    with pytest.raises(UserError) as refused:
        wind_from("up")
    assert "clockwise" in say_error(refused.value)
