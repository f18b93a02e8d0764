"""Do the intervals of a chart moved to another day hold, for balls that differ from the model's? And does moving it help?

    python benchmarks/day_calibration.py [--players 120] [--seed 3]

Simulated players: the true ball's drag lies up to 0.06 to either side of the model's, as far apart as ball models measured side by
side (more than 0.1: Lyu et al. 2018), and depends on spin and speed in its own way; its lift, the loft at impact and the spin are the player's. The chart is fitted to simulated balls hit at 25 C at sea level; then
the same swings are flown on four other days, whose wind and temperature are as told to the accuracy of a forecast. Everything is
simulated: good figures show that the doubt is carried through, not that balls fly like this.
"""

import argparse
import time
from dataclasses import replace

import numpy as np
from worlds.old import Simulated, coverage, simulate

from threequarter.chart.day import move_chart
from threequarter.chart.fit import fit_chart
from threequarter.flight.aero import WEDGE
from threequarter.flight.air import density_kg_m3, standard_pressure_pa, viscosity_pa_s
from threequarter.flight.impact import impact
from threequarter.flight.shots import SPEED_POWER, _fly
from threequarter.flight.weather import TEMP_ERROR_C, WIND_ERROR, WIND_TURN_DEG, Air, Weather

MADE = Weather(temp_c=25.0, altitude_m=0.0, humidity=50.0, wind_mps=0.0, sea_level_hpa=1013.25)
DAYS = {
    "2 C, sea level": Weather(temp_c=2.0, altitude_m=0.0, humidity=50.0, wind_mps=0.0, sea_level_hpa=1013.25),
    "1500 m, warm": Weather(temp_c=25.0, altitude_m=1500.0, humidity=50.0, wind_mps=0.0, sea_level_hpa=1013.25),
    **{
        f"5 m/s {side}": Weather(
            temp_c=25.0, altitude_m=0.0, humidity=50.0, wind_mps=5.0, wind_from_deg=angle, sea_level_hpa=1013.25
        )
        for side, angle in {"ahead": 0.0, "behind": 180.0, "left": 270.0, "right": 90.0}.items()
    },
    "9 C, 600 m, 5 m/s ahead": Weather(
        temp_c=9.0, altitude_m=600.0, humidity=50.0, wind_mps=5.0, wind_from_deg=0.0, sea_level_hpa=1013.25
    ),
}


def true_air(weather: Weather, rng: np.random.Generator, exact: bool) -> Air:
    """One air for one day of one player: as told, off by what a forecast is off by."""
    z = np.zeros(3) if exact else rng.standard_normal(3)
    temp = (weather.temp_c or 0.0) + TEMP_ERROR_C * z[0]
    pressure = float(standard_pressure_pa(weather.altitude_m or 0.0))
    to = (weather.wind_from_deg or 0.0) + 180.0 + WIND_TURN_DEG * z[2]
    one = np.ones(1)
    return Air(
        density_kg_m3=density_kg_m3(temp, pressure, 0.5) * one,
        viscosity_pa_s=viscosity_pa_s(temp) * one,
        wind_mps=abs((weather.wind_mps or 0.0) * (1 + WIND_ERROR * z[1])) * one,
        wind_to_deg=to * one,
        rise=0 * one,
    )


class TrueBall:
    """A player's own ball and delivery: launches that give the true carries in the air the chart was made in."""

    def __init__(self, session: Simulated, rng: np.random.Generator) -> None:
        self.model = replace(
            WEDGE,
            cd1=WEDGE.cd1 + rng.normal(0.0, 0.06),
            wave=rng.uniform(0.0, 0.06),
            power=WEDGE.power + rng.normal(0.0, 0.03),
        )
        self.drag = rng.uniform(-0.06, 0.06)
        self.lift = float(np.exp(rng.normal(0.0, 0.05)))
        carry = np.array([[cell.stock_m for cell in session.cells]])
        loft = np.array([[float(cell.club) for cell in session.cells]])
        path = rng.normal(-4.0, 2.0)
        relative = loft - rng.normal(12.5, 3.5) - path + rng.normal(0, 1.5, loft.shape)
        ball, launch, spin = impact(25.0, relative)
        self.launch = launch + path
        per_mps = spin / ball * 1.12 * np.exp(rng.normal(0, 0.12))
        self.speed = 26.3 * (carry / 50) ** 0.52
        for _ in range(12):
            self.spin = per_mps * self.speed
            self.speed = self.speed * (carry / self.fly(true_air(MADE, rng, True))) ** SPEED_POWER
        self.spin = per_mps * self.speed

    def fly(self, air: Air) -> np.ndarray:
        ones = np.ones_like(self.speed)
        return _fly(self.speed, self.launch, self.spin, air, self.drag * ones, self.lift * ones, self.model).carry_m


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--players", type=int, default=120)
    parser.add_argument("--seed", type=int, default=3)
    chosen = parser.parse_args()
    rng = np.random.default_rng(chosen.seed)
    start = time.perf_counter()
    held: dict[str, list[bool]] = {day: [] for day in DAYS}
    errors: dict[str, list[tuple[float, float, float]]] = {day: [] for day in DAYS}
    for i in range(chosen.players):
        session = simulate(rng, "plain", (5, 10, 20)[i % 3])
        chart = fit_chart(session.balls, also=[(c.club, c.swing) for c in session.cells])
        ball = TrueBall(session, rng)
        for day, weather in DAYS.items():
            moved = move_chart(chart, session.balls, MADE, weather, worlds=100)
            truth = ball.fly(true_air(weather, rng, False))[0]
            for cell, true, before in zip(session.cells, truth, (c.stock_m for c in session.cells), strict=True):
                after = moved.cell(cell.club, cell.swing)
                held[day].append(after.after90_m.low <= true <= after.after90_m.high)
                moves = after.carry_m / after.before.stock_carry_m
                errors[day].append((moves - 1, moves * before / true - 1, before / true - 1))
    print(
        f"{'day':26s} {'cells':>6s} {'moves %':>8s} {'90 % held':>22s} {'error %, moved':>15s} {'not moved':>10s} {'ratio':>6s}"
    )
    for day in DAYS:
        share, low, high = coverage(np.array(held[day]))
        rows = np.array(errors[day])
        far = np.abs(rows[:, 0]) >= 0.02
        with_, without = (
            float(100 * np.sqrt((rows[far, k] ** 2).mean())) if far.any() else float("nan") for k in (1, 2)
        )
        mean = 100 * rows[:, 0].mean()
        print(
            f"{day:26s} {len(rows):6d} {mean:8.1f} {share:8.1f} ({low:.1f} to {high:.1f}) {with_:15.2f} {without:10.2f} {with_ / without:6.2f}"
        )
    print(
        f"errors of the day's own part (the chart's taken off), where the chart is moved by 2 % or more; {time.perf_counter() - start:.0f} s"
    )


if __name__ == "__main__":
    main()
