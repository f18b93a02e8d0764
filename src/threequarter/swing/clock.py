"""How many times slower than life a clip shows its swings: found from their own shape, told only where one factor fits.

A slow-motion film that was exported at 30 pictures a second often says nothing of it. But every swing takes about as long:
from address to impact 0.93 to 1.92 s (5 to 95 %) and down to the ball 0.25 to 0.30 s, in 758 clips of good players at true
speed (McNally et al., GolfDB, CVPR Workshops 2019). Only factors that a camera can give are tried.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import exp, log
from typing import Final

from threequarter.swing.measure import Swing

CAMERA_FPS: Final = (60.0, 120.0, 240.0)
TO_IMPACT_S: Final = (1.1, 0.27)
DOWN_S: Final = (0.28, 0.25)
"""Median and spread of the logarithm of the two times. The spread is wider than in that source, whose players are good ones."""
FOUND: Final = 6.0
"""What one swing that shows itself at a factor speaks for it, in natural logarithms: an improbable swing outweighs none."""
SLOW_PRIOR: Final = 0.25
"""Nearly half of that source's face-on clips are slow motion, but they were cut for show: a coach's own film is less often."""
SURE: Final = 0.9


@dataclass(frozen=True, slots=True)
class Clock:
    """The factor that fits best, and all that fit by how probable they are, best first."""

    slower: float
    chances: tuple[tuple[float, float], ...]

    @property
    def sure(self) -> bool:
        """Whether only one factor fits: else seconds are not told, and the coach is asked."""
        return self.chances[0][1] >= SURE

    @property
    def fitting(self) -> tuple[float, ...]:
        """The factors that fit."""
        return tuple(slower for slower, chance in self.chances if chance > (1 - SURE) / 2)


def factors(frames_per_s: float, filmed_fps: float | None = None) -> tuple[float, ...]:
    """The factors a camera can give: films of 60, 120 and 240 pictures a second shown at the clip's own rate, and life."""
    found = [1.0]
    rates = (*CAMERA_FPS, filmed_fps) if filmed_fps else CAMERA_FPS
    for rate in rates:
        slower = rate / frames_per_s if frames_per_s > 0 else 1.0
        if slower > 1.3 and all(abs(log(slower / other)) > 0.05 for other in found):
            found.append(round(slower, 2))
    return tuple(sorted(found))


def choose(
    swings: Mapping[float, Sequence[Swing]],
    frames_per_s: float,
    filmed_fps: float | None = None,
    told: float | None = None,
) -> Clock:
    """Which factor fits the swings found at each. `told` by the coach, it holds."""
    if told:
        return Clock(told, ((told, 1.0),))
    weights = {
        slower: sum(FOUND + _fits(swing) for swing in found) + log(_prior(slower, swings, frames_per_s, filmed_fps))
        for slower, found in swings.items()
    }
    most = max(weights.values())
    total = sum(exp(w - most) for w in weights.values())
    chances = sorted(((slower, exp(w - most) / total) for slower, w in weights.items()), key=lambda one: -one[1])
    return Clock(chances[0][0], tuple(chances))


def _fits(swing: Swing) -> float:
    """The logarithm of how usual a swing's times are, life 0 at best."""
    found = -0.5 * (log((swing.t_impact_s - swing.t_top_s) / swing.slower / DOWN_S[0]) / DOWN_S[1]) ** 2
    if swing.t_takeaway_s is not None:
        took = (swing.t_impact_s - swing.t_takeaway_s) / swing.slower
        found -= 0.5 * (log(took / TO_IMPACT_S[0]) / TO_IMPACT_S[1]) ** 2
    return found


def _prior(slower: float, swings: Mapping[float, object], frames_per_s: float, filmed_fps: float | None) -> float:
    """How probable a factor is before the swing is looked at: by what the file says, else slow ones share a quarter."""
    if filmed_fps and frames_per_s > 0:
        told = max(1.0, filmed_fps / frames_per_s)
        return 0.9 if abs(log(slower / told)) < 0.05 else 0.1 / max(1, len(swings) - 1)
    return 1 - SLOW_PRIOR if slower == 1 else SLOW_PRIOR / max(1, len(swings) - 1)
