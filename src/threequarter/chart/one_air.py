"""Balls of several days brought to one air before a chart pools them.

Each ball's carry is multiplied by the ratio of two flights; the doubt of that ratio is shared by all balls of a day. A day whose
weather is not known stays as it was measured, with the doubt of an ordinary practice day.
"""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from functools import lru_cache
from typing import Final

import numpy as np

from threequarter.flight.shots import KnownShots, infer_launches, landed_in
from threequarter.flight.weather import Weather
from threequarter.golf.ball import AnyBall, Ball
from threequarter.golf.club import parse_club
from threequarter.golf.message import Message

WORLDS: Final = 60
SEED: Final = 52
STEPS: Final = 12
GRIDS_KEPT: Final = 256
ORDINARY: Final = Weather(temp_c=18.0, altitude_m=0.0, humidity=50.0, wind_mps=0.0)
"""The air that a pooled chart is made in where nothing else is asked for: 18 °C at sea level, no wind."""


def to_one_air(
    balls: Sequence[AnyBall], weather_of_day: Mapping[int, Weather], to: Weather = ORDINARY
) -> tuple[tuple[AnyBall, ...], tuple[Message, ...]]:
    """The balls as they would have carried in `to`, and what was done. Days are those of the balls.

    With no weather told for any day nothing is moved and nothing is said.
    """
    if not any(weather.known for weather in weather_of_day.values()):
        return tuple(balls), ()
    moved: list[AnyBall] = []
    notes = []
    for day in sorted({ball.day for ball in balls}):
        mine = [ball for ball in balls if ball.day == day]
        weather = weather_of_day.get(day, Weather())
        shift, doubt = _ratios(mine, weather, to)
        if not weather.known:
            shift = np.zeros_like(shift)
        moved += [
            replace(
                ball,
                distance_m=float(ball.distance_m * np.exp(s)),
                shared_sd_m=float(np.hypot(ball.shared_sd_m or 0.0, ball.distance_m * d)),
            )
            for ball, s, d in zip(mine, shift, doubt, strict=True)
        ]
        notes.append(_note(day, weather, to, shift))
    order = {ball.number: i for i, ball in enumerate(balls)}
    return tuple(sorted(moved, key=lambda ball: order[ball.number])), tuple(notes)


def _ratios(balls: Sequence[Ball], weather: Weather, to: Weather) -> tuple[np.ndarray, np.ndarray]:
    """Log ratio of carries and its SD for each ball, from a few carries and lofts in between."""
    carries = np.array([ball.distance_m for ball in balls])
    lofts = np.array([ball.loft_deg or parse_club(ball.club).loft_prior_deg[0] for ball in balls])
    shift, doubt = np.zeros(len(balls)), np.zeros(len(balls))
    for loft in np.unique(lofts):
        mine = lofts == loft
        ends = max(float(carries[mine].min()), 2.0), max(float(carries[mine].max()), 3.0)
        grid, middle, sd = _grid(float(loft), ends, weather, to)
        shift[mine], doubt[mine] = np.interp(carries[mine], grid, middle), np.interp(carries[mine], grid, sd)
    return shift, doubt


@lru_cache(maxsize=GRIDS_KEPT)
def _grid(
    loft: float, ends: tuple[float, float], weather: Weather, to: Weather
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """A few carries between two, the median log ratio of each and its SD. A recheck asks for the same days as the chart did."""
    grid = np.unique(np.geomspace(*ends, STEPS))
    shots = KnownShots.of_lofts(np.full(len(grid), loft), 2.0)
    draws = infer_launches(np.tile(grid, (WORLDS, 1)), shots, weather, np.random.default_rng(SEED))
    flown, _side = landed_in(draws, [to], SEED + 1)
    log_ratio = np.log(np.maximum(flown[0], 0.3) / draws.carry_m)
    return grid, np.median(log_ratio, axis=0), log_ratio.std(axis=0)


def _note(day: int, weather: Weather, to: Weather, shift: np.ndarray) -> Message:
    if not weather.known:
        return Message("one_air.unknown", day=day)
    low, high = float(np.expm1(shift.min())), float(np.expm1(shift.max()))
    return Message(
        "one_air.changed", day=day, weather=weather.message(), low_share=low, high_share=high, to=to.message()
    )
