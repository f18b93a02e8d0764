"""Flights a second on one core beside scipy's RK45, and the whole curve of speed against error.

    python benchmarks/flights.py [--flights 120000]

Launches are the open ones (tests/data/flights), repeated; the error is the worst landing error against their truth, a
converged DOP853 solution. scipy's RK45 runs at its default tolerance, a flight at a time, with the same equations.
"""

import argparse
import json
import math
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np
from scipy.integrate import solve_ivp

from threequarter.chart.day import effects, move_chart, shown_shots
from threequarter.chart.fit import fit_chart
from threequarter.flight import aero
from threequarter.flight.air import density_kg_m3, standard_pressure_pa, viscosity_pa_s
from threequarter.flight.compiled import fly_many
from threequarter.flight.shots import KnownShots, in_air, infer_launches
from threequarter.flight.trajectory import Landings, Launches, fly
from threequarter.flight.weather import Weather
from threequarter.golf.ball import Ball
from threequarter.paper.day_card import day_card

DATA = Path(__file__).parents[1] / "tests" / "data" / "flights"


def launches(times: int) -> Launches:
    records = json.loads((DATA / "launches.json").read_text())

    def column(name: str) -> np.ndarray:
        return np.tile(np.array([float(record[name]) for record in records]), times)

    air = density_kg_m3(column("temp_c"), standard_pressure_pa(column("altitude_m")), column("rh"))
    return Launches(
        speed_mps=column("speed_ms"),
        launch_deg=column("launch_deg"),
        azimuth_deg=column("azimuth_deg"),
        spin_rpm=column("spin_rpm"),
        axis_deg=column("axis_deg"),
        wind_mps=column("wind_ms"),
        wind_to_deg=column("wind_to_deg"),
        density_kg_m3=air,
        viscosity_pa_s=viscosity_pa_s(column("temp_c")),
    )


def worst_mm(landed: Landings) -> float:
    return _off(landed.carry_m.tolist(), landed.side_m.tolist())


def plain_equations(batch: Launches, i: int) -> tuple[Callable[[float, np.ndarray], list[float]], list[float]]:
    """The equations of one flight as plain Python for scipy, and its first state: nothing slower than it must be."""
    up, turn = math.radians(batch.launch_deg[i]), math.radians(batch.azimuth_deg[i])
    tilt, to = math.radians(batch.axis_deg[i]), math.radians(batch.wind_to_deg[i])
    speed, push = float(batch.speed_mps[i]), 0.5 * float(batch.density_kg_m3[i]) * aero.AREA_M2 / aero.MASS_KG
    per_speed = float(batch.density_kg_m3[i] / batch.viscosity_pa_s[i]) * aero.DIAMETER_M
    scale = float(batch.wind_mps[i]) / math.log1p(10 / 0.03)
    wx, wy, ny, nz = scale * math.cos(to), scale * math.sin(to), -math.cos(tilt), math.sin(tilt)

    def slope(_: float, state: np.ndarray) -> list[float]:
        _x, _y, z, vx, vy, vz, spin = state.tolist()
        wind = math.log1p(max(z, 0.0) / 0.03)
        ux, uy = vx - wx * wind, vy - wy * wind
        u = math.sqrt(ux * ux + uy * uy + vz * vz)
        s = spin * aero.RADIUS_M / u
        drag = push * (0.24 + 0.18 * s + 0.06 * math.sin(math.pi * (per_speed * u - 90000) / 200000)) * u
        lift = push * 0.54 * s**0.4 * u
        return [
            vx,
            vy,
            vz,
            -drag * ux + lift * (ny * vz - nz * uy),
            -drag * uy + lift * nz * ux,
            -drag * vz - lift * ny * ux - 9.80665,
            -2e-5 * spin * u / aero.RADIUS_M,
        ]

    flat = speed * math.cos(up)
    first = [
        0,
        0,
        0,
        flat * math.cos(turn),
        flat * math.sin(turn),
        speed * math.sin(up),
        float(batch.spin_rpm[i]) * math.pi / 30,
    ]
    return slope, first


