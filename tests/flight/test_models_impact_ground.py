"""Aerodynamic models, impact, bounce and roll against published rows, and properties that nature has. Arithmetic and nature apart."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from threequarter.flight import ground
from threequarter.flight.aero import BEARMAN_HARVEY_FIT, MODELS, WEDGE, BearmanHarvey
from threequarter.flight.compiled import fly_many
from threequarter.flight.impact import critical_friction, impact
from threequarter.flight.trajectory import Landings, Launches, fly

BALL = {"ball_kg": 0.0459, "ball_radius_m": 0.02135}


def launches(count: int = 1, **given: float | np.ndarray) -> Launches:
    usual: dict[str, float | np.ndarray] = {
        "speed_mps": 30.0,
        "launch_deg": 30.0,
        "spin_rpm": 7000.0,
        "azimuth_deg": 0.0,
        "axis_deg": 0.0,
        "wind_mps": 0.0,
        "wind_to_deg": 0.0,
        "density_kg_m3": 1.225,
        "viscosity_pa_s": 1.7894e-5,
    }
    arrays = {
        name: np.broadcast_to(np.asarray(value, dtype=float), (count,)).copy()
        for name, value in (usual | given).items()
    }
    return Launches(**arrays)


def flown(**given: float) -> Landings:
    return fly(launches(1, **given), WEDGE)


@pytest.mark.parametrize(
    ("speed", "launch", "spin", "carry", "time", "apex", "descent", "land"),
    [
        (57.9, 10, 3500, 172.61, 5.457, 17.14, 32.83, 23.97),
        (30, 30, 5500, 68.42, 3.931, 14.33, 44.19, 19.33),
        (40, 25, 6000, 104.74, 5.159, 22.21, 46.66, 21.53),
        (70, 10, 3000, 221.07, 6.606, 25.66, 38.04, 25.38),
    ],
)
def test_flights_by_the_bearman_harvey_table(
    speed: float, launch: float, spin: float, carry: float, time: float, apex: float, descent: float, land: float
) -> None:
    """Reference: Bearman & Harvey 1976 as digitised (NTNU TKT4140), rows computed independently; the table has kinks: 5 cm."""
    got = fly(launches(speed_mps=speed, launch_deg=launch, spin_rpm=spin), BearmanHarvey())
    assert got.carry_m[0] == pytest.approx(carry, abs=0.05)
    assert got.time_s[0] == pytest.approx(time, abs=0.005)
    assert got.apex_m[0] == pytest.approx(apex, abs=0.03)
    assert got.descent_deg[0] == pytest.approx(descent, abs=0.1)
    assert got.land_speed_mps[0] == pytest.approx(land, abs=0.03)


def test_the_wedge_model_lies_between_the_published_ones_within_what_ball_models_differ_by() -> None:
    """Nature: ball models differ by more than 0.1 in CD below Re 100 000 (Lyu et al. 2018, abstract)."""
    spin, re = np.linspace(0.25, 0.7, 10), np.full(10, 80_000.0)
    others = [BEARMAN_HARVEY_FIT.drag(re, spin), MODELS["smits-smith-1994-clamped"].drag(re, spin)]
    assert (np.abs(WEDGE.drag(re, spin) - np.mean(others, axis=0)) < 0.04).all()
    seen = spin < 0.45  # beyond, the table ends at 6000 rpm
    assert (np.abs(BEARMAN_HARVEY_FIT.drag(re, spin) - BearmanHarvey().drag(re, spin))[seen] < 0.04).all()


def test_compiled_flights_are_the_plain_ones() -> None:
    """Two integrators of the same equations, wind, slope and an odd ball included; to a ten-thousandth of a millimetre."""
    rng = np.random.default_rng(3)
    n = 131
    batch = Launches(
        speed_mps=rng.uniform(8, 45, n),
        launch_deg=rng.uniform(15, 48, n),
        azimuth_deg=rng.uniform(-4, 4, n),
        spin_rpm=rng.uniform(0, 11_000, n),
        axis_deg=rng.uniform(-15, 15, n),
        wind_mps=rng.uniform(0, 10, n),
        wind_to_deg=rng.uniform(0, 360, n),
        density_kg_m3=rng.uniform(0.95, 1.3, n),
        viscosity_pa_s=np.full(n, 1.8e-5),
        rise=rng.uniform(-0.15, 0.15, n),
        drag_more=rng.normal(0, 0.04, n),
        lift_times=rng.uniform(0.8, 1.2, n),
    )
    for name in ("smits-smith-1994", "smits-smith-1994-clamped", "wedge"):
        model = MODELS[name]
        one, two = fly(batch, model, steps=16), fly_many(batch, model, steps=16)  # type: ignore[arg-type]
        for field in ("carry_m", "side_m", "time_s", "apex_m", "descent_deg", "land_speed_mps", "land_spin_rpm"):
            np.testing.assert_allclose(
                getattr(two, field), getattr(one, field), rtol=0, atol=1e-7, err_msg=f"{name} {field}"
            )


def test_a_flight_is_the_same_in_any_batch_and_on_any_number_of_threads(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("threequarter.flight.compiled.AT_ONCE", 10)
    batch = launches(25, speed_mps=np.linspace(10, 40, 25), wind_mps=4.0, wind_to_deg=120.0)
    all_at_once, in_parts = (fly_many(batch, WEDGE, threads=threads).carry_m for threads in (1, 3))
    alone = [
        fly_many(launches(speed_mps=v, wind_mps=4.0, wind_to_deg=120.0), WEDGE).carry_m[0] for v in batch.speed_mps
    ]
    assert all_at_once.tolist() == in_parts.tolist() == alone
    assert fly_many(launches(0), WEDGE).carry_m.shape == (0,)


def test_a_flight_that_cannot_be_has_no_landing_and_leaves_its_neighbours_alone() -> None:
    speeds = np.array([30.0, np.nan, 0.0, 30.0, 31.0])
    carry = fly_many(launches(5, speed_mps=speeds), WEDGE).carry_m
    assert np.isnan(carry).tolist() == [False, True, True, False, False]
    assert carry[0] == carry[3] < carry[4]


@pytest.mark.parametrize(
    ("head", "speed", "loft", "ball", "launch", "spin", "ratio"),
    [
        (0.2, 45, 10, 62.445, 8.077, 2342.9, 1.3877),
        (0.2, 45, 12, 62.070, 9.684, 2805.1, 1.3793),
        (0.3, 35, 46, 38.359, 35.649, 7706.7, 1.0960),
        (0.3, 30, 52, 29.652, 39.394, 7236.3, 0.9884),
        (0.3, 25, 56, 22.778, 41.577, 6344.2, 0.9111),
        (0.3, 15, 60, 12.475, 43.438, 3976.4, 0.8317),
    ],
)
def test_impact_without_slip(
    head: float, speed: float, loft: float, ball: float, launch: float, spin: float, ratio: float
) -> None:
    """Reference: Penner 2001, Am. J. Phys. 69, 563-568 (equations second-hand, rows computed)."""
    got = impact(speed, loft, head_kg=head, friction=9.0, **BALL)
    assert float(got[0]) == pytest.approx(ball, abs=6e-4)
    assert float(got[1]) == pytest.approx(launch, abs=6e-4)
    assert float(got[2]) == pytest.approx(spin, abs=0.06)
    assert float(got[0]) / speed == pytest.approx(ratio, abs=6e-5)


@pytest.mark.parametrize(("loft", "mu"), [(38, 0.137), (46, 0.182), (52, 0.224), (56, 0.260), (60, 0.304), (65, 0.376)])
def test_friction_below_which_a_ball_slides(loft: float, mu: float) -> None:
    """Reference: rigid-body limit as in Daish 1972."""
    assert critical_friction(loft) == pytest.approx(mu, abs=1e-3)
    assert impact(25, loft, friction=mu + 0.02)[2] == pytest.approx(impact(25, loft, friction=9.0)[2])
    assert impact(25, loft, friction=mu - 0.05)[2] < impact(25, loft, friction=9.0)[2]
    assert impact(25, loft, friction=mu - 0.05)[1] > impact(25, loft, friction=9.0)[1]


@pytest.mark.parametrize(
    ("speed", "descent", "rpm", "along", "up"),
    [
        (25, 45, 3000, 4.0170, 4.4750),
        (25, 45, 6000, 2.2277, 3.7889),
        (22, 50, 8000, 0.4469, 2.6537),
        (15, 50, 5000, 1.4906, 2.6142),
        (27, 38, 2500, 4.8177, 5.6187),
        (18.6, 45.6, 0, 5.6096, 3.8894),
    ],
)
def test_first_bounce(speed: float, descent: float, rpm: float, along: float, up: float) -> None:
    """Reference: Penner 2002, Can. J. Phys. 80, 931-940 (second-hand), rows computed independently."""
    angle = np.radians(descent)
    got = ground.bounce(
        np.array(speed * np.cos(angle)),
        np.array(speed * np.sin(angle)),
        np.array(rpm * np.pi / 30),
        ground.PENNER,
        0.02135,
    )
    assert float(got[0]) == pytest.approx(along, abs=1e-4)
    assert float(got[1]) == pytest.approx(up, abs=1e-4)


@pytest.mark.parametrize(("stimp", "slow"), [(6, 0.9156), (8, 0.6867), (10, 0.5494), (12, 0.4578), (14, 0.3924)])
def test_a_rolling_ball_slows_by_the_stimp(stimp: float, slow: float) -> None:
    """Reference: Holmes 1991, Am. J. Phys. 59, 129; release at 1.83 m/s."""
    assert float(ground.deceleration_mps2(stimp)) == pytest.approx(slow, abs=1e-4)


def test_more_loft_at_one_carry_is_higher_steeper_and_runs_less() -> None:
    """Nature, sign only: common practice, no source."""
    from threequarter.flight.shots import KnownShots, in_air, infer_launches
    from threequarter.flight.weather import Weather

    calm = Weather(temp_c=20.0, altitude_m=0.0, wind_mps=0.0)
    draws = infer_launches(
        np.full((60, 3), 45.0), KnownShots.of_lofts(np.array([50.0, 54.0, 60.0])), calm, np.random.default_rng(1)
    )
    air = in_air(draws, calm, np.random.default_rng(2), again=False)
    assert np.abs(draws.carry_m - 45).max() < 0.4
    for values, sign in ((air.apex_m, 1), (air.descent_deg, 1), (air.run_m, -1)):
        assert (sign * np.diff(np.median(values, axis=0)) > 0).all()


def test_a_head_wind_costs_more_than_a_tail_wind_gives() -> None:
    """Nature: some six metres off a 75 m wedge in 5 m/s, and some two to four back (common practice, no source)."""
    still = flown(speed_mps=31.0).carry_m[0]
    lost = still - flown(speed_mps=31.0, wind_mps=5.0, wind_to_deg=180.0).carry_m[0]
    gained = flown(speed_mps=31.0, wind_mps=5.0, wind_to_deg=0.0).carry_m[0] - still
    assert 4 < lost < 10
    assert 0 < gained < lost


@settings(max_examples=40, deadline=None)
@given(st.floats(12, 42), st.floats(20, 40), st.floats(2000, 10_000), st.floats(0, 360))
def test_carry_grows_with_speed_and_changes_smoothly_with_the_wind(
    speed: float, launch: float, spin: float, to: float
) -> None:
    base = {"launch_deg": launch, "spin_rpm": spin, "wind_mps": 5.0}
    at = flown(speed_mps=speed, wind_to_deg=to, **base).carry_m[0]
    assert flown(speed_mps=speed * 1.02, wind_to_deg=to, **base).carry_m[0] > at
    assert flown(speed_mps=speed, wind_to_deg=to + 0.1, **base).carry_m[0] == pytest.approx(at, abs=0.05)


@pytest.mark.parametrize(("speed", "launch", "spin"), [(28, 30, 6500), (36, 28, 8000), (45, 25, 9000)])
def test_denser_air_shortens_a_quick_shot(speed: float, launch: float, spin: float) -> None:
    thin, thick = (
        flown(speed_mps=speed, launch_deg=launch, spin_rpm=spin, density_kg_m3=d).carry_m[0] for d in (1.0, 1.3)
    )
    assert thick < thin


def test_uphill_ground_shortens_and_downhill_lengthens() -> None:
    carries = [flown(rise=rise).carry_m[0] for rise in (-0.1, 0.0, 0.1)]
    assert carries[0] > carries[1] > carries[2]


def test_energy_never_grows_in_still_air() -> None:
    landed = flown(speed_mps=35.0)
    assert landed.land_speed_mps[0] < 35.0


def test_a_uniform_wind_is_a_moving_frame(monkeypatch: pytest.MonkeyPatch) -> None:
    """Exact: the flight in the air's own frame, drifting with it. The wind is made uniform by its profile's logarithm."""
    from threequarter.flight import trajectory

    class Uniform(trajectory.Rates):
        def __call__(self, state: np.ndarray) -> np.ndarray:
            moved = state.copy()
            moved[3], moved[4] = state[3] - 3.0, state[4] - 2.0
            out = super().__call__(moved)
            out[0], out[1] = state[3], state[4]
            return out

    speed, launch = 30.0, np.radians(30.0)
    still = fly(launches(speed_mps=speed), WEDGE, steps=300)
    along, up = speed * np.cos(launch) + 3.0, speed * np.sin(launch)
    monkeypatch.setattr(trajectory, "Rates", Uniform)
    windy = fly(
        launches(
            speed_mps=np.sqrt(along**2 + 2.0**2 + up**2),
            launch_deg=np.degrees(np.arctan2(up, np.hypot(along, 2.0))),
            azimuth_deg=np.degrees(np.arctan2(2.0, along)),
        ),
        WEDGE,
        steps=300,
    )
    assert windy.time_s[0] == pytest.approx(still.time_s[0], abs=1e-6)
    assert windy.carry_m[0] == pytest.approx(still.carry_m[0] + 3.0 * still.time_s[0], abs=1e-5)
    assert windy.side_m[0] == pytest.approx(2.0 * still.time_s[0], abs=1e-5)
