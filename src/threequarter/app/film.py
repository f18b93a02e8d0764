"""The film of a clip as a working surface: what is drawn on its pictures, and the swings it may be laid beside."""

from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from threequarter.app.own_swings import kept_track, own_clips
from threequarter.store.clips.clips import Clip
from threequarter.store.store import Store

Floats = NDArray[np.float64]
MOST_BESIDE: Final = 60
BODY: Final = (0, 11, 12, 13, 14, 15, 16, 23, 24, 25, 26, 27, 28)
"""The points that body lines are drawn between: nose, then shoulders, elbows, wrists, hips, knees and ankles, left and right."""


def film_points(store: Store, clip: Clip, answer: dict[str, Any]) -> dict[str, Any]:
    """For each picture looked at closely: its time and the points drawn on it, as shares of the upright picture's width and height;
    the lead arm's angle; and the swings with their instants. Raises UserError where the points are not kept any more."""
    from threequarter.swing.check import check

    seen = kept_track(store, clip)
    hand = answer.get("handedness") or "right"
    size = np.array([max(seen.seen.width, 1), max(seen.seen.height, 1)], dtype=float)
    stretches = [
        {
            "time_s": [round(float(t), 4) for t in one.time_s],
            "points": _drawn(one.points / size, one.visibility, hand),
            "body": [[round(float(v), 4) for v in row[list(BODY)].ravel()] for row in one.points / size],
        }
        for one in seen.stretches
    ]
    curves = [
        {"time_s": [round(float(t), 4) for t in c.time_s], "arm_deg": [round(float(a), 1) for a in c.arm_deg]}
        for c in check(seen).curves
    ]
    names = ("number", "t_takeaway_s", "t_top_s", "t_impact_s", "t_finish_s")
    return {
        "turned": seen.seen.turned,
        "aspect": float(size[0] / size[1]),
        "length_s": seen.duration_s,
        "frame_s": 1 / seen.frames_per_s if seen.frames_per_s else 1 / 30,
        "slower": answer.get("slower") or 1.0,
        "stretches": stretches,
        "curves": curves,
        "swings": [{name: swing.get(name) for name in names} for swing in answer["swings"]],
    }


def _drawn(points: Floats, visibility: Floats, hand: str) -> list[list[float]]:
    """x and y of the lead shoulder, the hands, the middle of shoulders and of hips, picture by picture, flat."""
    lead = 11 if hand == "right" else 12
    weight = np.clip(visibility[:, [15, 16]], 0.02, 1.0)[..., None] ** 3
    hands = (points[:, [15, 16]] * weight).sum(1) / weight.sum(1)
    columns = [points[:, lead], hands, points[:, [11, 12]].mean(1), points[:, [23, 24]].mean(1)]
    return [[round(float(v), 4) for v in row] for row in np.hstack(columns)]


def swings_beside(store: Store, clip: Clip) -> list[dict[str, Any]]:
    """The filmed swings of the same player, newest clips first, that this clip's may be laid beside: clip, its name, the day (None for
    this very clip, or of no session), number, instant of impact."""
    player = store.session(clip.session_id).player if clip.session_id is not None else None
    days = {one.id: one.held_on for one in store.sessions([player])} if player else {}
    found = []
    for other in reversed(list(own_clips(store, clip))):
        if other.state != "done" or not other.answer or not other.filmed:
            continue
        day = days.get(other.session_id) if other.session_id is not None and other.id != clip.id else None
        about = {"clip": other.id, "name": other.name, "day": day, "own": other.id == clip.id}
        for n, swing in enumerate(other.answer["swings"], start=1):
            found.append({**about, "number": swing.get("number", n), "impact_s": swing["t_impact_s"]})
    return found[:MOST_BESIDE]
