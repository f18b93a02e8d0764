"""From where a ball lies back to its carry.

The run-out is the flight model's own (`flight.shots`, `flight.ground`), the same that tells what a shot does on a green: launches
that give a carry with a club of that loft, landed on the ground named. A steeper, faster spinning ball runs less, so a full swing
runs less than a short one with the same club.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from math import hypot
from typing import Final, Literal

import numpy as np
from numpy.typing import NDArray

from threequarter.flight.ground import FAIRWAYS, RUN_OWN, RUN_SHARED, Firmness, run_half90_m, run_out
from threequarter.flight.shots import KnownShots, infer_launches
from threequarter.flight.weather import Weather
from threequarter.golf.ball import Ball, Carried, MeasuredAs
from threequarter.golf.club import parse_club
from threequarter.golf.message import Message

Floats = NDArray[np.float64]
Ground = Literal["soft", "normal", "firm", "plugs"]

CARRIES_M: Final = np.geomspace(4.0, 220.0, 12)
WORLDS: Final = 48
SEED: Final = 56


@dataclass(frozen=True, slots=True, kw_only=True)
class RunOut:
    """A run-out in metres with its uncertainty: what all balls of a session share, and what each has of its own (SDs in metres)."""

    run_m: float
    shared_sd_m: float
    ball_sd_m: float


@dataclass(frozen=True, slots=True, eq=False)
class RunOutTable:
    """Run-outs of one club on one ground, by carry (arrays of one length, metres)."""

    carry_m: Floats
    run_m: Floats
    shared_sd_m: Floats
    ball_sd_m: Floats

    def at(self, carry_m: float) -> RunOut:
        run, shared, own = (
            float(np.interp(carry_m, self.carry_m, values)) for values in (self.run_m, self.shared_sd_m, self.ball_sd_m)
        )
        return RunOut(run_m=run, shared_sd_m=shared, ball_sd_m=own)

    def before(self, rest_m: float) -> float:
        """The carry that with its run-out ends where the ball lies."""
        return float(np.interp(rest_m, np.maximum.accumulate(self.carry_m + self.run_m), self.carry_m))


def run_out_m(carry_m: float, club: str, loft_deg: float | None, ground: Ground) -> RunOut:
    """The run-out of a carry on a ground, with its uncertainty; a loft that is not known widens it."""
    if ground == "plugs":
        return RunOut(run_m=0.0, shared_sd_m=0.0, ball_sd_m=0.0)
    return run_out_table(*_loft(club, loft_deg), ground).at(carry_m)


def to_carry(balls: Sequence[Ball], ground: Ground = "normal") -> tuple[tuple[Carried, ...], tuple[Message, ...]]:
    """Balls whose rest distance was measured, brought to carry through a run-out; and what was done.

    The uncertainty of each ball goes into `error_sd_m`, what all share into `shared_sd_m`. Balls measured as carry stay as they
    are, and a second call changes nothing.
    """
    moved: list[Carried] = []
    runs: list[float] = []
    for ball in balls:
        if ball.measured_as is MeasuredAs.CARRY:
            moved.append(Carried.of(ball))
            continue
        carry, run = _before_run(ball, ground)
        runs.append(run.run_m)
        moved.append(
            Carried.of(
                replace(
                    ball,
                    distance_m=carry,
                    measured_as=MeasuredAs.CARRY,
                    error_sd_m=hypot(ball.error_sd_m or 0.0, run.ball_sd_m) or None,
                    shared_sd_m=hypot(ball.shared_sd_m or 0.0, run.shared_sd_m) or None,
                )
            )
        )
    return tuple(moved), _said(runs, ground)


def _before_run(ball: Ball, ground: Ground) -> tuple[float, RunOut]:
    if ground == "plugs":
        return ball.distance_m, run_out_m(ball.distance_m, ball.club, ball.loft_deg, ground)
    table = run_out_table(*_loft(ball.club, ball.loft_deg), ground)
    carry = table.before(ball.distance_m)
    return carry, table.at(carry)


def _loft(club: str, loft_deg: float | None) -> tuple[float, float]:
    return (loft_deg, 0.0) if loft_deg is not None else parse_club(club).loft_prior_deg


@lru_cache(maxsize=256)
def run_out_table(loft_deg: float, loft_sd_deg: float, ground: Firmness) -> RunOutTable:
    """Run-outs of a club by carry. What differs from world to world (the player's delivery, the ball, the air) is shared by all
    balls of a session; of what no model of a bounce tells, part is shared and part is each ball's own (`flight.ground`)."""
    count = len(CARRIES_M)
    shots = KnownShots.of_lofts(np.full(count, loft_deg), loft_sd_deg)
    carry = np.broadcast_to(CARRIES_M, (WORLDS, count))
    landed = infer_launches(carry, shots, Weather(), np.random.default_rng(SEED)).made
    run = run_out(landed.land_speed_mps, landed.descent_deg, landed.land_spin_rpm, FAIRWAYS[ground])
    middle, between = run.mean(axis=0), run.std(axis=0)
    wide = run_half90_m(middle) / 1.645
    return RunOutTable(
        carry_m=np.append(0.0, CARRIES_M),
        run_m=np.append(0.0, middle),
        shared_sd_m=_from_nought(np.hypot(between, RUN_SHARED * wide)),
        ball_sd_m=_from_nought(RUN_OWN * wide),
    )


def _from_nought(values: Floats) -> Floats:
    """Values by carry with one more for no carry at all, the same as the first."""
    return np.append(values[0], values)


def _said(runs: Sequence[float], ground: Ground) -> tuple[Message, ...]:
    if not runs:
        return ()
    values: Mapping[str, float | Message] = {"balls": len(runs), "low_m": min(runs), "high_m": max(runs)}
    if ground == "plugs":
        return (Message("measurement.plugged", balls=len(runs)),)
    return (Message("measurement.run_taken_off", **values, ground=Message(f"ground.{ground}")),)
