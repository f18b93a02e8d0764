"""How a distance was measured, and the error that brings.

Each way has two errors. One is each ball's own (`Ball.error_sd_m`) and averages out over a bucket; the other is the same
for all balls of the session (`Ball.shared_sd_m`: the length of a step, where the person with the laser stood, how firm the
ground was) and never does. Rounding is kept apart (`Ball.rounding_m`).

All sizes here are common practice, no source, unless a line names one: pacing is good to about 3 %, a laser to about a
yard, and nobody is right about the middle of a pile by less than a yard or two.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import hypot, sqrt
from statistics import fmean, variance
from typing import Final

from threequarter.golf.ball import MeasuredBy
from threequarter.golf.errors import UserError
from threequarter.golf.message import Message
from threequarter.golf.units import YARD_M

LASER_SD_M: Final = 0.4 * YARD_M
"""Aiming at one ball; with the shared part and the rounding to a yard, right to about a yard."""
LASER_SHARED_SD_M: Final = 0.4 * YARD_M
"""Where the person stood, and the instrument's own offset."""
PACES_SD: Final = 0.03
PILE_SD_M: Final = 1.5 * YARD_M / 1.645
"""The middle of a pile is right to 1.5 yd nine times in ten."""
PHONE_RADIUS_M: Final = 5.0
"""Accuracy a phone states in the open."""
RADIUS_TO_SD: Final = 1 / 2.448
"""A phone states the radius that holds 95 % (W3C Geolocation, `accuracy`, from memory); of a round normal that is
2.448 SD of one axis (sqrt(-2 ln 0.05))."""
PACE_M: Final = 0.9
PACE_SD: Final = 0.04
"""A step that was never checked is 0.9 m to about 4 %."""
STEP_RANGE_M: Final = (0.4, 1.3)


@dataclass(frozen=True, slots=True, kw_only=True)
class StepLength:
    """A player's own step in metres and its relative doubt (SD), the same for all balls paced with it."""

    pace_m: float = PACE_M
    sd: float = PACE_SD


def own_step(pace_m: float) -> StepLength:
    """A step length as the player tells it, to 3 %. Raises UserError for one that nobody takes."""
    if not STEP_RANGE_M[0] <= pace_m <= STEP_RANGE_M[1]:
        raise UserError(Message("measurement.step", step=pace_m, least=STEP_RANGE_M[0], most=STEP_RANGE_M[1]))
    return StepLength(pace_m=pace_m, sd=PACES_SD)


def calibrate_step(paces: Sequence[float], distance_m: float) -> StepLength:
    """A step length from walking a known distance, once or several times: `paces` counted on each walk.

    112 paces over 100 m make 0.893 m to 3 %. More walks lower the doubt, by their own scatter weighed with the usual 3 %
    (as if two walks more had been seen), never below 0.5 %.
    Raises UserError for no walk, fewer than ten paces, or a step no adult or child takes (0.4 to 1.3 m).
    """
    if not paces or min(paces) < 10 or not distance_m > 0:
        raise UserError(Message("measurement.walk"))
    steps = [distance_m / count for count in paces]
    step = fmean(steps)
    if not STEP_RANGE_M[0] <= step <= STEP_RANGE_M[1]:
        raise UserError(
            Message(
                "measurement.walked_step",
                paces=tuple(paces),
                distance=distance_m,
                step=round(step, 2),
                least=STEP_RANGE_M[0],
                most=STEP_RANGE_M[1],
            )
        )
    usual, weight = PACES_SD**2, 2
    seen = variance(steps) / step**2 if len(steps) > 1 else usual
    pooled = (weight * usual + (len(steps) - 1) * seen) / (weight + len(steps) - 1)
    return StepLength(pace_m=step, sd=max(0.005, sqrt(pooled / len(steps))))


def error_sd_m(by: MeasuredBy, distance_m: float, *, pile: bool = False, radius_m: float = PHONE_RADIUS_M) -> float:
    """SD in metres of one reading, its rounding apart; 0 for a device, whose rounding is its error.

    `pile` adds the doubt about where the middle of a pile is; `radius_m` is the accuracy a phone stated.
    """
    own = {
        MeasuredBy.DEVICE: 0.0,
        MeasuredBy.LASER: LASER_SD_M,
        MeasuredBy.PACES: PACES_SD * distance_m,
        MeasuredBy.PILE: PILE_SD_M,
        MeasuredBy.POSITION: radius_m * RADIUS_TO_SD,
        MeasuredBy.UNKNOWN: 0.0,
    }[by]
    return hypot(own, PILE_SD_M) if pile and by is not MeasuredBy.PILE else own


def shared_sd_m(
    by: MeasuredBy, distance_m: float, step: StepLength | None = None, *, radius_m: float = PHONE_RADIUS_M
) -> float:
    """SD in metres of the error that all readings of a session share: the step length, where the laser or the phone's
    first position stood. 0 for a device."""
    if by is MeasuredBy.PACES:
        return (step or StepLength()).sd * distance_m
    if by is MeasuredBy.POSITION:
        return radius_m * RADIUS_TO_SD
    return LASER_SHARED_SD_M if by is MeasuredBy.LASER else 0.0
