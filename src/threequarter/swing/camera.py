"""Where the camera stood, from how the player's shoulders and hips seem turned before the club moves; and how the filming was."""

from typing import Final, Literal

import numpy as np
from numpy.typing import NDArray

from threequarter.golf.language import N_
from threequarter.swing.measure import L_HIP, L_SHOULDER, R_HIP, R_SHOULDER, Swing
from threequarter.swing.said import Said
from threequarter.swing.track import Seen, Stretch, Track

Floats = NDArray[np.float64]
Hand = Literal["right", "left"]

SEEMS_TURNED_DEG: Final = -3.1
AZIMUTH_TIMES: Final = -1.1
"""Before a square camera the player's own line of shoulders and hips seems turned by this much, and turns a little less than the
camera does; from the open clips (rendered), left out one by one right to 3.3 degrees at worst."""
STILL_S: Final = 1.2
AGREE_DEG: Final = 25.0
LEAST_FRAMES: Final = 5

WARN_DEG: Final = 7.5
SMALL: Final = 0.33
DARK: Final = 38.0
SLOW_HZ: Final = 50.0
CUT_SHARE: Final = 0.2
WARN_ALONE_DEG: Final = 12.0
"""Without a swing it is not known which hand plays, so the player's own turn of three degrees is left in."""
STANDS_STILL_DEG: Final = 25.0
SHAKY: Final = 0.006
"""Share of the picture's longer side by which its edge moves between two looks, in every other look."""

TOP_SQUARE: Final = (0.5, 0.10)
FINISH_SQUARE: Final = (-1.8, -0.08)
"""What a square, far camera would show beside what was filmed: degrees, and degrees for a degree of azimuth. The hands are in front
of the shoulders, so a near or turned camera sees the arm at another angle (geometry of the open clips)."""


def azimuth_deg(stretches: tuple[Stretch, ...], swings: tuple[tuple[int, Swing], ...], hand: Hand) -> float | None:
    """How far the camera stands from square, positive towards the target side; None where the player was not seen still.

    `swings` pairs the index of a stretch with a swing in it.
    """
    found = []
    for at, swing in swings:
        stretch = stretches[at]
        still = (stretch.time_s < swing.t_takeaway_s) & (stretch.time_s > swing.t_takeaway_s - STILL_S)
        if still.sum() >= LEAST_FRAMES:
            turned = [_turned(stretch.world[still], *pair) for pair in ((L_SHOULDER, R_SHOULDER), (L_HIP, R_HIP))]
            found.append(float(np.mean(turned)) * (1 if hand == "right" else -1))
    if not found:
        return None
    return AZIMUTH_TIMES * (float(np.median(found)) - SEEMS_TURNED_DEG)


def turned_without_swing(seen: Seen) -> float | None:
    """How far the camera stands from square by the whole clip, positive to the picture's right; for a clip without a swing."""
    if len(seen.worlds) < LEAST_FRAMES:
        return None
    world = np.array(seen.worlds)
    line = world[:, L_SHOULDER] - world[:, R_SHOULDER]
    angle = np.degrees(np.arctan2(line[:, 2], line[:, 0]))
    if np.subtract(*np.quantile(angle, [0.9, 0.1])) > STANDS_STILL_DEG:
        return None  # the player walks about or turns
    middle = np.mean([_turned(world, *pair) for pair in ((L_SHOULDER, R_SHOULDER), (L_HIP, R_HIP))])
    return AZIMUTH_TIMES * float(middle)


def _turned(world: Floats, left: int, right: int) -> float:
    """The middle angle of a line across the body against the picture, seen from above."""
    line = world[:, left] - world[:, right]
    angle = np.degrees(np.arctan2(line[:, 2], line[:, 0]))
    middle = np.median(angle)
    near = np.abs(angle - middle) < AGREE_DEG
    return float(np.median(angle[near])) if near.any() else float(middle)


def squared(top_deg: float, finish_deg: float, camera_deg: float) -> tuple[float, float]:
    """The arm's angles as a square, far camera would show them."""
    top = top_deg + TOP_SQUARE[0] + TOP_SQUARE[1] * camera_deg
    finish = finish_deg + FINISH_SQUARE[0] + FINISH_SQUARE[1] * camera_deg
    return top, finish


OFF_SQUARE: Final = {
    ("target", "left"): N_("camera off square by about {angle}° to the target side: move it away from the target (to its own left), square to the chest"),
    ("target", "right"): N_("camera off square by about {angle}° to the target side: move it away from the target (to its own right), square to the chest"),
    ("trail", "left"): N_("camera off square by about {angle}° to the trail side: move it towards the target (to its own left), square to the chest"),
    ("trail", "right"): N_("camera off square by about {angle}° to the trail side: move it towards the target (to its own right), square to the chest"),
}  # fmt: skip
SEEMS_OFF: Final = {
    "left": N_("the camera seems turned by about {angle}°: move it to its own left, square to the chest"),
    "right": N_("the camera seems turned by about {angle}°: move it to its own right, square to the chest"),
}
SHAKES: Final = N_("the picture shakes: put the phone on something steady")
FEW_FRAMES: Final = N_("{frames} frames a second: impact is known to about ±{doubt} ms; film with 60 or more")
FAR: Final = N_("the player fills only {share} % of the picture's height: come nearer")
CUT_OFF: Final = N_(
    "the player is cut off at the head or the feet: step back until the whole body and the club are in view"
)
TOO_DARK: Final = N_("the picture is dark: film towards the light side or in better light")
SEVERAL: Final = N_("several people are in view: the largest was measured; let only the player be seen")


def warnings(track: Track, camera_deg: float | None, hand: Hand | None) -> list[Said]:
    """What to do better next time, each in one line."""
    seen, said = track.seen, []
    if camera_deg is not None and abs(camera_deg) >= WARN_DEG:
        way = "left" if (camera_deg > 0) == (hand == "right") else "right"
        said.append(Said(OFF_SQUARE["target" if camera_deg > 0 else "trail", way], angle=round(abs(camera_deg))))
    if camera_deg is None and (turned := turned_without_swing(seen)) is not None and abs(turned) >= WARN_ALONE_DEG:
        said.append(Said(SEEMS_OFF["left" if turned > 0 else "right"], angle=round(abs(turned))))
    if len(seen.shakes) >= LEAST_FRAMES and float(np.median(seen.shakes)) > SHAKY:
        said.append(Said(SHAKES))
    if 0 < track.frames_per_s < SLOW_HZ:
        said.append(Said(FEW_FRAMES, frames=round(track.frames_per_s), doubt=round(500 / track.frames_per_s)))
    if seen.tall_share and float(np.median(seen.tall_share)) < SMALL:
        said.append(Said(FAR, share=round(100 * float(np.median(seen.tall_share)))))
    if seen.with_player and seen.cut_off > CUT_SHARE * seen.with_player:
        said.append(Said(CUT_OFF))
    if seen.light and float(np.median(seen.light)) < DARK:
        said.append(Said(TOO_DARK))
    if seen.people and float(np.median(seen.people)) > 1.5:
        said.append(Said(SEVERAL))
    return said
