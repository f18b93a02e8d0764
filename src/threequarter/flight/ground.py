"""Bounce and run: from landing to rest on a green or a fairway, soft to firm.

Each bounce by Penner 2002, Can. J. Phys. 80, 931-940 (second-hand): the turf gives way and tilts against the ball, the
restitution falls with speed, and the ball slides or rolls through the contact. Then it rolls with the nearly constant
deceleration that a stimpmeter reads (Holmes 1991, Am. J. Phys. 59, 129).

More than a thousand measured bounces fit no simple model well (Biber et al. 2023, Sports Eng. 26): a run-out is right to
half of itself or two metres, whichever is larger. `run_doubt` draws that; nobody should be shown a run to the metre.
"""

from dataclasses import dataclass
from typing import Final, Literal

import numpy as np
from numpy.typing import NDArray

from threequarter.flight.aero import RADIUS_M
from threequarter.flight.air import G

Floats = NDArray[np.float64]
Firmness = Literal["soft", "normal", "firm"]

STIMP_MPS: Final = 1.83
"""Speed at which a stimpmeter releases the ball (6.00 ft/s)."""
FOOT_M: Final = 0.3048
LEAST_HOP_MPS: Final = 0.25
MOST_BOUNCES: Final = 30


@dataclass(frozen=True, slots=True, kw_only=True)
class Ground:
    """How a surface takes a ball. `tilt` and `bounce` multiply Penner's turf tilt and restitution, `friction` is between
    ball and turf, `stimp_ft` what a stimpmeter would read."""

    tilt: float
    bounce: float
    friction: float
    stimp_ft: float


PENNER: Final = Ground(tilt=1.0, bounce=1.0, friction=0.40, stimp_ft=9.5)
GREENS: Final[dict[Firmness, Ground]] = {
    "soft": Ground(tilt=1.35, bounce=0.5, friction=0.40, stimp_ft=8.0),
    "normal": Ground(tilt=1.25, bounce=0.65, friction=0.40, stimp_ft=9.0),
    "firm": Ground(tilt=1.1, bounce=0.85, friction=0.40, stimp_ft=10.5),
}
"""Our own choice about Penner's one green (PENNER), softer, so that a wedge of fifty metres with middling spin runs about five
metres on a normal green (common practice, no source)."""
FAIRWAYS: Final[dict[Firmness, Ground]] = {
    name: Ground(tilt=ground.tilt, bounce=ground.bounce, friction=ground.friction, stimp_ft=4.0)
    for name, ground in GREENS.items()
}
"""Rolls like a green of 4 ft, Penner's slow one (rolling coefficient about 0.196)."""


def turf_tilt_deg(speed_mps: Floats | float, from_vertical_deg: Floats | float) -> Floats:
    """How far the turf tilts against the ball at impact (Penner 2002)."""
    return np.asarray(15.4 * (np.asarray(speed_mps) / 18.6) * (np.asarray(from_vertical_deg) / 44.4))


def restitution(normal_mps: Floats | float) -> Floats:
    """Normal restitution by the speed into the turf (Penner 2002): falls to 0.120 at 20 m/s and stays there."""
    v = np.asarray(normal_mps, dtype=float)
    return np.where(v <= 20.0, 0.510 - 0.0375 * v + 0.000903 * v * v, 0.120)


def bounce(
    along_mps: Floats, down_mps: Floats, backspin_rad_s: Floats, ground: Ground, radius_m: float = RADIUS_M
) -> tuple[Floats, Floats, Floats]:
    """Speed along and up after a bounce and the new backspin (rad/s), from speed along and down and the backspin."""
    speed = np.hypot(along_mps, down_mps)
    from_vertical = np.degrees(np.arctan2(along_mps, down_mps))
    tilt = np.radians(ground.tilt * turf_tilt_deg(speed, from_vertical))
    angle = np.radians(from_vertical) - tilt
    vn, vt = speed * np.cos(angle), speed * np.sin(angle)
    e = np.minimum(ground.bounce * restitution(vn), 0.8)
    slip = vt + radius_m * backspin_rad_s
    critical = 2 * np.abs(slip) / (7 * (1 + e) * np.maximum(vn, 1e-9))
    slides = ground.friction < critical
    push = ground.friction * vn * (1 + e) * np.sign(slip)
    vt_after = np.where(slides, vt - push, 5 / 7 * vt - 2 / 7 * radius_m * backspin_rad_s)
    spin = np.where(slides, backspin_rad_s - 2.5 * push / radius_m, -vt_after / radius_m)
    vn_after = e * vn
    along = vt_after * np.cos(tilt) - vn_after * np.sin(tilt)
    up = vt_after * np.sin(tilt) + vn_after * np.cos(tilt)
    return along, np.maximum(up, 0.0), spin


def deceleration_mps2(stimp_ft: Floats | float) -> Floats:
    """Deceleration of a rolling ball on the level, from the stimp reading in feet."""
    return np.asarray(STIMP_MPS**2 / (2 * FOOT_M * np.asarray(stimp_ft, dtype=float)))


def run_out(
    land_speed_mps: Floats, descent_deg: Floats, backspin_rpm: Floats, ground: Ground, *, rise: float = 0.0
) -> Floats:
    """Run-out in metres along the ground from landing to rest (negative: drawn back), level-ground model on a slope.

    `descent_deg` is below level, `rise` the slope of the ground in metres up for a metre. No doubt is in it.
    """
    slope = np.arctan(rise)
    angle = np.radians(descent_deg) + slope
    along, down = land_speed_mps * np.cos(angle), land_speed_mps * np.sin(angle)
    spin = np.asarray(backspin_rpm, dtype=float) * 2 * np.pi / 60
    shape = along.shape
    along, down, spin = along.ravel(), down.ravel(), np.broadcast_to(spin, shape).flatten()
    run, hop = np.zeros_like(along), np.arange(along.size)
    for _ in range(MOST_BOUNCES):
        along[hop], up, spin[hop] = bounce(along[hop], np.maximum(down, 1e-6), spin[hop], ground)
        on = up > LEAST_HOP_MPS
        if not on.any():
            break
        hop, down = hop[on], up[on]
        run[hop] += along[hop] * 2 * down / G
    along, spin, run = along.reshape(shape), spin.reshape(shape), run.reshape(shape)
    rolling = 5 / 7 * along - 2 / 7 * RADIUS_M * spin
    slow = np.maximum(deceleration_mps2(ground.stimp_ft) + np.sign(rolling) * G * np.sin(slope), 0.05)
    return np.asarray(run + np.sign(rolling) * rolling**2 / (2 * slow))


RUN_SHARED: Final = 0.8
RUN_OWN: Final = 0.6
"""How what is not known of a run-out splits between all balls of a day and each of its own (their squares add up to one; common
practice, no source: mostly the ground and the player's spin)."""


def run_half90_m(run_m: Floats | float) -> Floats:
    """Half of the range that holds nine in ten: half of the run, or two metres, whichever is larger (Biber et al. 2023)."""
    return np.maximum(0.5 * np.abs(run_m), 2.0)


def run_doubt(run_m: Floats, shared: Floats, own: Floats) -> Floats:
    """Run-outs with what is not known of them: `shared` and `own` are standard normal draws of what all balls share and each has."""
    wide = run_half90_m(run_m) / 1.645
    return np.asarray(run_m + wide * (RUN_SHARED * shared + RUN_OWN * own))
