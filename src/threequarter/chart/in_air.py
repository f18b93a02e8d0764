"""What every shot of a chart does in the air: height, descent, time, run-out and total, each with its doubt."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from threequarter.chart.meaning import Meaning
from threequarter.chart.result import Chart, Interval
from threequarter.flight.ground import Firmness
from threequarter.flight.shots import InAir, KnownShots, ShotDraws, in_air, infer_launches
from threequarter.flight.weather import Weather
from threequarter.golf.ball import Ball, shot_key
from threequarter.golf.club import parse_club
from threequarter.golf.message import Message

Floats = NDArray[np.float64]

WORLDS: Final = 200
SEED: Final = 58
STOPS_M: Final = 1.8
HALF_M: Final = 0.45
LAUNCHES_KEPT: Final = 24
LEAST_READ: Final = 2
"""So many good balls with a launch angle or a spin make the shot's own; fewer leave the prior."""
CLEARLY_HIGHER: Final = 0.8
"""Chance from which one of two shots is called the higher one."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ShotFlight:
    """One shot of the chart in one air, on one ground: its stock carry, and medians with 90 % intervals. Metres, degrees, seconds."""

    club: str
    swing: str
    measured: bool
    carry_m: float
    apex_m: float
    apex90_m: Interval
    descent_deg: float
    descent90_deg: Interval
    time_s: float
    run_m: float
    run90_m: Interval
    total_m: float
    total90_m: Interval
    launch_deg: float
    spin_rpm: float
    speed_mps: float

    @property
    def runs(self) -> Message:
        """The run-out in words."""
        return run_told(self.run90_m)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ChartInAir:
    """The flights of a chart's shots, in the order of its cells, with the draws (worlds, cells) behind them."""

    flights: tuple[ShotFlight, ...]
    draws: ShotDraws
    air: InAir
    firmness: Firmness


def known_shots(chart: Chart, balls: Sequence[Ball]) -> KnownShots:
    """Lofts by the clubs' labels, launch angle and spin by the middle of the good balls that have them."""
    good = {verdict.number for verdict in chart.verdicts if not verdict.mishit}
    launch: dict[tuple[str, str], list[float]] = {}
    spin: dict[tuple[str, str], list[float]] = {}
    for ball in balls:
        if ball.number not in good:
            continue
        key = ball.shot
        if ball.launch_deg is not None:
            launch.setdefault(key, []).append(ball.launch_deg)
        if ball.backspin_rpm is not None:
            spin.setdefault(key, []).append(ball.backspin_rpm)
    lofts, launches, spins = [], [], []
    for cell in chart.cells:
        key = shot_key(cell.club, cell.swing, cell.loft_deg)
        lofts.append((cell.loft_deg, 0.0) if cell.loft_deg is not None else parse_club(cell.club).loft_prior_deg)
        launches.append(_middle(launch.get(key, [])))
        spins.append(_middle(spin.get(key, [])))
    return KnownShots(
        loft_deg=np.array([loft for loft, _ in lofts]),
        loft_sd_deg=np.array([sd for _, sd in lofts]),
        launch_deg=np.array(launches),
        backspin_rpm=np.array(spins),
    )


def _middle(values: list[float]) -> float:
    return float(np.median(values)) if len(values) >= LEAST_READ else float("nan")


def chart_in_air(
    chart: Chart, balls: Sequence[Ball], weather: Weather, *, firmness: Firmness = "normal", worlds: int = WORLDS
) -> ChartInAir:
    """What each shot does in the air the chart was made in, landing on a green of that firmness.

    `weather` is that air; what is unknown of it widens the doubt. The same input gives the same answer.
    """
    shots = known_shots(chart, balls)
    draws, rng = launches_of(chart, balls, weather, worlds)
    air = in_air(draws, weather, rng, firmness=firmness, again=False)
    measured = np.isfinite(shots.launch_deg) | np.isfinite(shots.backspin_rpm)
    return ChartInAir(flights=_flights(chart, draws, air, measured), draws=draws, air=air, firmness=firmness)


