"""The swings of a clip as plain JSON. What is not measured is null, with the reason among the warnings."""

from typing import Any

from threequarter.swing.measure import Motion, Swing

NOT_SQUARE = "angles corrected to a square camera are not measured yet: they are as filmed only"
NO_PLAYER = "no player was seen in this clip"
NO_SWING = "no swing was found: no fast move of the hands back and through the ball"
SLOW_CAMERA = "the clip has {rate:.0f} frames a second: impact is known to about ±{doubt:.0f} ms; film with 60 or more"
LEAST_RATE = 50.0


def swings_answer(curves: Motion | None, swings: tuple[Swing, ...], frames_per_s: float) -> dict[str, Any]:
    """The object of the contract: swings, handedness, camera, warnings."""
    warnings = []
    if curves is None:
        warnings.append(NO_PLAYER)
    elif not swings:
        warnings.append(NO_SWING)
    elif frames_per_s < LEAST_RATE:
        warnings.append(SLOW_CAMERA.format(rate=frames_per_s, doubt=500 / frames_per_s))
    return {
        "swings": [_swing_answer(swing) for swing in swings],
        "handedness": curves.hand if curves and swings else None,
        "camera_azimuth_deg": None,
        "warnings": warnings,
    }


def _swing_answer(swing: Swing) -> dict[str, Any]:
    return {
        "t_takeaway_s": round(swing.t_takeaway_s, 4),
        "t_top_s": round(swing.t_top_s, 4),
        "t_impact_s": round(swing.t_impact_s, 4),
        "t_finish_s": round(swing.t_finish_s, 4),
        "lead_arm_top_deg": round(swing.lead_arm_top_deg, 2),
        "lead_arm_finish_deg": round(swing.lead_arm_finish_deg, 2),
        "lead_arm_top_square_deg": None,
        "lead_arm_finish_square_deg": None,
        "hand_height_top": round(swing.hand_height_top, 3),
        "hand_height_finish": round(swing.hand_height_finish, 3),
        "tempo_ratio": round(swing.tempo_ratio, 3),
        "impact_over_peak": round(swing.impact_over_peak, 3),
        "decelerating": swing.decelerating,
        "warnings": [NOT_SQUARE],
    }
