"""The same flights as `trajectory.py` by the compiled core, for batches: same equations, same steps (`core/flight.c`).

The angles are taken apart before and put together after, in numpy. A ball's answer does not depend on its batch, and is the
same to the last bit on every machine.
"""

import os
from concurrent.futures import ThreadPoolExecutor
from typing import Final

import numpy as np
from numpy.typing import NDArray

from threequarter import core
from threequarter.flight.aero import RADIUS_M, Formula
from threequarter.flight.air import G
from threequarter.flight.trajectory import (
    LONGEST_S,
    NEAR_DOWN,
    NEAR_UP,
    ROUGHNESS_M,
    Landings,
    Launches,
    Rates,
    start,
    time_guess,
)

Floats = NDArray[np.float64]

STEPS: Final = 16
"""0.4 mm at worst on the 60 open launches."""
AT_ONCE: Final = 4096
"""Flights of one call, so that the core's memory stays below a megabyte however many there are."""
_ANSWERS: Final = 9


def fly_many(launches: Launches, aero: Formula, *, steps: int = STEPS, threads: int | None = None) -> Landings:
    """All flights, on `threads` processors (default: all). Same meaning of every field as `trajectory.fly`."""
    count = len(launches.speed_mps)
    rows, rates = start(launches), Rates(launches, aero)
    fixed = [rates.axis_y, rates.axis_z, rates.wind_x, rates.wind_y, rates.push, rates.per_speed, rates.ground]
    fixed += [rates.drag_more, rates.lift_times, time_guess(launches) / steps]
    rows = np.vstack([rows, *(np.broadcast_to(np.asarray(row, dtype=float), (1, count)) for row in fixed)])
    shape = [aero.cd0, aero.cd1, aero.cd2, aero.wave, aero.cl0, aero.power, aero.least_re, aero.most_re, aero.most_s]
    head = np.array([G, ROUGHNESS_M, RADIUS_M, LONGEST_S, *shape, aero.decay, NEAR_UP, NEAR_DOWN])
    out = np.empty((_ANSWERS, count))

    def part(first: int) -> None:
        some = rows[:, first : first + AT_ONCE]
        given = np.concatenate([[some.shape[1]], head, some.ravel()])
        out[:, first : first + AT_ONCE] = core.call("fly", given, _ANSWERS * some.shape[1]).reshape(_ANSWERS, -1)

    parts = range(0, count, AT_ONCE)
    workers = min(threads or os.cpu_count() or 1, len(parts))
    if workers <= 1:
        for first in parts:
            part(first)
    else:
        with ThreadPoolExecutor(workers) as pool:
            list(pool.map(part, parts))
    x, y, _, vx, vy, vz, spin, time, apex = out
    return Landings(
        carry_m=x,
        side_m=y,
        time_s=time,
        apex_m=apex,
        land_speed_mps=np.sqrt(vx * vx + vy * vy + vz * vz),
        descent_deg=np.degrees(np.arctan2(-vz, np.hypot(vx, vy))),
        land_spin_rpm=spin * 60 / (2 * np.pi),
    )
