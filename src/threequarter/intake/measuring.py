"""How a distance was measured, the error that brings, and from where a ball lies back to its carry.

Each way has two errors. One is each ball's own (`Ball.error_sd_m`) and averages out over a bucket; the other is the same
for all balls of the session (`Ball.shared_sd_m`: the length of a step, where the person with the laser stood, how firm the
ground was) and never does. Rounding is told apart (`Ball.rounding_m`).

All sizes here are common practice, no source, unless a line names one: pacing is good to about 3 %, a laser to about a
yard, and nobody is right about the middle of a pile by less than a yard or two.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from math import exp, hypot, sqrt
from statistics import fmean, variance
from typing import Final, Literal

from threequarter.golf.ball import Ball, MeasuredAs, MeasuredBy
from threequarter.golf.club import parse_club
from threequarter.golf.errors import UserError
from threequarter.golf.language import N_, _, ngettext, number
from threequarter.golf.swing_length import parse_swing
from threequarter.golf.units import YARD_M

Ground = Literal["soft", "normal", "firm", "plugs"]

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

GROUND_WORDS: Final[dict[Ground, str]] = {
    "soft": N_("soft"), "normal": N_("normal"), "firm": N_("firm"), "plugs": N_("plugs"),
}  # fmt: skip
"""How a ground is said."""
RUN_SHARE: Final[dict[Ground, float]] = {"soft": 0.03, "normal": 0.08, "firm": 0.16, "plugs": 0.0}
"""Run-out of a 54 with a swing of 0.6 of a full one, as a share of its carry."""
RUN_SHARED_DOUBT: Final = 0.5
"""Relative SD of the run-out of a whole session: how firm the ground is, how much the player spins the ball. Measured
bounces of wedges scatter by half and more and no simple model fits them (Biber et al. 2023, Sports Engineering 26)."""
RUN_BALL_DOUBT: Final = 0.35
"""Relative SD from ball to ball."""
RUN_LEAST_SD_M: Final = 0.7
"""However short the run-out, it is not known better than this, shared and ball by ball, unless the balls plug."""
RUN_PER_DEGREE: Final = 0.07
RUN_PER_REACH: Final = 0.9
UNKNOWN_REACH: Final = (0.65, 0.2)
"""Mean and SD of the share of a full swing for a swing under a name of the player's own."""


@dataclass(frozen=True, slots=True, kw_only=True)
class StepLength:
    """A player's own step in metres and its relative doubt (SD), the same for all balls paced with it."""

    pace_m: float = PACE_M
    sd: float = PACE_SD


@dataclass(frozen=True, slots=True, kw_only=True)
class RunOut:
    """A run-out in metres with its doubt: what all balls share, and what each has of its own (SDs in metres)."""

    run_m: float
    shared_sd_m: float
    ball_sd_m: float


RunOutPrior = Callable[[float, str, str, float | None, Ground], RunOut]
"""(carry in metres, club, swing, loft in degrees where known, ground) -> run-out. Flight and bounce may give a better one."""


def own_step(pace_m: float) -> StepLength:
    """A step length as the player tells it, to 3 %. Raises UserError for one that nobody takes."""
    if not STEP_RANGE_M[0] <= pace_m <= STEP_RANGE_M[1]:
        raise UserError(
            _("A step of {step} m cannot be right: a step is {least} to {most} m.").format(
                step=number(pace_m, None), least=number(STEP_RANGE_M[0], None), most=number(STEP_RANGE_M[1], None)
            )
        )
    return StepLength(pace_m=pace_m, sd=PACES_SD)


def calibrate_step(paces: Sequence[float], distance_m: float) -> StepLength:
    """A step length from walking a known distance, once or several times: `paces` counted on each walk.

    112 paces over 100 m make 0.893 m to 3 %. More walks lower the doubt, by their own scatter weighed with the usual 3 %
    (as if two walks more had been seen), never below 0.5 %.
    Raises UserError for no walk, fewer than ten paces, or a step no adult or child takes (0.4 to 1.3 m).
    """
    if not paces or min(paces) < 10 or not distance_m > 0:
        raise UserError(_("Walk a known distance of at least ten paces and give the paces and the metres: 112,100."))
    steps = [distance_m / count for count in paces]
    step = fmean(steps)
    if not STEP_RANGE_M[0] <= step <= STEP_RANGE_M[1]:
        raise UserError(
            _("{paces} paces over {distance} m, a step of {step} m, cannot be right: a step is {least} to {most} m.").format(
                paces=", ".join(number(count, None) for count in paces), distance=number(distance_m, None),
                step=number(step, 2), least=number(STEP_RANGE_M[0], None), most=number(STEP_RANGE_M[1], None),
            )
        )  # fmt: skip
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


