"""A chart moved from the air it was made in to another day.

Only the differences come from physics: the measured carry stays the anchor, the flight model gives the ratio of two carries
with its doubt. What physics cannot correct is said (`NOT_CORRECTED`).
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from threequarter.chart.in_air import SEED, WORLDS, known_shots, launches_of, run_told
from threequarter.chart.result import Cell, Chart, Interval
from threequarter.flight.ground import Firmness
from threequarter.flight.shots import InAir, KnownShots, ShotDraws, in_air, infer_launches, landed_in
from threequarter.flight.weather import FROM, Weather
from threequarter.golf.ball import Ball
from threequarter.golf.message import Message
from threequarter.golf.units import SI, SpeedUnit, TemperatureUnit, Units, to_celsius, to_mps

Floats = NDArray[np.float64]

NOT_CORRECTED: Final = Message("day.not_corrected")
RULE: Final = Message("day.rule")
EFFECT_DOUBT: Final = Message("day.effect_doubt")
"""`benchmarks/day_calibration.py`; the figures stand in docs/flight.md."""
EFFECT_WORLDS: Final = 60
WINDS: Final[dict[SpeedUnit, tuple[float, ...]]] = {
    "ms": (3.0, 5.0, 8.0),
    "kmh": (10.0, 20.0, 30.0),
    "mph": (5.0, 10.0, 15.0),
}
"""Winds whose effect is shown, round numbers in the reader's unit."""
SLOPES_PERCENT: Final = (-10.0, -5.0, 5.0, 10.0)
TEMPS: Final[dict[TemperatureUnit, float]] = {"C": 10.0, "F": 20.0}
"""So much colder and warmer, in the reader's degrees."""


@dataclass(frozen=True, slots=True, kw_only=True)
class DayCell:
    """One shot before and after. `change_m` is what the day adds to the stock carry, `side_m` where the wind puts it (right
    positive), both with 90 % intervals; `after90_m` and `next90_m` are those of the day."""

    before: Cell
    carry_m: float
    after90_m: Interval
    next90_m: Interval
    change_m: float
    change90_m: Interval
    side_m: float
    side90_m: Interval
    run_m: float
    run90_m: Interval

    def runs(self, *, short: bool = False) -> Message:
        """The run-out; `short` for a cell of a table."""
        return run_told(self.run90_m, short=short)


@dataclass(frozen=True, slots=True, kw_only=True)
class Effect:
    """What one thing adds to the carry of some shots (m), and where a side wind puts them (right positive); the wind from
    the right mirrors the wind from the left."""

    name: Message
    changes_m: tuple[float, ...]
    sides_m: tuple[float, ...]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class DayChart:
    """A chart on another day. `worlds` hold log ratio, side and run-out as draws (worlds, cells)."""

    made: Weather
    day: Weather
    firmness: Firmness
    cells: tuple[DayCell, ...]
    clubs: tuple[str, ...]
    swings: tuple[str, ...]
    log_ratio: Floats
    side_m: Floats
    run_m: Floats
    notes: tuple[Message, ...]

    def cell(self, club: str, swing: str) -> DayCell:
        """The cell of a club and a swing; KeyError if there is none."""
        for cell in self.cells:
            if (cell.before.club, cell.before.swing) == (club, swing):
                return cell
        raise KeyError((club, swing))


def move_chart(
    chart: Chart,
    balls: Sequence[Ball],
    made: Weather,
    day: Weather,
    *,
    firmness: Firmness = "normal",
    worlds: int = WORLDS,
) -> DayChart:
    """The chart made in `made`, on `day`. Wind and slope are along the shot's line. The same input gives the same answer.

    Where `made` is unknown the chart stays usable with wider doubt, and a note says so.
    """
    draws, rng = launches_of(chart, balls, made, worlds)
    flown = in_air(draws, day, rng, firmness=firmness)
    log_ratio = np.log(np.maximum(flown.carry_m, 0.3) / draws.carry_m)
    cells = tuple(_cell(cell, log_ratio[:, i], flown, i) for i, cell in enumerate(chart.cells))
    return DayChart(
        made=made,
        day=day,
        firmness=firmness,
        cells=cells,
        clubs=chart.clubs,
        swings=chart.swings,
        log_ratio=log_ratio,
        side_m=flown.side_m,
        run_m=flown.run_m,
        notes=_notes(made, day),
    )


def _cell(cell: Cell, log_ratio: Floats, flown: InAir, i: int) -> DayCell:
    shift, doubt = float(np.median(log_ratio)), float(log_ratio.std())
    factor = float(np.exp(shift))
    carry = cell.stock_carry_m * factor
    change = cell.stock_carry_m * np.expm1(log_ratio)
    run = Interval(*np.quantile(flown.run_m[:, i], [0.05, 0.95]).tolist())
    side = flown.side_m[:, i]
    middle = float(np.median(flown.run_m[:, i]))
    return DayCell(
        before=cell,
        carry_m=carry,
        after90_m=_wider(cell.stock90_m, cell.stock_carry_m, factor, doubt),
        next90_m=_wider(cell.next90_m, cell.stock_carry_m, factor, doubt),
        change_m=carry - cell.stock_carry_m,
        change90_m=Interval(*np.quantile(change, [0.05, 0.95]).tolist()),
        side_m=float(np.median(side)),
        side90_m=Interval(*np.quantile(side, [0.05, 0.95]).tolist()),
        run_m=middle,
        run90_m=run,
    )


