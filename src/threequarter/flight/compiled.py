"""The same flights as `trajectory.py`, compiled, for batches of thousands: one core does some hundred thousand a second.

Flights run in blocks of LANES side by side, every loop over the lanes without a branch, so that the compiler uses the
processor's vector registers. It does not vectorise log, exp and sin of the maths library, so these are our own short series
(relative error below 1e-9). A block ends when its last ball is down.
"""

import os
from concurrent.futures import ThreadPoolExecutor
from typing import Any, Final

import numpy as np
from numba import njit
from numpy.typing import NDArray

from threequarter.flight.aero import AREA_M2, DIAMETER_M, MASS_KG, RADIUS_M, Formula
from threequarter.flight.air import G
from threequarter.flight.trajectory import LONGEST_S, NEAR_DOWN, NEAR_UP, ROUGHNESS_M, Landings, Launches

Floats = NDArray[np.float64]

LANES: Final = 64
STEPS: Final = 16
"""0.4 mm at worst on the 60 open launches."""
MOST_TURNS: Final = 2000
_COLUMNS: Final = (
    "speed_mps",
    "launch_deg",
    "azimuth_deg",
    "spin_rpm",
    "axis_deg",
    "wind_mps",
    "wind_to_deg",
    "density_kg_m3",
    "viscosity_pa_s",
    "rise",
    "drag_more",
    "lift_times",
)


