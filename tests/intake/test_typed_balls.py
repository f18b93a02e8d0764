"""Balls typed as plain words, and how they were measured."""

import pytest

from threequarter.golf.ball import MeasuredAs, MeasuredBy, Strike
from threequarter.golf.errors import UserError
from threequarter.intake.notes.read import NoteOptions, read_notes
from threequarter.language import say
from threequarter.measurement.carry import to_carry
from threequarter.measurement.errors import calibrate_step

YD = NoteOptions(unit="yd")


def carries(text: str) -> list[float]:
    return [round(ball.distance_m / 0.9144, 2) for ball in read_notes(text, YD).balls]


def test_a_club_a_swing_and_numbers_make_balls() -> None:
    reading = read_notes("54 waist 51 53 fat 38\n56 chest 58 61", YD)
    assert [(b.club, b.swing) for b in reading.balls] == [("54", "waist")] * 3 + [("56", "chest")] * 2
    assert carries("54 waist 51 53 fat 38\n56 chest 58 61") == [51, 53, 38, 58, 61]
    assert [b.strike for b in reading.balls] == [None, None, Strike.FAT, None, None]


def test_the_middle_of_a_pile_is_one_reading_of_ten_balls() -> None:
    reading = read_notes("54 waist ten balls, middle of the pile at 44 by laser", YD)
    assert [(ball.count, ball.measured_as) for ball in reading.balls] == [(10, MeasuredAs.REST)]
    assert reading.balls[0].error_sd_m is not None
    assert reading.balls[0].error_sd_m > 0.5


def test_a_laser_measures_where_the_ball_lies_and_a_run_out_with_doubt_is_taken_off() -> None:
    reading = read_notes("54 waist 51 53", NoteOptions(unit="yd", by=MeasuredBy.LASER))
    assert all(ball.measured_as is MeasuredAs.REST for ball in reading.balls)
    carried, said = to_carry(reading.balls, "normal")
    assert all(c.distance_m < b.distance_m for c, b in zip(carried, reading.balls, strict=True))
    assert all((c.error_sd_m or 0) > (b.error_sd_m or 0) for c, b in zip(carried, reading.balls, strict=True))
    assert said
    plugged, _ = to_carry(reading.balls, "plugs")
    assert [b.distance_m for b in plugged] == [b.distance_m for b in reading.balls]


def test_firm_ground_takes_more_off_than_soft() -> None:
    balls = read_notes("54 waist 51", NoteOptions(unit="yd", by=MeasuredBy.LASER)).balls
    carry = {ground: to_carry(balls, ground)[0][0].distance_m for ground in ("soft", "normal", "firm")}
    assert carry["soft"] > carry["normal"] > carry["firm"]


def test_a_step_is_calibrated_over_a_known_distance() -> None:
    step = calibrate_step([112, 110], 100.0)
    assert 0.89 < 100 / 111 < 0.91
    assert step.pace_m == pytest.approx(100 / 111, rel=0.01)
    with pytest.raises(UserError):
        calibrate_step([112], 5.0)


@pytest.mark.parametrize("text", ["", "hello there", "51 52 53", "54 waist"])
def test_what_holds_no_ball_says_how_to_write_it(text: str) -> None:
    reading = read_notes(text, YD)
    assert not reading.balls
    assert reading.error is not None
    assert "54 waist" in say(reading.error)


def test_a_grip_typed_between_club_and_length_is_of_the_club() -> None:
    reading = read_notes("54 gripped down waist 37 36\n54 waist 41", YD)
    assert [(ball.club, ball.swing) for ball in reading.balls] == [("54 gripped down", "waist")] * 2 + [("54", "waist")]


def test_numbers_without_a_unit_are_asked_about() -> None:
    assert [question.about for question in read_notes("54 waist 51 53").questions] == ["unit"]
