"""How the truth of a clip changes when the clip is cut, slowed, mirrored, turned or moved. Pure; every function gives a new truth.

Times (`t_..._s`) are seconds of the file, as a viewer sees them; spans and speeds stay those of the true swing. Lead-arm angles and
hand heights stay those against gravity. What a clip cannot tell is null.
"""

from __future__ import annotations

import copy
import operator
from collections.abc import Callable
from functools import partial
from typing import Any

import numpy as np
from numpy.typing import NDArray

Truth = dict[str, Any]
TIMES = ("t_takeaway_s", "t_takeaway_1deg_s", "t_top_s", "t_impact_s", "t_finish_s", "t_peak_hand_speed_s")
OF_TAKEAWAY = ("t_takeaway_s", "t_takeaway_1deg_s", "backswing_s", "tempo_ratio", "tempo_ratio_1deg")
OF_TOP = (
    "t_top_s",
    "lead_arm_top_deg",
    "lead_arm_top_square_deg",
    "hand_height_top",
    "hand_height_top_square",
    "downswing_s",
)
OF_FINISH = (
    "t_finish_s",
    "lead_arm_finish_deg",
    "lead_arm_finish_square_deg",
    "hand_height_finish",
    "hand_height_finish_square",
)
OTHER_SIDE = {"left": "right", "right": "left"}


def cut(truth: Truth, start_s: float, end_s: float) -> Truth:
    """Only what happens from `start_s` to `end_s`, which becomes second 0: instants outside are null, and all that hangs on them.

    A swing whose impact lies outside is no swing of the clip any more.
    """
    new = copy.deepcopy(truth)
    new["swings"] = [s for s in new["swings"] if s["t_impact_s"] is not None and start_s <= s["t_impact_s"] <= end_s]
    for swing in new["swings"]:
        _forget(swing, "t_takeaway_s", start_s, end_s, OF_TAKEAWAY)
        _forget(swing, "t_top_s", start_s, end_s, (*OF_TOP, *OF_TAKEAWAY))
        _forget(swing, "t_finish_s", start_s, end_s, OF_FINISH)
    return clocked(new, lambda t: t - start_s)


def _forget(swing: dict[str, Any], instant: str, start_s: float, end_s: float, fields: tuple[str, ...]) -> None:
    if swing[instant] is None or not start_s <= swing[instant] <= end_s:
        swing.update(dict.fromkeys(fields))


def clocked(truth: Truth, new_time: Callable[[float], float], slowed: float = 1.0) -> Truth:
    """Every instant by another clock; `slowed` says how many times slower than life the file shows it."""
    new = copy.deepcopy(truth)
    for swing in new["swings"] + new.get("practice", []):
        for name in TIMES:
            if swing.get(name) is not None:
                swing[name] = float(new_time(swing[name]))
    new["slowed"] = slowed * truth.get("slowed", 1.0)
    return new


def slow_motion(truth: Truth, factor: float) -> Truth:
    """Shown `factor` times slower."""
    return clocked(truth, lambda t: t * factor, factor)


def mirrored(truth: Truth, width_px: int) -> Truth:
    """Left and right changed. The camera's angle counts from the target's side, so it stays."""
    new = copy.deepcopy(truth)
    new["handedness"] = OTHER_SIDE[truth["handedness"]]
    names = truth["keypoint_names"]
    partner = [names.index(_other(name)) for name in names]
    points = np.array(truth["keypoints_px"])[:, partner]
    points[..., 0] = width_px - 1 - points[..., 0]
    new["keypoints_px"] = points
    return new


def _other(name: str) -> str:
    side, part = name.split("_", 1)
    return f"{OTHER_SIDE[side]}_{part}"


def moved(truth: Truth, matrix: NDArray[np.float64]) -> Truth:
    """Body points under an affine map: 2 x 3, or one such a picture."""
    points = np.asarray(truth["keypoints_px"])
    maps = np.broadcast_to(matrix, (len(points), 2, 3))
    new = copy.deepcopy({k: v for k, v in truth.items() if k != "keypoints_px"})
    new["keypoints_px"] = np.einsum("fab,fjb->fja", maps[..., :2], points) + maps[:, None, :, 2]
    return new


def rolled(truth: Truth, clockwise_deg: float, matrix: NDArray[np.float64]) -> Truth:
    """The picture turned clockwise by a crooked camera; `..._picture_deg` is the arm against the picture's own upright.

    A right-hander's arm at the top points to the left: turned clockwise it stands higher in the picture, at the finish lower.
    """
    new = moved(truth, matrix)
    new["picture_turned_deg"] = clockwise_deg
    sign = 1 if truth["handedness"] == "right" else -1
    for swing in new["swings"]:
        for at, way in (("top", 1), ("finish", -1)):
            arm = swing[f"lead_arm_{at}_deg"]
            swing[f"lead_arm_{at}_picture_deg"] = None if arm is None else arm + way * sign * clockwise_deg
    return new


def joined(truths: list[tuple[float, Truth]]) -> Truth:
    """Several clips after one another, each from its own start second."""
    new = copy.deepcopy(truths[0][1])
    parts = [clocked(truth, partial(operator.add, start)) for start, truth in truths]
    new["swings"] = [swing for part in parts for swing in part["swings"]]
    new["practice"] = [swing for part in parts for swing in part.get("practice", [])]
    new["keypoints_px"] = np.concatenate([part["keypoints_px"] for part in parts])
    return new


def as_practice(truth: Truth) -> Truth:
    """The same swings, with no ball hit."""
    new = copy.deepcopy(truth)
    new["practice"], new["swings"] = new["swings"], []
    return new


def lead_arm_deg(truth: Truth) -> NDArray[np.float64]:
    """Lead shoulder to the middle of the wrists from straight down, picture by picture; positive to a right-hander's target side."""
    names, points = truth["keypoint_names"], np.asarray(truth["keypoints_px"])
    lead = OTHER_SIDE[truth["handedness"]]
    hands = (points[:, names.index("left_wrist")] + points[:, names.index("right_wrist")]) / 2
    arm = hands - points[:, names.index(f"{lead}_shoulder")]
    sign = 1 if truth["handedness"] == "right" else -1
    angles: NDArray[np.float64] = np.degrees(np.unwrap(np.arctan2(sign * arm[:, 0], arm[:, 1])))
    return angles