def scipy_seconds_a_flight(batch: Launches) -> tuple[float, float]:
    """Seconds a flight and the worst error in mm of RK45 at its default tolerance."""
    carry, side = [], []
    start = time.perf_counter()
    for i in range(len(batch.speed_mps)):
        slope, first = plain_equations(batch, i)

        def ground(_: float, state: np.ndarray) -> float:
            return float(state[2])

        ground.terminal, ground.direction = True, -1  # type: ignore[attr-defined]
        done = solve_ivp(slope, (0, 40), first, events=ground)
        carry.append(done.y_events[0][0][0])
        side.append(done.y_events[0][0][1])
    seconds = (time.perf_counter() - start) / len(carry)
    return seconds, _off(carry, side)


def _off(carry: list[float], side: list[float]) -> float:
    truth = json.loads((DATA / "truth.json").read_text())
    return float(
        1e3 * max(np.hypot(c - t["carry_m"], s - t["side_m"]) for c, s, t in zip(carry, side, truth, strict=True))
    )


def rate(batch: Launches, steps: int, threads: int) -> float:
    best = 0.0
    for _ in range(3):
        start = time.perf_counter()
        fly_many(batch, aero.SMITS_SMITH, steps=steps, threads=threads)
        best = max(best, len(batch.speed_mps) / (time.perf_counter() - start))
    return best


def landing_points() -> None:
    """Ten thousand landing points of one shot with every doubt: its launch inferred, then flown in a wind, then run out."""
    shots = KnownShots.of_lofts(np.array([54.0]))
    carry = np.full((10_000, 1), 60.0)
    best = math.inf
    for _ in range(5):
        start = time.perf_counter()
        rng = np.random.default_rng(1)
        in_air(infer_launches(carry, shots, Weather(), rng), Weather(wind_mps=5.0, wind_from_deg=270.0), rng)
        best = min(best, time.perf_counter() - start)
    print(f"10 000 landing points of one shot with all doubts: {1e3 * best:.0f} ms (limit 150)")


def day_of_twenty() -> None:
    """A day card of five wedges and four swings, from the chart to the PDF."""
    swings = {"waist": 0.5, "chest": 0.62, "shoulder": 0.78, "full": 1.0}
    balls = [
        Ball(
            number=i + 1,
            club=str(loft),
            loft_deg=float(loft),
            swing=swing,
            distance_m=75 * share * math.exp(-0.03 * (loft - 54)) + k,
        )
        for i, (loft, (swing, share), k) in enumerate(
            (a, b, c) for a in (46, 50, 54, 58, 60) for b in swings.items() for c in (-1, 0, 2)
        )
    ]
    chart = fit_chart(balls)
    weather = Weather(temp_c=9.0, altitude_m=600.0, wind_mps=5.0, wind_from_deg=0.0)
    best = math.inf
    for _ in range(3):
        start = time.perf_counter()
        shots = shown_shots(chart)
        day_card(move_chart(chart, balls, Weather(), weather), effects(chart, balls, weather, shots), shots)
        best = min(best, time.perf_counter() - start)
    print(f"day card of 5 wedges x 4 swings with doubts: {best:.2f} s (limit 1)")


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--flights", type=int, default=120_000)
    chosen = parser.parse_args()
    few, many = launches(1), launches(max(1, chosen.flights // 60))
    fly_many(few, aero.SMITS_SMITH)  # compiled, or read from the cache, before the clock starts
    seconds, error = scipy_seconds_a_flight(few)
    print(f"scipy RK45, default tolerance: {1 / seconds:9.0f} flights/s, worst {error:.3g} mm")
    for steps in (8, 10, 12, 16, 24, 40, 80, 120):
        got = rate(many, steps, 1)
        print(
            f"compiled, {steps:3d} steps, one core: {got:9.0f} flights/s, worst {worst_mm(fly_many(few, aero.SMITS_SMITH, steps=steps)):7.3f} mm,"
            f" {got * seconds:5.0f} x scipy"
        )
    one, two = rate(many, 16, 1), rate(many, 16, 2)
    print(f"two threads beside one: {two / one:.2f} x (limit 1.8)")
    start = time.perf_counter()
    fly(many, aero.SMITS_SMITH, steps=16)
    plain = len(many.speed_mps) / (time.perf_counter() - start)
    print(f"numpy, 16 steps: {plain:9.0f} flights/s")
    landing_points()
    day_of_twenty()
    print(f"limits: 200 000 flights/s at 1 mm, 170 x scipy; here {one:.0f} and {one * seconds:.0f} x at 16 steps")


if __name__ == "__main__":
    main()