def run_out(carry_m: float, club: str, swing: str, loft_deg: float | None, ground: Ground) -> RunOut:
    """The run-out where nothing of the flight is known: less for more loft and for a longer swing, which land steeper.

    A loft or a swing length that is not known widens the doubt.
    """
    if ground == "plugs":
        return RunOut(run_m=0.0, shared_sd_m=0.0, ball_sd_m=0.0)
    loft, loft_sd = (loft_deg, 0.0) if loft_deg is not None else parse_club(club).loft_prior_deg
    reach = parse_swing(swing).reach
    reach, reach_sd = (reach, 0.0) if reach is not None else UNKNOWN_REACH
    run = carry_m * RUN_SHARE[ground] * exp(-RUN_PER_DEGREE * (loft - 54) - RUN_PER_REACH * (reach - 0.6))
    shared = hypot(RUN_SHARED_DOUBT, RUN_PER_DEGREE * loft_sd, RUN_PER_REACH * reach_sd) * run
    return RunOut(
        run_m=run, shared_sd_m=max(RUN_LEAST_SD_M, shared), ball_sd_m=max(RUN_LEAST_SD_M, RUN_BALL_DOUBT * run)
    )


def to_carry(
    balls: Sequence[Ball], ground: Ground = "normal", prior: RunOutPrior = run_out
) -> tuple[tuple[Ball, ...], tuple[str, ...]]:
    """Balls whose rest distance was measured, brought to carry through a run-out with doubt; and what was done, in words.

    The doubt of each ball goes into `error_sd_m`, what all share into `shared_sd_m`. Balls measured as carry stay as they
    are, and a second call changes nothing.
    """
    moved: list[Ball] = []
    runs: list[float] = []
    for ball in balls:
        if ball.measured_as is MeasuredAs.CARRY:
            moved.append(ball)
            continue
        carry, run = _before_run(ball, ground, prior)
        runs.append(run.run_m)
        moved.append(
            replace(
                ball, distance_m=carry, measured_as=MeasuredAs.CARRY,
                error_sd_m=hypot(ball.error_sd_m or 0.0, run.ball_sd_m) or None,
                shared_sd_m=hypot(ball.shared_sd_m or 0.0, run.shared_sd_m) or None,
            )
        )  # fmt: skip
    return tuple(moved), _said(runs, ground)


def _before_run(ball: Ball, ground: Ground, prior: RunOutPrior) -> tuple[float, RunOut]:
    """The carry that with its run-out ends where the ball lies. The run grows slower than the carry, so this settles."""
    carry = ball.distance_m
    for _step in range(50):
        run = prior(carry, ball.club, ball.swing, ball.loft_deg, ground)
        nearer = ball.distance_m - run.run_m
        if abs(nearer - carry) < 1e-9:
            break
        carry = nearer
    return carry, run


def _said(runs: Sequence[float], ground: Ground) -> tuple[str, ...]:
    if not runs:
        return ()
    if ground == "plugs":
        return (
            ngettext(
                "{count} distance was measured where the ball lay: the balls plug, so that is the carry.",
                "{count} distances were measured where the ball lay: the balls plug, so that is the carry.",
                len(runs),
            ).format(count=len(runs)),
        )
    low, high = number(min(runs)), number(max(runs))
    run = f"{low} m" if low == high else _("{low} to {high} m").format(low=low, high=high)
    text = ngettext(
        "{count} distance was measured where the ball lay: on {ground} ground a run-out of {run} was taken off. How far balls run"
        " is known only to about half of that, and the chart is that much less sure.",
        "{count} distances were measured where the ball lay: on {ground} ground a run-out of {run} was taken off. How far balls"
        " run is known only to about half of that, and the chart is that much less sure.",
        len(runs),
    )
    return (text.format(count=len(runs), ground=_(GROUND_WORDS[ground]), run=run),)
