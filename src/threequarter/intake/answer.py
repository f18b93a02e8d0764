"""The reading as plain JSON, always in SI: what `read` and `note` print."""

from collections.abc import Callable
from typing import Any

from threequarter.golf.ball import Ball
from threequarter.golf.errors import UserError
from threequarter.golf.message import Message
from threequarter.intake.reading import Reading


def ball_answer(ball: Ball) -> dict[str, Any]:
    """One ball: where it stands, whose it is, what was measured; null where nothing was read."""
    place = ball.place
    return {
        "number": ball.number,
        "row": place.row if place else None,
        "sheet": place.sheet if place else None,
        "col": place.col if place else None,
        "player": ball.player,
        "club": ball.club or None,
        "loft_deg": ball.loft_deg,
        "swing": ball.swing or None,
        "carry_m": round(ball.distance_m, 5),
        "measured_as": ball.measured_as.value,
        "measured_by": ball.measured_by.value,
        "error_sd_m": ball.error_sd_m,
        "offline_m": None if ball.offline_m is None else round(ball.offline_m, 5),
        "ball_speed_ms": None if ball.ball_speed_mps is None else round(ball.ball_speed_mps, 5),
        "launch_deg": ball.launch_deg,
        "backspin_rpm": ball.backspin_rpm,
        "strike": ball.strike.value if ball.strike else None,
        "note": ball.note,
        "use": ball.use,
        "count": ball.count,
        "day": ball.day,
    }


def reading_answer(reading: Reading, say: Callable[[Message], str] = str) -> dict[str, Any]:
    """The whole reading: balls, rows set aside, questions, error, and the plan, each line of it as `say` says it."""
    return {
        "balls": [ball_answer(ball) for ball in reading.balls],
        "set_aside": [
            {"row": a.place.row, "sheet": a.place.sheet, "col": a.place.col, "why": say(a.why), "text": a.text}
            for a in reading.set_aside
        ],
        "questions": [
            {"about": q.about, "text": say(q.text), "option": q.option, "choices": list(q.choices)}
            for q in reading.questions
        ],
        "error": say(reading.error) if reading.error else None,
        "plan": [say(line) for line in reading.plan],
        "unit": reading.unit,
        "columns": [
            {
                "column": column.number,
                "heading": column.heading,
                "verdict": column.verdict,
                "role": column.role,
                "why": say(Message(f"intake.why.{column.why}")) if column.why else None,
            }
            for column in reading.columns
        ],
        "rows": dict(reading.rows),
        "days": [day.isoformat() if day else None for day in reading.days],
        "conditions": dict(reading.conditions),
    }


def sure_balls(reading: Reading) -> tuple[Ball, ...]:
    """The balls of a reading that leaves nothing open.

    Raises UserError with the reason, or with the question and the option that answers it.
    """
    if reading.error:
        raise UserError(reading.error)
    if reading.questions:
        question = reading.questions[0]
        if not question.option:
            raise UserError(Message("intake.of_file", file=reading.name, error=question.text))
        about = {"file": reading.name, "question": question.text, "option": question.option}
        if question.choices:
            raise UserError(Message("intake.open_question_of", **about, choices_or=question.choices))
        raise UserError(Message("intake.open_question", **about))
    return reading.balls
