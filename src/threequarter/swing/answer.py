"""The swings of a clip as plain JSON. What is not measured is null, with the reason among the warnings."""

from collections.abc import Sequence
from dataclasses import fields
from typing import Any, Final

from threequarter.golf.language import N_, _
from threequarter.swing.camera import squared
from threequarter.swing.check import SwingCheck
from threequarter.swing.doubt import LEAST_SEEN, doubts
from threequarter.swing.measure import Swing
from threequarter.swing.said import Said
from threequarter.swing.words import alike, say

HIDDEN: Final = {
    "top": N_("the hands were hidden at the top: arm and height there are not measured"),
    "finish": N_("the hands were hidden at the finish: arm and height there are not measured"),
}
NOT_STILL: Final = N_("the player was not seen standing still before the swing: the camera's angle is not known")


def swings_answer(found: SwingCheck, felt: Sequence[str | None] = ()) -> dict[str, Any]:
    """The object of the contract: swings, handedness, camera, warnings. `felt` names what was meant, swing by swing; a single
    name holds for all."""
    meant = list(felt) * len(found.swings) if len(felt) == 1 else list(felt)
    meant += [None] * (len(found.swings) - len(meant))
    return {
        "swings": [
            _swing_answer(swing, found.camera_deg, found.frames_per_s, name)
            for swing, name in zip(found.swings, meant, strict=False)
        ],
        "handedness": found.hand,
        "camera_azimuth_deg": None if found.camera_deg is None else round(found.camera_deg, 1),
        "frames_per_s": round(found.frames_per_s, 2),
        "words": [line for line in (alike(found.swings),) if line],
        "warnings": list(found.warnings),
        "warnings_said": [[line.text, line.values] for line in found.warnings],
    }


def said_again(answer: dict[str, Any]) -> dict[str, Any]:
    """An answer that was kept, its words and warnings in the language in use. What cannot be said again stays as it was."""
    swings = [_swing_again(swing, answer.get("camera_azimuth_deg")) for swing in answer["swings"]]
    again = answer | {"swings": swings}
    measured = [_measured(swing) for swing in answer["swings"]]
    if measured and all(measured):
        again["words"] = [line for line in (alike(tuple(found for found in measured if found)),) if line]
    if "warnings_said" in answer:
        again["warnings"] = [str(Said(text, **values)) for text, values in answer["warnings_said"]]
    return again


def _swing_again(swing: dict[str, Any], camera_deg: float | None) -> dict[str, Any]:
    measured = _measured(swing)
    if measured is None:
        return swing
    return swing | {"words": say(measured, swing.get("felt")), "warnings": _warnings(measured, camera_deg)}


def _measured(swing: dict[str, Any]) -> Swing | None:
    """The swing behind an answer; None where something of it was not seen."""
    values = {field.name: swing.get(field.name) for field in fields(Swing) if not field.name.startswith("seen_")}
    seen = {name: float(value) for name, value in values.items() if value is not None}
    return Swing(**seen) if len(seen) == len(values) else None


def _warnings(swing: Swing, camera_deg: float | None) -> list[str]:
    hidden = [
        _(HIDDEN[end]) for end, seen in (("top", swing.seen_top), ("finish", swing.seen_finish)) if seen < LEAST_SEEN
    ]
    return hidden if camera_deg is not None else [_(NOT_STILL), *hidden]


def _swing_answer(swing: Swing, camera_deg: float | None, frames_per_s: float, felt: str | None) -> dict[str, Any]:
    top, finish = squared(swing.lead_arm_top_deg, swing.lead_arm_finish_deg, camera_deg or 0.0)
    answer: dict[str, Any] = {
        "t_takeaway_s": round(swing.t_takeaway_s, 4),
        "t_top_s": round(swing.t_top_s, 4),
        "t_impact_s": round(swing.t_impact_s, 4),
        "t_finish_s": round(swing.t_finish_s, 4),
        "lead_arm_top_deg": round(swing.lead_arm_top_deg, 2),
        "lead_arm_finish_deg": round(swing.lead_arm_finish_deg, 2),
        "lead_arm_top_square_deg": round(top, 2),
        "lead_arm_finish_square_deg": round(finish, 2),
        "hand_height_top": round(swing.hand_height_top, 3),
        "hand_height_finish": round(swing.hand_height_finish, 3),
        "tempo_ratio": round(swing.tempo_ratio, 3),
        "impact_over_peak": round(swing.impact_over_peak, 3),
        "decelerating": swing.decelerating,
        "doubt90": doubts(swing, frames_per_s),
        "words": say(swing, felt),
        "felt": felt,
        "warnings": _warnings(swing, camera_deg),
    }
    if camera_deg is None:
        answer["lead_arm_top_square_deg"] = answer["lead_arm_finish_square_deg"] = None
    for end, seen in (("top", swing.seen_top), ("finish", swing.seen_finish)):
        if seen < LEAST_SEEN:
            for name in (f"lead_arm_{end}_deg", f"lead_arm_{end}_square_deg", f"hand_height_{end}"):
                answer[name] = None
    return answer
