"""How the camera stood: how far off square, by how the still player's shoulders and hips seem turned; and how far it was
rolled, by the straight lines of the background and the player's own upright."""

from dataclasses import dataclass
from math import hypot
from typing import Final, Literal

import numpy as np
from numpy.typing import NDArray

from threequarter.swing.measure import L_HIP, L_SHOULDER, R_HIP, R_SHOULDER, Swing
from threequarter.swing.picture import LINE_BINS, LINE_REACH_DEG
from threequarter.swing.track import Seen, Stretch, Track

Floats = NDArray[np.float64]
Hand = Literal["right", "left"]
L_ANKLE, R_ANKLE = 27, 28

SEEMS_TURNED_DEG: Final = -2.4
AZIMUTH_TIMES: Final = -1.06
"""Before a square camera the player's own line of shoulders and hips seems turned by this much, and turns a little less than the
camera does (scripts/swing_habits.py, open clips: right to 4.0 at worst with the clip left out)."""
STILL_S: Final = 1.0
LEAST_FRAMES: Final = 5
AZIMUTH90_DEG: Final = 5.0
"""From player to player, at the open clips; what the still seconds say against each other is added."""
DISAGREE: Final = 1.0
REFUSED_DEG: Final = 40.0
"""Further from face-on nothing is measured: the arm swings towards and away from the camera, not across."""
NARROW: Final = 0.42
"""Shoulders narrower than this share of the trunk are seen from the side: 0.67 to 0.77 face-on and at 15 degrees off."""

CLEAR_LINES: Final = 60.0
CLEAR_TIMES: Final = 1.5
"""Straight edges speak where so many lie within a degree and a half, this many times as many as in any other direction, both by
how probable they are: within PLAYER_SD_DEG of the player's own upright, or LEVEL_SD_DEG of the picture's."""
PLAYER_SD_DEG: Final = 4.0
LEVEL_SD_DEG: Final = 8.0
LINES90_DEG: Final = 1.8
ROLLED_TIMES: Final = 0.17
"""Of a player who lies askew in the picture the model's own points are off as well, by so much for a degree: rolled by -20 degrees the
arm at the top read 4 degrees too far, also after the roll was taken out (benchmarks/swings_by_others.py, roll_minus_20, o01_plain)."""
LEAST_ROLL_DEG: Final = 2.5
"""A smaller roll is left in the doubt: the lines of the open clips are up to 1.5 degrees off themselves."""
PLAYER_LEANS_DEG: Final = -1.4
PLAYER90_DEG: Final = 5.0
"""Ankles to shoulders of a player at address lean away from the target by this much on the open clips; people differ."""
UNKNOWN90_DEG: Final = 2.5
"""Without lines a phone held or set up by eye is rolled by no more, nine times in ten (common practice, no source)."""

