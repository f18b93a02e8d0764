"""A coach's own corrections of a swing: instants in seconds, or the hands and the lead shoulder on the picture; measures follow.

A correction is kept beside what was found, never instead of it; the fields it changed are named (`marked`).
"""

import itertools
from collections.abc import Mapping
from dataclasses import replace
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from threequarter.golf.errors import UserError
from threequarter.golf.language import _
from threequarter.swing.check import SwingCheck
from threequarter.swing.measure import (
    FINISH_LINE,
    FINISH_LOW,
    L_SHOULDER,
    L_WRIST,
    R_SHOULDER,
    R_WRIST,
    SPEED_LOST,
    TOP_LINE,
    Motion,
    Swing,
)
from threequarter.swing.track import Track

INSTANTS: Final = ("t_takeaway_s", "t_top_s", "t_impact_s", "t_finish_s")
POINTS: Final = ("hands_top", "hands_finish", "shoulder_top", "shoulder_finish")


def apply_marks(
    found: SwingCheck, track: Track, marks: Mapping[str, Mapping[str, Any]]
) -> tuple[SwingCheck, dict[int, list[str]]]:
    """The check with marks (by the swing's number as text, from 1), and the fields they changed by number.

    Raises UserError for instants out of order or outside of the clip, or a mark of no known kind.
    """
    swings, changed = list(found.swings), {}
    for number, told in marks.items():
        if not number.isdigit() or not 1 <= int(number) <= len(swings):
            raise UserError(_("There is no swing {number} in this clip.").format(number=number))
        i = int(number) - 1
        swings[i], fields = _marked(swings[i], found.curves[i], track, told, found.hand or "right")
        if fields:
            changed[i + 1] = fields
    return replace(found, swings=tuple(swings)), changed


def _marked(swing: Swing, curves: Motion, track: Track, told: Mapping[str, Any], hand: str) -> tuple[Swing, list[str]]:
    if unknown := set(told) - set(INSTANTS) - set(POINTS):
        raise UserError(
            _("A mark is one of {known}; not {unknown}.").format(
                known=", ".join((*INSTANTS, *POINTS)), unknown=", ".join(sorted(unknown))
            )
        )
    times = {name: float(told.get(name, getattr(swing, name))) for name in INSTANTS}
    order = [times[name] for name in INSTANTS]
    if (
        not all(a < b for a, b in itertools.pairwise(order))
        or order[0] < curves.time_s[0] - 1e-6
        or order[-1] > curves.time_s[-1] + 1e-6
    ):
        raise UserError(_("The instants go takeaway, top, impact, finish, inside the clip; these do not."))
    fields = [name for name in INSTANTS if name in told and abs(times[name] - getattr(swing, name)) > 1e-9]
    moved = replace(swing, **times)
    t = curves.time_s
    if "t_top_s" in fields:
        angle = float(np.interp(times["t_top_s"], t, curves.arm_deg))
        moved = replace(
            moved,
            lead_arm_top_deg=TOP_LINE[0] * angle + TOP_LINE[1],
            hand_height_top=float(np.interp(times["t_top_s"], t, curves.height)),
        )
        fields += ["lead_arm_top_deg", "hand_height_top"]
    if "t_finish_s" in fields:
        angle = float(np.interp(times["t_finish_s"], t, curves.arm_deg))
        height = float(np.interp(times["t_finish_s"], t, curves.height)) + FINISH_LOW
        moved = replace(moved, lead_arm_finish_deg=-FINISH_LINE[0] * angle + FINISH_LINE[1], hand_height_finish=height)
        fields += ["lead_arm_finish_deg", "hand_height_finish"]
    if "t_impact_s" in fields or "t_top_s" in fields:
        window = (t >= times["t_top_s"]) & (t <= times["t_impact_s"] + 0.1)
        share = float(np.interp(times["t_impact_s"], t, curves.wrist_speed)) / float(curves.wrist_speed[window].max())
        moved = replace(moved, impact_over_peak=min(1.0, share + SPEED_LOST))
        fields += ["impact_over_peak", "tempo_ratio"]
    for end in ("top", "finish"):
        if f"hands_{end}" in told or f"shoulder_{end}" in told:
            moved = replace(moved, **{f"lead_arm_{end}_deg": _angle(track, moved, told, end, hand)})
            fields.append(f"lead_arm_{end}_deg")
    return moved, list(dict.fromkeys(fields))


def _angle(track: Track, swing: Swing, told: Mapping[str, Any], end: str, hand: str) -> float:
    """The arm by the marked points; what was not marked is the model's."""
    at = getattr(swing, f"t_{end}_s")
    stretch = next(s for s in track.stretches if s.time_s[0] <= at <= s.time_s[-1])
    k = int(np.argmin(np.abs(stretch.time_s - at)))
    points = stretch.points[k]
    shoulder = _point(told.get(f"shoulder_{end}"), points[L_SHOULDER if hand == "right" else R_SHOULDER])
    hands = _point(told.get(f"hands_{end}"), points[[L_WRIST, R_WRIST]].mean(0))
    across, down = (hands - shoulder) * np.array([1.0 if hand == "right" else -1.0, 1.0])
    return float(np.degrees(np.arctan2(-across, down))) * (1 if end == "top" else -1)


def _point(told: Any, usual: NDArray[np.float64]) -> NDArray[np.float64]:
    if told is None:
        return usual
    if (
        not isinstance(told, list | tuple)
        or len(told) != 2
        or not all(isinstance(v, int | float) and np.isfinite(v) for v in told)
    ):
        raise UserError(_("A point is two numbers: pixels from the left and from the top."))
    return np.array(told, dtype=float)
