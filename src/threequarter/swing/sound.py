"""Bangs in a clip's sound: moments where it is suddenly much louder than just before (a ball that is struck, among others).

High-pass onset: the loudness of a millisecond against the median of the quarter of a second before (Bello et al. 2005, A
Tutorial on Onset Detection in Music Signals, section III, energy of a high-frequency weighted signal).
"""

from typing import Final

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

STEP_S: Final = 0.001
BEFORE: Final = 250
LEAST_DB: Final = 15.0
APART: Final = 150
SPEED_OF_SOUND_MPS: Final = 340.0
CAMERA_M: Final = 3.5
"""Sound takes 10 ms to a phone that stands 3 to 4 m away, as the advice on filming asks."""
QUIETEST: Final = 1e-9


def bangs_of(start_s: float, loud: Floats) -> tuple[tuple[float, float], ...]:
    """When it banged, in seconds of the clip at the ball, and how far it stood over what was heard just before, in decibels."""
    if len(loud) < 2 * BEFORE:
        return ()
    level = 10 * np.log10(np.maximum(loud, QUIETEST))
    floor = _floor(level)
    over = level - floor
    found: list[tuple[float, float]] = []
    for k in np.argsort(-over):
        if over[k] < LEAST_DB:
            break
        if all(abs(k * STEP_S - at) > APART * STEP_S for at, _ in found):
            found.append((float(k * STEP_S), float(over[k])))
    lag = CAMERA_M / SPEED_OF_SOUND_MPS
    return tuple(sorted((round(start_s + _onset(over, at) - lag, 4), round(db, 1)) for at, db in found))


def _floor(level: Floats) -> Floats:
    """The median of the quarter of a second before, for each millisecond (looked at every 25)."""
    at = np.arange(0, len(level), 25)
    middle = np.array([np.median(level[max(0, k - BEFORE) : max(k, 10)]) for k in at])
    return np.asarray(np.interp(np.arange(len(level)), at, middle))


def _onset(over: Floats, at_s: float) -> float:
    """The first millisecond of a bang: where it rose through half its height."""
    peak = round(at_s / STEP_S)
    k = peak
    while k > 0 and peak - k < 40 and over[k - 1] > 0.5 * over[peak]:
        k -= 1
    return k * STEP_S