TOP_SQUARE: Final = (0.5, 0.10)
FINISH_SQUARE: Final = (-1.8, -0.08)
"""What a square, far camera would show beside what was filmed: degrees, and degrees for a degree of azimuth. The hands are in front
of the shoulders, so a near or turned camera sees the arm at another angle (geometry of the open clips)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class View:
    """Where the camera stood: degrees off square, positive towards the target side (None not known), with its 90 % half-width;
    whether it looked from the side; its roll, positive where upright things lean to the right in the picture, as far as it was taken
    out of the points, and what is left in doubt of it, 90 %."""

    azimuth_deg: float | None = None
    azimuth90_deg: float = 30.0
    from_the_side: bool = False
    roll_deg: float = 0.0
    roll90_deg: float = PLAYER90_DEG
    roll_doubtful: bool = False


def view_of(track: Track, swings: tuple[tuple[int, Swing], ...], hand: Hand) -> View:
    """What the still player before the swings tells of the camera. `swings` pairs the index of a stretch with a swing in it."""
    sign = 1 if hand == "right" else -1
    shoulders, hips, widths, leans = [], [], [], []
    for at, swing in swings:
        stretch = track.stretches[at]
        still = _still(stretch, swing)
        if still.sum() < LEAST_FRAMES:
            continue
        shoulders.append(sign * _turned(stretch.world[still], L_SHOULDER, R_SHOULDER))
        hips.append(sign * _turned(stretch.world[still], L_HIP, R_HIP))
        points = stretch.points[still]
        widths.append(float(np.median(np.abs(points[:, L_SHOULDER, 0] - points[:, R_SHOULDER, 0]) / _trunk(points))))
        leans.append(_lean(points))
    roll, roll90, doubtful = roll_of(track.seen, leans, sign)
    if not shoulders:
        return View(roll_deg=roll, roll90_deg=roll90, roll_doubtful=doubtful)
    both = (np.array(shoulders) + np.array(hips)) / 2
    found = AZIMUTH_TIMES * (float(np.median(both)) - SEEMS_TURNED_DEG)
    apart = float(np.median(np.abs(np.array(shoulders) - np.array(hips))))
    scatter = float(np.ptp(both)) / 2 if len(both) > 1 else 0.0
    return View(
        azimuth_deg=found,
        azimuth90_deg=hypot(AZIMUTH90_DEG, DISAGREE * apart, scatter),
        from_the_side=abs(found) > REFUSED_DEG or float(np.median(widths)) < NARROW,
        roll_deg=roll,
        roll90_deg=roll90,
        roll_doubtful=doubtful,
    )


def _still(stretch: Stretch, swing: Swing) -> NDArray[np.bool_]:
    if swing.t_takeaway_s is None:
        return np.zeros(len(stretch.time_s), dtype=bool)
    start = swing.t_takeaway_s
    return np.asarray((stretch.time_s < start) & (stretch.time_s > start - STILL_S * swing.slower))


def _turned(world: Floats, left: int, right: int) -> float:
    """The middle angle of a line across the body against the picture, seen from above."""
    line = world[:, left] - world[:, right]
    angle = np.degrees(np.arctan2(line[:, 2], line[:, 0]))
    return float(np.median(angle))


def _trunk(points: Floats) -> Floats:
    across = points[:, [L_SHOULDER, R_SHOULDER]].mean(1) - points[:, [L_HIP, R_HIP]].mean(1)
    return np.asarray(np.maximum(np.hypot(*across.T), 1.0))


def _lean(points: Floats) -> float:
    """How far ankles to shoulders lean to the right in the picture, degrees."""
    up = points[:, [L_SHOULDER, R_SHOULDER]].mean(1) - points[:, [L_ANKLE, R_ANKLE]].mean(1)
    return float(np.median(np.degrees(np.arctan2(up[:, 0], -up[:, 1]))))


def roll_of(seen: Seen, leans: list[float], sign: int) -> tuple[float, float, bool]:
    """The camera's roll to take out, the doubt that is left, and whether lines and player speak of a roll that is not sure."""
    player = float(np.median(leans)) - sign * PLAYER_LEANS_DEG if leans else None
    lines = lines_roll(seen, player)
    if lines is not None:
        return (lines if abs(lines) >= LEAST_ROLL_DEG else 0.0), hypot(LINES90_DEG, ROLLED_TIMES * lines), False
    if player is not None and abs(player) > PLAYER90_DEG:  # only the player leans
        return player, hypot(PLAYER90_DEG, ROLLED_TIMES * player), True
    return 0.0, UNKNOWN90_DEG, False


def lines_roll(seen: Seen, player: float | None = None) -> float | None:
    """The roll by the straight lines of the background, those first that agree with the player's own upright; None where they are
    few or disagree."""
    counts = np.array(seen.lines)
    if len(counts) != LINE_BINS:
        return None
    angles = np.linspace(-LINE_REACH_DEG, LINE_REACH_DEG, LINE_BINS)
    near = np.convolve(counts, np.ones(3), "same")
    weighed = near * np.exp(
        -0.5 * ((angles - (player or 0.0)) / (PLAYER_SD_DEG if player is not None else LEVEL_SD_DEG)) ** 2
    )
    best = int(np.argmax(weighed))
    rest = weighed.copy()
    rest[max(0, best - 8) : best + 9] = 0
    if near[best] < CLEAR_LINES or weighed[best] < CLEAR_TIMES * rest.max():
        return None
    around = slice(max(0, best - 2), best + 3)
    return float(np.average(angles[around], weights=counts[around]))


def upright(points: Floats, roll_deg: float) -> Floats:
    """Points (..., 2) turned back by the roll, about the picture's corner."""
    turn = np.radians(roll_deg)
    x, y = points[..., 0], points[..., 1]
    return np.stack([np.cos(turn) * x + np.sin(turn) * y, -np.sin(turn) * x + np.cos(turn) * y], axis=-1)


def squared(top_deg: float, finish_deg: float, camera_deg: float) -> tuple[float, float]:
    """The arm's angles as a square, far camera would show them."""
    top = top_deg + TOP_SQUARE[0] + TOP_SQUARE[1] * camera_deg
    finish = finish_deg + FINISH_SQUARE[0] + FINISH_SQUARE[1] * camera_deg
    return top, finish
