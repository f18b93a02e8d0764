"""The swings of a clip as numbers and messages. What is not measured is None, with the reason among the messages."""

from collections.abc import Sequence
from typing import Any, Final

from threequarter.golf.message import to_json
from threequarter.swing.camera import squared
from threequarter.swing.check import SwingCheck
from threequarter.swing.doubt import HIDDEN_IMPACT_S, LEAST_SEEN, LEAST_SEEN_DOWN

SLOWING_BELOW: Final = 0.86
"""Hands under this share of their peak speed at the ball, beyond doubt, count as slowed. A figure for the contract: no reader is told
a verdict, since good partial swings of people may fall below it (Tinmark et al. 2010)."""


def measured(found: SwingCheck, felt: Sequence[str | None] = ()) -> dict[str, Any]:
    """The object of the contract without its words: plain JSON, messages as JSON under `warnings_told`. `felt` names what was
    meant, swing by swing; a single name holds for all."""
    meant = list(felt) * len(found.swings) if len(felt) == 1 else list(felt)
    meant += [None] * (len(found.swings) - len(meant))
    view, clock = found.view, found.clock
    return {
        "swings": [_swing(found, i, name) for i, name in zip(range(len(found.swings)), meant, strict=False)],
        "handedness": found.hand,
        "camera_azimuth_deg": None if view.azimuth_deg is None else round(view.azimuth_deg, 1),
        "camera_azimuth90_deg": round(view.azimuth90_deg, 1),
        "camera_roll_deg": round(view.roll_deg, 1),
        "frames_per_s": round(found.frames_per_s, 2),
        "slower": clock.slower if clock.sure else None,
        "slower_chances": [[slower, round(chance, 3)] for slower, chance in clock.chances if chance >= 0.01],
        "warnings_told": [to_json(line) for line in found.warnings],
    }


def _swing(found: SwingCheck, i: int, felt: str | None) -> dict[str, Any]:
    swing, doubt, camera_deg = found.swings[i], found.doubt90[i], found.camera_deg
    finish = swing.lead_arm_finish_deg
    square = squared(swing.lead_arm_top_deg, finish or 0.0, camera_deg or 0.0)
    known = camera_deg is not None
    crushed = "swing.crushed" in {line.code for line in found.warnings}
    clear = swing.seen_down >= LEAST_SEEN_DOWN and not crushed
    timed = not crushed and doubt["t_impact_s"] < 0.9 * HIDDEN_IMPACT_S * swing.slower
    start = None if crushed else swing.t_takeaway_s
    took = None if start is None or not timed or not found.clock.sure else swing.t_impact_s - start
    answer: dict[str, Any] = {
        "number": found.numbers[i],
        "t_takeaway_s": _round(start, 4),
        "t_top_s": round(swing.t_top_s, 4),
        "t_impact_s": round(swing.t_impact_s, 4),
        "t_finish_s": _round(swing.t_finish_s, 4),
        "lead_arm_top_deg": round(swing.lead_arm_top_deg, 2),
        "lead_arm_finish_deg": _round(finish, 2),
        "lead_arm_top_square_deg": round(square[0], 2) if known else None,
        "lead_arm_finish_square_deg": round(square[1], 2) if known and finish is not None else None,
        "hand_height_top": round(swing.hand_height_top, 3),
        "hand_height_finish": _round(swing.hand_height_finish, 3),
        "tempo_ratio": _round(swing.tempo_ratio, 3) if timed else None,
        "impact_over_peak": round(swing.impact_over_peak, 3) if clear else None,
        "decelerating": clear and swing.impact_over_peak + doubt["impact_over_peak"] < SLOWING_BELOW,
        "to_ball_s": _round(None if took is None else took / swing.slower, 3),
        "struck": found.struck[i],
        "struck_signs": list(found.signs[i]),
        "doubt90": doubt,
        "felt": felt,
        "warnings_told": [to_json(line) for line in found.told[i]],
    }
    for end, seen in (("top", swing.seen_top), ("finish", swing.seen_finish)):
        if seen < LEAST_SEEN:
            for name in (f"lead_arm_{end}_deg", f"lead_arm_{end}_square_deg", f"hand_height_{end}"):
                answer[name] = None
    return answer


def _round(value: float | None, digits: int) -> float | None:
    return None if value is None else round(value, digits)