def fly_many(launches: Launches, aero: Formula, *, steps: int = STEPS, threads: int | None = None) -> Landings:
    """All flights, on `threads` processors (default: all). Same meaning of every field as `trajectory.fly`."""
    count = len(launches.speed_mps)
    columns = np.empty((len(_COLUMNS), count))
    for row, name in enumerate(_COLUMNS):
        columns[row] = getattr(launches, name)
    model = np.array(
        [
            aero.cd0,
            aero.cd1,
            aero.cd2,
            aero.wave,
            aero.cl0,
            aero.power,
            aero.least_re,
            min(aero.most_re, 1e9),
            min(aero.most_s, 1e9),
            aero.decay,
        ]
    )
    out = np.full((7, count), np.nan)
    workers = max(1, min(threads or os.cpu_count() or 1, count // (6 * LANES) or 1))
    edges = [LANES * round(i * count / workers / LANES) for i in range(workers)] + [count]
    if workers == 1:
        _blocks(columns, model, steps, 0, count, out)
    else:
        with ThreadPoolExecutor(workers) as pool:
            list(pool.map(lambda i: _blocks(columns, model, steps, edges[i], edges[i + 1], out), range(workers)))
    return Landings(
        carry_m=out[0],
        side_m=out[1],
        time_s=out[2],
        apex_m=out[3],
        land_speed_mps=out[4],
        descent_deg=out[5],
        land_spin_rpm=out[6],
    )


KEPT: Final = any(os.access(place, os.W_OK) for place in (os.path.dirname(__file__), os.path.expanduser("~")))  # noqa: PTH111, PTH120
"""Whether the compiled code can be kept on disk; where nothing may be written it is compiled each time."""
_fast: Any = njit(fastmath=True, error_model="numpy", nogil=True, cache=KEPT)


@_fast
def _log(x, bits, whole, out):
    """Natural log of positive numbers. `bits` is an integer view of `whole`, a buffer of the same length."""
    for i in range(LANES):
        whole[i] = x[i]
    for i in range(LANES):
        b = bits[i]
        power = (b >> 52) - 1023
        bits[i] = (b & 0xFFFFFFFFFFFFF) | 0x3FF0000000000000
        out[i] = float(power)
    for i in range(LANES):
        m = whole[i]
        large = m > 1.4142135623730951
        m = 0.5 * m if large else m
        e = out[i] + 1.0 if large else out[i]
        s = (m - 1.0) / (m + 1.0)
        q = s * s
        series = 1.0 + q * (1 / 3 + q * (1 / 5 + q * (1 / 7 + q * (1 / 9 + q * (1 / 11)))))
        out[i] = 0.6931471805599453 * e + 2.0 * s * series


@_fast
def _exp(x, bits, whole, out):
    """exp of numbers in about -100 to 100. Buffers as for `_log`."""
    for i in range(LANES):
        turns = np.floor(x[i] * 1.4426950408889634 + 0.5)
        r = x[i] - turns * 0.6931471805599453
        out[i] = 1.0 + r * (
            1.0 + r * (1 / 2 + r * (1 / 6 + r * (1 / 24 + r * (1 / 120 + r * (1 / 720 + r * (1 / 5040 + r / 40320))))))
        )
        bits[i] = (np.int64(turns) + 1023) << 52
    for i in range(LANES):
        out[i] = out[i] * whole[i]


@_fast
def _rates(state, fixed, model, work, bits, slope):
    """Slope (7, LANES) of the state (x, y, z, vx, vy, vz, spin). `fixed` holds what does not change along a flight."""
    cd0, cd1, cd2, wave, cl0, power, least_re, most_re, most_s, decay = model
    height, ratio, by_height, lift, whole = work[0], work[1], work[2], work[3], work[4]
    speed, ux, uy = work[5], work[6], work[7]
    for i in range(LANES):
        height[i] = 1.0 + max(state[2, i] - fixed[7, i] * state[0, i], 0.0) / ROUGHNESS_M
    _log(height, bits, whole, by_height)
    for i in range(LANES):
        ux[i] = state[3, i] - fixed[2, i] * by_height[i]
        uy[i] = state[4, i] - fixed[3, i] * by_height[i]
        speed[i] = np.sqrt(ux[i] * ux[i] + uy[i] * uy[i] + state[5, i] * state[5, i])
        s = min(state[6, i] * RADIUS_M / speed[i], most_s)
        height[i] = s
        ratio[i] = max(s, 1e-9)
    _log(ratio, bits, whole, lift)
    for i in range(LANES):
        lift[i] = lift[i] * power
    _exp(lift, bits, whole, ratio)
    for i in range(LANES):
        s, v = height[i], speed[i]
        re = min(max(fixed[5, i] * v, least_re), most_re)
        angle = (re - 90_000.0) * 1.5707963267948966e-5
        turns = np.floor(angle * 0.3183098861837907 + 0.5)
        r = angle - turns * 3.141592653589793
        sign = 1.0 - 2.0 * (turns - 2.0 * np.floor(0.5 * turns))
        q = r * r
        sine = (
            sign
            * r
            * (
                1.0
                - q * (1 / 6 - q * (1 / 120 - q * (1 / 5040 - q * (1 / 362880 - q * (1 / 39916800 - q / 6227020800)))))
            )
        )
        drag = fixed[4, i] * (cd0 + s * (cd1 + s * cd2) + wave * sine + fixed[8, i]) * v
        up = fixed[4, i] * cl0 * fixed[9, i] * ratio[i] * v
        slope[0, i] = state[3, i]
        slope[1, i] = state[4, i]
        slope[2, i] = state[5, i]
        slope[3, i] = -drag * ux[i] + up * (fixed[0, i] * state[5, i] - fixed[1, i] * uy[i])
        slope[4, i] = -drag * uy[i] + up * fixed[1, i] * ux[i]
        slope[5, i] = -drag * state[5, i] - up * fixed[0, i] * ux[i] - G
        slope[6, i] = -decay * state[6, i] * v / RADIUS_M


@_fast
def _quintic(s, h, p, v, a, q, w, b):
    gap = q - p - h * v - 0.5 * h * h * a
    rate = h * (w - v - h * a)
    bend = h * h * (b - a)
    c3, c4, c5 = 10 * gap - 4 * rate + 0.5 * bend, -15 * gap + 7 * rate - bend, 6 * gap - 3 * rate + 0.5 * bend
    return p + s * (h * v + s * (0.5 * h * h * a + s * (c3 + s * (c4 + s * c5))))


@_fast
def _hermite(s, h, p, v, q, w):
    return (1 + 2 * s) * (1 - s) ** 2 * p + s * (1 - s) ** 2 * h * v + s * s * (3 - 2 * s) * q + s * s * (s - 1) * h * w


@_fast
def _down(i, h, time, apex, state, slope, after, after_slope, g, out, at):
    """Where within the last step a ball meets the ground (bisection, then the answer's seven numbers)."""
    p, q = state[2, i] - g * state[0, i], after[2, i] - g * after[0, i]
    v, w = state[5, i] - g * state[3, i], after[5, i] - g * after[3, i]
    a, b = slope[5, i] - g * slope[3, i], after_slope[5, i] - g * after_slope[3, i]
    low, high = 0.0, 1.0
    for _ in range(40):
        middle = 0.5 * (low + high)
        if _quintic(middle, h, p, v, a, q, w, b) > 0:
            low = middle
        else:
            high = middle
    s = 0.5 * (low + high)
    vx = _hermite(s, h, state[3, i], slope[3, i], after[3, i], after_slope[3, i])
    vy = _hermite(s, h, state[4, i], slope[4, i], after[4, i], after_slope[4, i])
    vz = _hermite(s, h, state[5, i], slope[5, i], after[5, i], after_slope[5, i])
    out[0, at] = _quintic(s, h, state[0, i], state[3, i], slope[3, i], after[0, i], after[3, i], after_slope[3, i])
    out[1, at] = _quintic(s, h, state[1, i], state[4, i], slope[4, i], after[1, i], after[4, i], after_slope[4, i])
    out[2, at] = time + s * h
    out[3, at] = apex
    out[4, at] = np.sqrt(vx * vx + vy * vy + vz * vz)
    out[5, at] = np.degrees(np.arctan2(-vz, np.hypot(vx, vy)))
    out[6, at] = _hermite(s, h, state[6, i], slope[6, i], after[6, i], after_slope[6, i]) * 60 / (2 * np.pi)


@_fast
def _turn(i, h, state, slope, after, after_slope):
    """The highest point within a step in which the climb turns to a fall."""
    s = state[5, i] / (state[5, i] - after[5, i])
    for _ in range(3):
        climb = _hermite(s, h, state[5, i], slope[5, i], after[5, i], after_slope[5, i])
        if climb < state[5, i]:
            s = s + climb * s / max(state[5, i] - climb, 1e-9)
    return _hermite(s, h, state[2, i], state[5, i], after[2, i], after[5, i])


@_fast
def _start(columns, at, i, steps, state, fixed):
    """Lane `i` holds flight `at`; returns the longest step."""
    speed, spin = columns[0, at], columns[3, at] * 2 * np.pi / 60
    up, turn = np.radians(columns[1, at]), np.radians(columns[2, at])
    tilt, to = np.radians(columns[4, at]), np.radians(columns[6, at])
    wind = columns[5, at] / np.log1p(10 / ROUGHNESS_M)
    for k in range(3):
        state[k, i] = 0.0
    state[3, i] = speed * np.cos(up) * np.cos(turn)
    state[4, i] = speed * np.cos(up) * np.sin(turn)
    state[5, i] = speed * np.sin(up)
    state[6, i] = spin
    fixed[0, i], fixed[1, i] = -np.cos(tilt), np.sin(tilt)
    fixed[2, i], fixed[3, i] = wind * np.cos(to), wind * np.sin(to)
    fixed[4, i] = 0.5 * columns[7, at] * AREA_M2 / MASS_KG
    fixed[5, i] = columns[7, at] * DIAMETER_M / columns[8, at]
    fixed[7, i], fixed[8, i], fixed[9, i] = columns[9, at], columns[10, at], columns[11, at]
    return 2.2 * speed * np.sin(np.radians(max(columns[1, at], 8.0))) / G / steps


@_fast
def _blocks(columns, model, steps, first, last, out):
    """Flights `first` to `last` (not included), a block of LANES at a time; the last block repeats its last flight."""
    state, trial, after = np.empty((7, LANES)), np.empty((7, LANES)), np.empty((7, LANES))
    one, two, three, four = np.empty((7, LANES)), np.empty((7, LANES)), np.empty((7, LANES)), np.empty((7, LANES))
    fixed, work = np.empty((10, LANES)), np.empty((9, LANES))
    longest, step, time, apex = np.empty(LANES), np.empty(LANES), np.empty(LANES), np.empty(LANES)
    flying = np.empty(LANES, np.bool_)
    bits = work[4].view(np.int64)
    constants = (model[0], model[1], model[2], model[3], model[4], model[5], model[6], model[7], model[8], model[9])
    for block in range(first, last, LANES):
        for i in range(LANES):
            longest[i] = _start(columns, min(block + i, last - 1), i, steps, state, fixed)
            time[i], apex[i] = 0.0, 0.0
            flying[i] = block + i < last
        _rates(state, fixed, constants, work, bits, one)
        up = min(LANES, last - block)
        for _ in range(MOST_TURNS):
            for i in range(LANES):
                height = max(state[2, i] - fixed[7, i] * state[0, i], 0.0)
                climb = state[5, i] - fixed[7, i] * state[3, i]
                share = NEAR_UP if climb > 0 else NEAR_DOWN
                near = share * (height + ROUGHNESS_M) / max(abs(climb), 0.1)
                step[i] = min(longest[i], max(near, 1e-4))
            for k in range(7):
                for i in range(LANES):
                    trial[k, i] = state[k, i] + 0.5 * step[i] * one[k, i]
            _rates(trial, fixed, constants, work, bits, two)
            for k in range(7):
                for i in range(LANES):
                    trial[k, i] = state[k, i] + 0.5 * step[i] * two[k, i]
            _rates(trial, fixed, constants, work, bits, three)
            for k in range(7):
                for i in range(LANES):
                    trial[k, i] = state[k, i] + step[i] * three[k, i]
            _rates(trial, fixed, constants, work, bits, four)
            for k in range(7):
                for i in range(LANES):
                    after[k, i] = state[k, i] + step[i] / 6 * (one[k, i] + 2 * two[k, i] + 2 * three[k, i] + four[k, i])
            _rates(after, fixed, constants, work, bits, two)
            for i in range(LANES):
                if flying[i]:
                    if state[5, i] > 0 >= after[5, i]:
                        apex[i] = max(apex[i], _turn(i, step[i], state, one, after, two))
                    g = fixed[7, i]
                    if after[2, i] <= g * after[0, i] and after[5, i] < g * after[3, i]:
                        _down(i, step[i], time[i], apex[i], state, one, after, two, g, out, block + i)
                        flying[i] = False
                        up -= 1
                    elif time[i] > LONGEST_S:
                        flying[i] = False
                        up -= 1
                time[i] += step[i]
            if up == 0:
                break
            state, after = after, state
            one, two = two, one
