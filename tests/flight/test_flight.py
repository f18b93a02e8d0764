"""Air and flight against published values, other libraries and exact limits. Arithmetic tolerances, not nature's."""

import json
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from ambiance import Atmosphere
from CoolProp.HumidAirProp import HAPropsSI

from threequarter.flight import air
from threequarter.flight.aero import MODELS, Aero
from threequarter.flight.launches import fly_records
from threequarter.flight.trajectory import Landings, Launches, fly
from threequarter.language import say

FLIGHTS = Path(__file__).parents[1] / "data" / "flights"
PRINTED = MODELS["smits-smith-1994"]


@dataclass(frozen=True)
class Constant:
    """Constant coefficients, for exact limits."""

    cd: float
    cl: float = 0.0
    decay: float = 0.0

    def drag(self, reynolds: Any, spin_ratio: Any) -> Any:
        return np.full_like(reynolds, self.cd)

    def lift(self, reynolds: Any, spin_ratio: Any) -> Any:
        return np.full_like(reynolds, self.cl)


def flown(aero: Aero, speed: float, launch: float, spin: float = 0.0, **more: float) -> Landings:
    given = {
        "azimuth_deg": 0.0,
        "axis_deg": 0.0,
        "wind_mps": 0.0,
        "wind_to_deg": 0.0,
        "density_kg_m3": 1.225,
        "viscosity_pa_s": 1.7894e-5,
    } | more
    arrays = {name: np.array([value]) for name, value in given.items()}
    return fly(
        Launches(speed_mps=np.array([speed]), launch_deg=np.array([launch]), spin_rpm=np.array([spin]), **arrays), aero
    )


@pytest.mark.parametrize(
    ("metres", "pascal"), [(500, 95460.8), (1000, 89874.6), (1500, 84556.0), (2000, 79495.2), (2500, 74682.5)]
)
def test_standard_pressure(metres: float, pascal: float) -> None:
    """Reference: ISO 2533:1975 formulas, geopotential height."""
    assert float(air.standard_pressure_pa(metres)) == pytest.approx(pascal, abs=0.1)


def test_standard_density_agrees_with_ambiance() -> None:
    """Independent: ambiance 1.3 (geometric height)."""
    geometric = 1500.0
    geopotential = 6356766 * geometric / (6356766 + geometric)
    atmosphere = Atmosphere(geometric)
    pressure = float(air.standard_pressure_pa(geopotential))
    assert pressure == pytest.approx(float(atmosphere.pressure[0]), rel=1e-6)
    assert float(air.viscosity_pa_s(20)) == pytest.approx(1.8134e-5, abs=1e-9)


@pytest.mark.parametrize(
    ("temp", "pressure", "rh", "density"),
    [
        (20, 101325, 0.0, 1.204557),
        (20, 101325, 0.5, 1.199314),
        (15, 101325, 0.0, 1.225521),
        (25, 101325, 0.5, 1.177315),
        (27, 110000, 1.0, 1.261552),
        (20, 60000, 0.5, 0.707934),
        (9, 94321.7, 0.8, 1.160838),
    ],
)
def test_moist_air_density(temp: float, pressure: float, rh: float, density: float) -> None:
    """Reference: CIPM-2007, Picard et al. 2008, computed from the published constants."""
    assert float(air.density_kg_m3(temp, pressure, rh)) == pytest.approx(density, abs=2e-6)


@pytest.mark.parametrize(("temp", "rh"), [(-5, 0.8), (10, 0.8), (30, 0.9), (40, 1.0)])
def test_moist_air_density_agrees_with_coolprop(temp: float, rh: float) -> None:
    """Independent: CoolProp HAPropsSI."""
    other = 1 / HAPropsSI("Vha", "T", temp + 273.15, "P", 101325, "R", rh)
    assert float(air.density_kg_m3(temp, 101325, rh)) == pytest.approx(other, rel=1.1e-4)


def test_open_launches_land_within_a_twentieth_of_a_millimetre() -> None:
    """Independent: a converged DOP853 solution of the same equations."""
    answers, bad = fly_records(json.loads((FLIGHTS / "launches.json").read_text()), "smits-smith-1994")
    truth = {row["id"]: row for row in json.loads((FLIGHTS / "truth.json").read_text())}
    assert bad == []
    assert len(answers) == 60
    for answer in answers:
        true = truth[answer["id"]]
        assert np.hypot(answer["carry_m"] - true["carry_m"], answer["side_m"] - true["side_m"]) < 5e-5
        assert answer["descent_deg"] == pytest.approx(true["descent_deg"], abs=1e-3)


