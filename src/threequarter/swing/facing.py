"""Left and right set right where the model takes a player who faces the camera for one seen from behind.

A plain front without folds looks like a back, and the model then calls left right, for a while or all along. The points cannot tell
the two apart (a drawn back has its toes as near as a drawn front); the ball can: it lies before the feet, so only who faces the
camera has it below them in the picture, and it is gone after impact. Without that sign the clip is refused.
"""

from dataclasses import replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from threequarter.swing.measure import L_HIP, L_SHOULDER, R_HIP, R_SHOULDER, Swing
from threequarter.swing.pose import MIRROR
from threequarter.swing.strike import ball_gone
from threequarter.swing.track import Stretch, Track

Floats = NDArray[np.float64]

ADDRESS: Final = 1 / 3
"""The first part of a stretch shows the player at address."""
FOLLOWED: Final = [11, 12, 23, 24, 25, 26, 27, 28]


def faced(stretch: Stretch) -> Stretch:
    """The stretch with left and right exchanged in the pictures that had them wrong; the same one where none had."""
    count = len(stretch.time_s)
    exchanged = np.zeros(count, np.bool_)
    start = max(1, round(count * ADDRESS))
    if not count or len(stretch.exchanged) or np.median(_across(stretch.points[:start])) >= 0:
        return stretch
    points, world, visibility = stretch.points.copy(), stretch.world.copy(), stretch.visibility.copy()
    before: Floats | None = None
    for k in range(count):
        now, other = points[k, FOLLOWED], points[k, MIRROR][FOLLOWED]
        wrong = _across(points[k : k + 1])[0] < 0 if before is None else _far(other, before) < _far(now, before)
        if wrong:
            exchanged[k] = True
            points[k], world[k], visibility[k] = points[k, MIRROR], world[k, MIRROR], visibility[k, MIRROR]
        before = points[k, FOLLOWED]
    return replace(stretch, points=points, world=world, visibility=visibility, exchanged=exchanged)


def from_behind(stretch: Stretch, swing: Swing) -> bool:
    """Whether left and right were exchanged for a swing of whose ball nothing shows that the player faces the camera."""
    return bool(stretch.exchanged.any()) and ball_gone(stretch, swing) is not True


def all_faced(seen: Track) -> Track:
    """The track with every stretch `faced`."""
    return replace(seen, stretches=tuple(map(faced, seen.stretches)))


def _across(points: Floats) -> Floats:
    """How far the left side lies to the right of the right one: positive for a player who faces the camera."""
    return np.asarray(points[:, L_SHOULDER, 0] - points[:, R_SHOULDER, 0] + points[:, L_HIP, 0] - points[:, R_HIP, 0])


def _far(one: Floats, other: Floats) -> float:
    return float(np.hypot(*(one - other).T).sum())