def launches_of(
    chart: Chart, balls: Sequence[Ball], made: Weather, worlds: int = WORLDS
) -> tuple[ShotDraws, np.random.Generator]:
    """The launches of a chart in the air it was made in, and the random numbers to go on with. They do not hang on the day asked
    for, so the last ones are remembered; a chart gives the same ones on every page."""
    draws, after = _launches(chart, tuple(balls), made, worlds)
    rng = np.random.default_rng(SEED)
    rng.bit_generator.state = after
    return draws, rng


@lru_cache(maxsize=LAUNCHES_KEPT)
def _launches(chart: Chart, balls: tuple[Ball, ...], made: Weather, worlds: int) -> tuple[ShotDraws, Mapping[str, Any]]:
    rng = np.random.default_rng(SEED)
    carry = np.exp(chart.draws_log_carry[chart.worlds(worlds)])
    return infer_launches(carry, known_shots(chart, balls), made, rng), rng.bit_generator.state


def _flights(chart: Chart, draws: ShotDraws, air: InAir, measured: NDArray[np.bool_]) -> tuple[ShotFlight, ...]:
    apex, descent, time = (_middle_and_range(values) for values in (air.apex_m, air.descent_deg, air.time_s))
    run, total = _middle_and_range(air.run_m), _middle_and_range(air.carry_m + air.run_m)
    launch, spin, speed = (
        np.median(values, axis=0).tolist() for values in (draws.launch_deg, draws.spin_rpm, draws.speed_mps)
    )
    return tuple(
        ShotFlight(
            club=cell.club,
            swing=cell.swing,
            measured=bool(measured[i]),
            carry_m=cell.stock_carry_m,
            apex_m=apex[i][0],
            apex90_m=apex[i][1],
            descent_deg=descent[i][0],
            descent90_deg=descent[i][1],
            time_s=time[i][0],
            run_m=run[i][0],
            run90_m=run[i][1],
            total_m=total[i][0],
            total90_m=total[i][1],
            launch_deg=launch[i],
            spin_rpm=spin[i],
            speed_mps=speed[i],
        )
        for i, cell in enumerate(chart.cells)
    )


def _middle_and_range(values: Floats) -> list[tuple[float, Interval]]:
    """The middle and the range of nine in ten of each shot, over the worlds."""
    low, middle, high = np.quantile(values, [0.05, 0.5, 0.95], axis=0).tolist()
    return [(m, Interval(a, b)) for a, m, b in zip(low, middle, high, strict=True)]


def run_told(run90_m: Interval, *, short: bool = False) -> Message:
    """The run-out where nine good balls in ten end it; never one number, since nobody knows it to the metre.

    `short` is for a cell of a table.
    """
    low, high = run90_m.low, run90_m.high
    if high <= STOPS_M:
        if low < -HALF_M:
            return Message("run.draws_back_short" if short else "run.draws_back", high_m=max(high, 0.0))
        return Message("run.stops", high_m=max(high, 1.0))
    if low < -HALF_M:
        return Message("run.back_to_short" if short else "run.back_to", back_m=-low, high_m=high)
    return Message("run.runs", low_m=max(low, 0.0), high_m=high)


def pairs_told(chart: Chart, flown: ChartInAir, found: Meaning) -> tuple[Message, ...]:
    """Each double told apart by flight: "54 waist: lower, runs 6-9 yd; 60 chest: higher, runs 2-4 yd"."""
    at = {(cell.club, cell.swing): i for i, cell in enumerate(chart.cells)}
    lines = []
    for pair in found.doubles:
        i, j = at[pair.first.club, pair.first.swing], at[pair.second.club, pair.second.swing]
        if flown.flights[i].apex_m > flown.flights[j].apex_m:
            i, j = j, i
        surely = float((flown.air.apex_m[:, j] > flown.air.apex_m[:, i]).mean())
        low, high = flown.flights[i], flown.flights[j]
        lines.append(
            Message(
                "flight.lower_higher" if surely >= CLEARLY_HIGHER else "flight.side_by_side",
                low=f"{low.club} {low.swing}",
                low_runs=low.runs,
                high=f"{high.club} {high.swing}",
                high_runs=high.runs,
            )
        )
    return tuple(lines)
