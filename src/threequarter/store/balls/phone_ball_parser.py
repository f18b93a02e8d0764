"""A ball as a phone tells it: what was typed and how it was measured, made into a ball with its own error."""

from collections.abc import Mapping
from typing import Any, Final

from threequarter.golf.ball import Ball, MeasuredAs, MeasuredBy, Strike
from threequarter.golf.errors import UserError
from threequarter.golf.message import Message
from threequarter.golf.units import METRES_PER
from threequarter.measurement.errors import StepLength, calibrate_step, error_sd_m, shared_sd_m

CARRY_M: Final = (0.5, 250.0)
RADIUS_M: Final = (0.1, 100.0)
MOST_IN_A_PILE: Final = 200
RESTS: Final = (MeasuredBy.LASER, MeasuredBy.PACES, MeasuredBy.PILE, MeasuredBy.POSITION)


def ball_of(told: Mapping[str, Any]) -> Ball:
    """A ball from what a phone sends: club, swing, `carry` in its `unit` (yd, m or paces), and what else was typed.

    `by` says what it was measured with: paces bring the player's `step` ([paces, metres] walked once), a pile its `count`,
    a position the radii that the phone stated (`radius_m` at the ball, `start_radius_m` at the mat), whose errors are the
    ball's own and shared by all balls. Raises UserError for what cannot be.
    """
    club, swing = (str(told.get(name) or "").strip()[:100] for name in ("club", "swing"))
    if not club or not swing:
        raise UserError(Message("store.it_has_no_club_or"))
    by = MeasuredBy(told["by"]) if told.get("by") in set(MeasuredBy) else MeasuredBy.UNKNOWN
    paced = told.get("unit") == "paces"
    step = _step(told.get("step")) if paced else None
    unit_m = step.pace_m if step else METRES_PER.get(told.get("unit"), 0.0)  # type: ignore[arg-type]
    distance_m = _distance(told.get("carry"), unit_m, told.get("unit"))
    own_m, start_m = _radius(told.get("radius_m"), by), _radius(told.get("start_radius_m"), by)
    return Ball(
        number=0,
        club=club,
        swing=swing,
        distance_m=distance_m,
        measured_by=by,
        measured_as=MeasuredAs.REST if by in RESTS else MeasuredAs.CARRY,
        error_sd_m=error_sd_m(by, distance_m, radius_m=own_m) or None,
        shared_sd_m=shared_sd_m(by, distance_m, step, radius_m=start_m) or None,
        rounding_m=step.pace_m if step else None,
        offline_m=_side(told.get("side"), unit_m, distance_m),
        strike=Strike(told["strike"]) if told.get("strike") in set(Strike) else None,
        count=_count(told.get("count"), by),
        guess_m=_guess(told.get("guess"), told.get("guess_unit")),
    )


def told_of(ball: Ball, key: str) -> dict[str, Any]:
    """A ball read from a typed line as a phone would send it; `ball_of` reads it back."""
    return {
        "key": key,
        "club": ball.club,
        "swing": ball.swing,
        "carry": ball.distance_m,
        "unit": "m",
        "side": ball.offline_m,
        "strike": ball.strike.value if ball.strike else None,
        "by": ball.measured_by.value,
        "count": ball.count,
    }


def _distance(carry: Any, unit_m: float, unit: Any) -> float:
    if not unit_m or not _is_number(carry) or not CARRY_M[0] <= carry * unit_m <= CARRY_M[1]:
        what = f"{carry!r} {unit or ''}".strip()[:40]
        raise UserError(Message("store.no_wedge_carries", distance=what))
    return float(carry * unit_m)


def _step(told: Any) -> StepLength:
    if told is None:
        return StepLength()
    if not isinstance(told, list) or len(told) != 2 or not all(_is_number(value) for value in told):
        raise UserError(Message("store.the_step_is_told_as"))
    return calibrate_step([float(told[0])], float(told[1]))


def _side(side: Any, unit_m: float, distance_m: float) -> float | None:
    if side is None:
        return None
    if not _is_number(side) or abs(side * unit_m) > distance_m:
        raise UserError(Message("store.a_side_of_cannot_be", side=repr(side)[:40]))
    return float(side * unit_m)


def _count(count: Any, by: MeasuredBy) -> int:
    if by is not MeasuredBy.PILE or count is None:
        return 1
    if isinstance(count, bool) or not isinstance(count, int) or not 1 <= count <= MOST_IN_A_PILE:
        raise UserError(Message("store.a_pile_of_balls_cannot", count=repr(count)[:40]))
    return count


def _radius(radius: Any, by: MeasuredBy) -> float:
    if by is not MeasuredBy.POSITION:
        return 0.0
    if not _is_number(radius) or not RADIUS_M[0] <= radius <= RADIUS_M[1]:
        raise UserError(Message("store.the_phone_did_not_say"))
    return float(radius)


def _guess(guess: Any, unit: Any) -> float | None:
    if guess is None:
        return None
    unit_m = METRES_PER.get(unit, 0.0)
    if not unit_m or not _is_number(guess) or not CARRY_M[0] <= guess * unit_m <= CARRY_M[1]:
        raise UserError(Message("store.a_guess_of_cannot_be", guess=f"{guess!r} {unit or ''}".strip()[:40]))
    return float(guess * unit_m)


def _is_number(value: Any) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool)