@pytest.mark.parametrize(
    ("speed", "launch", "spin", "more", "carry", "side", "time", "apex", "descent", "land_spin"),
    [
        (10, 45, 3000, {}, 10.0090, 0, 1.5005, 2.6261, 46.4391, 2967.5),
        (30, 30, 8000, {}, 75.7431, 0, 4.3815, 16.4509, 43.3977, 7393.3),
        (45, 24, 9000, {}, 129.4235, 0, 6.4786, 32.8210, 48.1869, 7832.8),
        (30, 30, 8000, {"wind_mps": 5.0, "wind_to_deg": 180.0}, 70.0201, 0, 4.8975, 18.8332, 53.5026, 7258.9),
        (30, 30, 8000, {"wind_mps": 5.0, "wind_to_deg": 0.0}, 77.5190, 0, 3.9469, 14.6349, 37.0076, 7514.5),
        (30, 30, 8000, {"wind_mps": 5.0, "wind_to_deg": 90.0}, 75.5129, 5.6245, 4.3903, 16.4809, 43.3065, 7383.3),
        (30, 30, 8000, {"axis_deg": 10.0}, 75.2936, 5.1660, 4.3527, 16.3145, 43.3666, 7395.5),
    ],
)
def test_worked_flights(
    speed: float,
    launch: float,
    spin: float,
    more: dict[str, float],
    carry: float,
    side: float,
    time: float,
    apex: float,
    descent: float,
    land_spin: float,
) -> None:
    """Reference: Smits & Smith 1994 as printed, worked rows computed independently."""
    landed = flown(PRINTED, speed, launch, spin, **more)
    assert landed.carry_m[0] == pytest.approx(carry, abs=1e-3)
    assert landed.side_m[0] == pytest.approx(side, abs=1e-3)
    assert landed.time_s[0] == pytest.approx(time, abs=1e-3)
    assert landed.apex_m[0] == pytest.approx(apex, abs=1e-3)
    assert landed.descent_deg[0] == pytest.approx(descent, abs=0.01)
    assert landed.land_spin_rpm[0] == pytest.approx(land_spin, abs=0.2)


def test_without_air_a_ball_flies_a_parabola() -> None:
    landed = flown(Constant(0.3), 30, 40, density_kg_m3=0.0)
    assert landed.carry_m[0] == pytest.approx(900 * np.sin(np.radians(80)) / air.G, rel=1e-9)
    assert landed.apex_m[0] == pytest.approx((30 * np.sin(np.radians(40))) ** 2 / (2 * air.G), rel=1e-6)


def test_spin_decays_with_the_path_through_the_air() -> None:
    """Exact: omega = omega0 exp(-R1 s / r); R1 from Smits & Smith 1994."""
    landed = flown(PRINTED, 30, 30, 8000)
    path = -np.log(landed.land_spin_rpm[0] / 8000) * 0.021335 / 2.0e-5
    assert 75.7 < path < 75.7 * 1.35


def test_a_left_tilt_mirrors_a_right_tilt() -> None:
    right, left = flown(PRINTED, 30, 30, 8000, axis_deg=10.0), flown(PRINTED, 30, 30, 8000, axis_deg=-10.0)
    assert left.side_m[0] == pytest.approx(-right.side_m[0], abs=1e-9)
    assert left.carry_m[0] == pytest.approx(right.carry_m[0], abs=1e-9)


def test_head_wind_costs_more_than_tail_wind_gives() -> None:
    calm, head, tail = (
        flown(PRINTED, 30, 30, 8000, wind_mps=w, wind_to_deg=d).carry_m[0] for w, d in ((0, 0), (5, 180), (5, 0))
    )
    assert calm - head > 2 * (tail - calm) > 0


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"temp_c": -60}, "temp_c must be −40 to 55 C, not −60"),
        ({"rh": 1.2}, "rh must be 0 to 1, not 1.2"),
        ({"altitude_m": 9000}, "altitude_m must be"),
        ({"wind_ms": 60}, "wind_ms must be 0 to 40 m/s, not 60"),
        ({"launch_deg": -90}, "launch_deg must be 1 to 85 degrees, not −90"),
        ({"speed_ms": 0}, "speed_ms must be"),
        ({"spin_rpm": float("nan")}, "spin_rpm is “nan”, not a number"),
        ({"speed_ms": None}, "speed_ms is missing"),
    ],
)
def test_a_bad_launch_is_told_by_its_id_and_the_good_one_is_answered(change: dict[str, float], said: str) -> None:
    good = {"id": "a", "speed_ms": 25, "launch_deg": 30, "spin_rpm": 6000}
    answers, bad = fly_records([good, {**good, "id": "b", **change}])
    assert [row["id"] for row in answers] == ["a"]
    assert [row["id"] for row in bad] == ["b"]
    assert said in say(bad[0]["error"])
