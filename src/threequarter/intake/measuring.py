"""How a distance was measured, the error that brings, and from where a ball lies back to its carry.

The errors are common practice, no source: pacing is good to about 3 %, a laser to about a yard, and nobody is right
about the middle of a pile by less than a yard or two. A phone's position is good to a few metres in the open.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final, Literal

import numpy as np

from threequarter.golf.ball import Ball, MeasuredAs, MeasuredBy
from threequarter.golf.club import parse_club
from threequarter.golf.errors import UserError
from threequarter.golf.swing_length import parse_swing
from threequarter.golf.units import YARD_M

Ground = Literal["soft", "normal", "firm", "plugs"]

LASER_SD_M: Final = 0.5 * YARD_M
PACES_SD: Final = 0.03
PILE_SD_M: Final = 1.5 * YARD_M / 1.645
"""The middle of a pile is right to 1-2 yd nine times in ten."""
POSITION_SD_M: Final = 3.0
PACE_M: Final = 0.9
PACE_SD: Final = 0.04
"""A step that was never checked is 0.9 m to about 4 %, the same error for every ball of a session."""

RUN_SHARE: Final[dict[Ground, float]] = {"soft": 0.03, "normal": 0.08, "firm": 0.16, "plugs": 0.0}
"""Run-out of a mid wedge with a half swing as a share of its carry. Common practice, no source."""
RUN_DOUBT: Final = 0.6
"""SD of the log of the run-out."""


@dataclass(frozen=True, slots=True, kw_only=True)
class StepLength:
    """A player's own step in metres and its relative doubt (SD), the same for all balls paced with it."""

    pace_m: float = PACE_M
    sd: float = PACE_SD


def calibrate_step(paces: Sequence[float], distance_m: float) -> StepLength:
    """A step length from walking a known distance, once or several times.

    Raises UserError for no walk, fewer than ten paces, or a step no adult or child takes (0.4 to 1.3 m).
    """
    if not paces or min(paces) < 10 or not distance_m > 0:
        raise UserError("Walk a known distance of at least ten paces and give the paces and the metres.")
    steps = distance_m / np.asarray(paces, dtype=float)
    step = float(steps.mean())
    if not 0.4 <= step <= 1.3:
        raise UserError(
            f"{paces[0]:g} paces over {distance_m:g} m make a step of {step:.2f} m; a step is 0.4 to 1.3 m."
        )
    spread = float(steps.std(ddof=1)) / step if len(steps) > 1 else PACES_SD
    return StepLength(pace_m=step, sd=max(0.005, spread / len(steps) ** 0.5))


def error_sd_m(by: MeasuredBy, distance_m: float, rounding_m: float = 0.0) -> float:
    """SD of one reading of a distance, its rounding included."""
    own = {
        MeasuredBy.DEVICE: 0.0,
        MeasuredBy.LASER: LASER_SD_M,
        MeasuredBy.PACES: PACES_SD * distance_m,
        MeasuredBy.PILE: PILE_SD_M,
        MeasuredBy.POSITION: POSITION_SD_M,
        MeasuredBy.UNKNOWN: 0.0,
    }[by]
    return float(np.hypot(own, rounding_m / 12**0.5))


def run_out(carry_m: float, loft_deg: float, reach: float, ground: Ground) -> tuple[float, float]:
    """Run-out in metres and its SD: less for more loft and for a longer swing, which fly higher and land steeper."""
    share = RUN_SHARE[ground] * np.exp(-0.07 * (loft_deg - 54)) * np.exp(-0.9 * (reach - 0.6))
    run = float(share * carry_m)
    return run, float(run * RUN_DOUBT)


def to_carry(balls: Sequence[Ball], ground: Ground = "normal") -> tuple[tuple[Ball, ...], tuple[str, ...]]:
    """Balls whose rest distance was measured, brought to carry through a run-out with doubt; and what was done, in words.

    The doubt goes into `error_sd_m`. Balls measured as carry stay as they are.
    """
    moved, runs = [], []
    for ball in balls:
        if ball.measured_as is MeasuredAs.CARRY:
            moved.append(ball)
            continue
        loft = ball.loft_deg if ball.loft_deg is not None else parse_club(ball.club).loft_prior_deg[0]
        reach = parse_swing(ball.swing).reach or 0.65
        share = run_out(1.0, loft, reach, ground)
        carry = ball.distance_m / (1 + share[0])
        run_sd = share[1] * carry
        runs.append(ball.distance_m - carry)
        error = float(np.hypot(ball.error_sd_m or 0.0, run_sd))
        moved.append(replace(ball, distance_m=carry, measured_as=MeasuredAs.CARRY, error_sd_m=error))
    if not runs:
        return tuple(moved), ()
    how = (
        "the balls plug, so where they lie is their carry"
        if ground == "plugs"
        else (
            f"on {ground} ground a run-out of {min(runs):.0f}-{max(runs):.0f} m was taken off, and its doubt is in the chart"
        )
    )
    return tuple(moved), (f"{len(runs)} distances were measured where the ball lay: {how}.",)
