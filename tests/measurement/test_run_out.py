"""One run-out: what is taken off a ball that was measured where it lay is what the flight model lets it run."""

import numpy as np
import pytest

from threequarter.flight.ground import FAIRWAYS, run_out
from threequarter.flight.shots import KnownShots, infer_launches
from threequarter.flight.weather import Weather
from threequarter.golf.ball import Ball, MeasuredAs
from threequarter.golf.units import YARD_M
from threequarter.measurement.carry import run_out_m, to_carry


@pytest.mark.parametrize("carry_yd", [42.0, 61.0, 88.0])
def test_what_is_taken_off_is_what_the_flight_model_lets_it_run(carry_yd: float) -> None:
    """Independent: other draws, many more of them, at one carry instead of a table of carries."""
    carry = np.full((400, 1), carry_yd * YARD_M)
    landed = infer_launches(carry, KnownShots.of_lofts(np.array([52.0])), Weather(), np.random.default_rng(3)).made
    flown = run_out(landed.land_speed_mps, landed.descent_deg, landed.land_spin_rpm, FAIRWAYS["normal"])
    taken = run_out_m(carry_yd * YARD_M, "52", 52.0, "normal")
    assert taken.run_m == pytest.approx(float(flown.mean()), abs=1.0)
    assert taken.shared_sd_m > float(flown.std()) * 0.8


def test_a_longer_swing_and_more_loft_run_less_and_firm_ground_more() -> None:
    waist, full = (run_out_m(carry * YARD_M, "50", 50.0, "normal").run_m for carry in (45, 95))
    lofted = run_out_m(45 * YARD_M, "60", 60.0, "normal").run_m
    soft, firm = (run_out_m(45 * YARD_M, "50", 50.0, ground).run_m for ground in ("soft", "firm"))  # type: ignore[arg-type]
    assert waist > full
    assert waist > lofted
    assert firm > waist > soft


def test_carry_and_run_out_together_end_where_the_ball_lay() -> None:
    lay = Ball(number=1, club="54", swing="waist", loft_deg=54.0, distance_m=48.0, measured_as=MeasuredAs.REST)
    (carried,), (said,) = to_carry([lay])
    run = run_out_m(carried.distance_m, "54", 54.0, "normal")
    assert carried.distance_m + run.run_m == pytest.approx(48.0, abs=1e-6)
    assert said.values["low_m"] == pytest.approx(run.run_m)
    assert to_carry([carried]) == ((carried,), ())


def test_an_unknown_loft_leaves_the_run_out_less_sure() -> None:
    known, unknown = run_out_m(50.0, "56", 56.0, "normal"), run_out_m(50.0, "sand wedge", None, "normal")
    assert unknown.shared_sd_m > known.shared_sd_m
