"""Whether a swing struck a ball: the sound of it, the ball that is gone from the ground, the arm. Each may be missing."""

from typing import Final, Literal

import numpy as np
from numpy.typing import NDArray

from threequarter.swing.doubt import HIDDEN_IMPACT_S, LEAST_SEEN_DOWN
from threequarter.swing.measure import Swing
from threequarter.swing.sound import CAMERA_M, SPEED_OF_SOUND_MPS
from threequarter.swing.track import Seen, Stretch, Track

Floats = NDArray[np.float64]
Struck = Literal["ball", "practice", "unknown"]

FULL_VIEW_TIMES: Final = 1.2
"""How tall a picture's longer side shows things a metre away, in metres: a phone's main camera while filming (26 mm, cropped; common
practice, no source). Other lenses put the distance off by a third, the sound by 5 ms."""
STATURE_M: Final = 1.7
NEAREST_M: Final = 1.5
FURTHEST_M: Final = 20.0
NEAR_S: Final = 0.15
"""A bang belongs to a swing whose arm is at impact so near it: sound and picture of phones are up to 0.1 s apart (from memory, no
source)."""
BALL_PX: Final = 2.2
"""Spread of a ball on the ground pictures (43 mm, 5.7 mm a pixel, blurred)."""
LEAST_CONTRAST: Final = 8.0
LEAST_TIMES: Final = 7.0
"""A ball stands out by so many grey levels, and so many times the usual unevenness of the ground."""
FEET_ROWS: Final = 36
"""Rows from the top of a ground picture in which shoes may move."""


def struck(track: Track, at: int, swing: Swing) -> tuple[Struck, tuple[str, ...]]:
    """Whether a ball was struck and what speaks for it ("heard", "ball gone"; against: "ball lies", "silent")."""
    signs = []
    if heard_at(track, swing) is not None:
        signs.append("heard")
    elif track.heard and track.bangs and _loudest(track) - 6 > 15:
        signs.append("silent")
    gone = ball_gone(track.stretches[at], swing)
    if gone is not None:
        signs.append("ball gone" if gone else "ball lies")
    if "ball gone" in signs and "silent" in signs:
        return "unknown", tuple(signs)
    if "ball gone" in signs or ("heard" in signs and "ball lies" not in signs):
        return "ball", tuple(signs)
    if "ball lies" in signs and "heard" not in signs:
        return "practice", tuple(signs)
    return "unknown", tuple(signs)


def heard_at(track: Track, swing: Swing) -> float | None:
    """When the ball was heard, in seconds of the clip; None where no bang is near the swing, or the clip is slow motion (its sound
    is another's)."""
    if swing.slower != 1.0:
        return None
    later = (CAMERA_M - camera_m(track.seen)) / SPEED_OF_SOUND_MPS
    within = NEAR_S if swing.seen_down >= LEAST_SEEN_DOWN else HIDDEN_IMPACT_S
    near = [(loud, at + later) for at, loud in track.bangs if abs(at + later - swing.t_impact_s) <= within]
    return max(near)[1] if near else None


def camera_m(seen: Seen) -> float:
    """How far the camera stands from the player, metres, by how tall the player is in the picture; CAMERA_M where that is not known."""
    if not seen.tall_share or not seen.height:
        return CAMERA_M
    share = float(np.median(seen.tall_share)) * seen.height / max(seen.height, seen.width)
    return float(np.clip(STATURE_M / FULL_VIEW_TIMES / max(share, 0.05), NEAREST_M, FURTHEST_M))


def _loudest(track: Track) -> float:
    return max(loud for _, loud in track.bangs)


def ball_gone(stretch: Stretch, swing: Swing) -> bool | None:
    """Whether a ball lay in front of the feet at the top and no more after impact; None where none was seen to lie there."""
    k, t = swing.slower, stretch.ground_s
    before = (t > swing.t_top_s - 0.3 * k) & (t < swing.t_top_s + 0.12 * k)
    after = (t > swing.t_impact_s + 0.15 * k) & (t < swing.t_impact_s + 0.9 * k)
    if before.sum() < 2 or after.sum() < 2:
        return None
    first, last = _spots(np.median(stretch.ground[before], axis=0)), _spots(np.median(stretch.ground[after], axis=0))
    change = first - last
    noise = 1.48 * float(np.median(np.abs(first - np.median(first)))) + 0.5
    row, column = np.unravel_index(int(np.argmax(np.where(first >= LEAST_CONTRAST, change, 0))), change.shape)
    if (
        change[row, column] > LEAST_TIMES * noise
        and first[row, column] > LEAST_CONTRAST
        and last[row, column] < 0.35 * first[row, column]
    ):
        return True
    stays = np.minimum(first, last)
    row, column = np.unravel_index(int(np.argmax(stays)), stays.shape)
    return False if stays[row, column] > max(LEAST_CONTRAST, LEAST_TIMES * noise) else None


def _spots(ground: Floats) -> Floats:
    """How much each place looks like a small bright ball: difference of Gaussians (Marr & Hildreth 1980)."""
    from scipy.ndimage import gaussian_filter

    ground = ground.astype(np.float64)
    spots = gaussian_filter(ground, BALL_PX) - gaussian_filter(ground, 3 * BALL_PX)
    return np.asarray(spots[FEET_ROWS:, 20:-20])