def _wider(interval: Interval, middle_m: float, factor: float, doubt: float) -> Interval:
    """An interval moved by a factor and widened by the factor's doubt (a log SD), each side for itself."""
    more = 1.645 * doubt
    low = np.hypot(np.log(middle_m / interval.low), more)
    high = np.hypot(np.log(interval.high / middle_m), more)
    return Interval(float(middle_m * factor * np.exp(-low)), float(middle_m * factor * np.exp(high)))


def _notes(made: Weather, day: Weather) -> tuple[Message, ...]:
    notes = []
    if not made.known:
        notes.append(Message("day.made_unknown"))
    elif made.temp_c is None and made.wind_mps is None:
        notes.append(Message("day.made_no_temp_and_wind"))
    elif made.temp_c is None:
        notes.append(Message("day.made_no_temp"))
    elif made.wind_mps is None:
        notes.append(Message("day.made_no_wind"))
    if not day.known and day.humidity is None:
        notes.append(Message("day.only_slope") if day.slope_percent else Message("day.nothing_told"))
    return (*notes, NOT_CORRECTED)


def wind_rose(
    chart: Chart, balls: Sequence[Ball], day: Weather, shot: int, wind_mps: float, *, worlds: int = EFFECT_WORLDS
) -> Effect:
    """What a wind from eight sides (0, 45, ... 315 degrees) adds to one shot of the chart, in the calm air of `day`."""
    calm, draws = _calm(chart, balls, day, [shot], worlds)
    winds = [replace(calm, wind_mps=wind_mps, wind_from_deg=float(angle)) for angle in range(180, 361, 45)]
    carry, side = landed_in(draws, winds, SEED)
    changes, sides = np.median(carry - draws.carry_m, axis=(1, 2)), np.median(side, axis=(1, 2))
    sides[[0, -1]] = 0.0  # from straight behind and ahead
    behind, *left, ahead = zip(changes.tolist(), sides.tolist(), strict=True)  # a ball without side spin mirrors
    right = [(change, -aside) for change, aside in reversed(left)]
    around = [ahead, *right, behind, *left]
    name = Message("effect.wind", wind_mps=wind_mps)
    return Effect(name=name, changes_m=tuple(c for c, _ in around), sides_m=tuple(s for _, s in around))


def _calm(
    chart: Chart, balls: Sequence[Ball], day: Weather, shots: Sequence[int], worlds: int
) -> tuple[Weather, ShotDraws]:
    """The air of a day without wind and slope, and launches of some shots in it."""
    chosen = np.asarray(shots, dtype=int)
    known = known_shots(chart, balls)
    some = KnownShots(
        loft_deg=known.loft_deg[chosen],
        loft_sd_deg=known.loft_sd_deg[chosen],
        launch_deg=known.launch_deg[chosen],
        backspin_rpm=known.backspin_rpm[chosen],
    )
    carry = np.exp(chart.draws_log_carry[chart.worlds(worlds)][:, chosen])
    calm = replace(day.calm(), temp_c=15.0 if day.temp_c is None else day.temp_c, altitude_m=day.altitude_m or 0.0)
    return calm, infer_launches(carry, some, calm, np.random.default_rng(SEED))


def effects(
    chart: Chart,
    balls: Sequence[Ball],
    day: Weather,
    shots: Sequence[int],
    *,
    units: Units = SI,
    worlds: int = EFFECT_WORLDS,
) -> tuple[Effect, ...]:
    """What wind, slope and warmth add to some shots of the chart (indices of cells), one at a time, in the air of `day`; in round
    steps of `units`."""
    calm, draws = _calm(chart, balls, day, shots, worlds)
    single = _single(calm, units)
    carry, side = landed_in(draws, [weather for _name, weather in single], SEED)
    changes, sides = np.median(carry - draws.carry_m, axis=1), np.median(side, axis=1)
    return tuple(
        Effect(name=name, changes_m=tuple(change), sides_m=tuple(aside))
        for (name, _weather), change, aside in zip(single, changes.tolist(), sides.tolist(), strict=True)
    )


def _single(calm: Weather, units: Units) -> list[tuple[Message, Weather]]:
    """The day's calm air with one thing changed, each with its name, in round steps of the units; a wind from the right is the mirror
    of one from the left."""
    rows = [
        (Message(f"effect.{side}", wind_mps=wind), replace(calm, wind_mps=wind, wind_from_deg=FROM[side]))
        for side in ("ahead", "behind", "left")
        for wind in (to_mps(speed, units.speed) for speed in WINDS[units.speed])
    ]
    for slope in SLOPES_PERCENT:
        rises = Message("effect.uphill" if slope > 0 else "effect.downhill", slope=abs(slope))
        rows.append((rises, replace(calm, slope_percent=slope)))
    step = TEMPS[units.temperature]
    for change in (-step, step):
        more_c = to_celsius(change, units.temperature) - to_celsius(0.0, units.temperature)
        temp_c = float(np.clip((calm.temp_c or 0.0) + more_c, -29, 49))
        code = f"effect.{'warmer' if change > 0 else 'colder'}_{units.temperature.lower()}"
        rows.append((Message(code, degrees=step), replace(calm, temp_c=temp_c)))
    return rows


def shown_shots(chart: Chart) -> list[int]:
    """Three shots that stand for the chart: the shortest, the middle one and the longest (fewer where there are fewer)."""
    order = sorted(range(len(chart.cells)), key=lambda i: chart.cells[i].stock_carry_m)
    return sorted({order[0], order[len(order) // 2], order[-1]}, key=order.index)
