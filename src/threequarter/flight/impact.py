"""Impact: ball speed, launch and spin from club speed and the loft at impact, for balls that were not measured.

Penner 2001, Am. J. Phys. 69, 563-568: the ball leaves rolling on the face where friction is enough, else it slides all
through impact (rigid-body limit as in Daish 1972; Penner 2003, Rep. Prog. Phys. 66, 131). The restitution was fitted to
drivers; wedges are an extrapolation, and what is missing shows as doubt where these are used (`shots.py`).
"""

from typing import Final, Literal

import numpy as np
from numpy.typing import NDArray

from threequarter.flight.aero import MASS_KG, RADIUS_M

Floats = NDArray[np.float64]
Lie = Literal["dry", "wet", "rough"]

HEAD_KG: Final = 0.30
FRICTION: Final[dict[Lie, float]] = {"dry": 0.40, "wet": 0.20, "rough": 0.14}
"""Between face and ball: dry about 0.4, wet or grassy 0.1 to 0.2 (from memory; qualitative)."""


def impact(
    club_mps: Floats | float,
    loft_deg: Floats | float,
    *,
    lie: Lie = "dry",
    head_kg: float = HEAD_KG,
    ball_kg: float = MASS_KG,
    ball_radius_m: float = RADIUS_M,
    friction: Floats | float | None = None,
) -> tuple[Floats, Floats, Floats]:
    """Ball speed (m/s), launch angle from the club's path (degrees) and backspin (rpm); any common shape.

    `loft_deg` is the loft at impact relative to the path of the club.
    """
    loft = np.radians(np.asarray(loft_deg, dtype=float))
    speed = np.asarray(club_mps, dtype=float)
    mu = FRICTION[lie] if friction is None else friction
    ratio, inertia = ball_kg / head_kg, 0.4
    restitution = 0.86 - 0.0029 * speed * np.cos(loft)
    normal = (1 + restitution) * speed * np.cos(loft) / (1 + ratio)
    rolling = speed * np.sin(loft) / (1 + ratio + 1 / inertia)
    along = np.minimum(rolling, mu * normal)  # friction gives at most mu times the normal push
    spin = along / (inertia * ball_radius_m)
    launch = np.degrees(loft - np.arctan2(along, normal))
    return np.hypot(normal, along), launch, spin * 60 / (2 * np.pi)


def critical_friction(loft_deg: float, restitution: float = 0.8, head_kg: float = HEAD_KG) -> float:
    """The friction below which a ball slides all through impact (rigid-body limit)."""
    ratio = MASS_KG / head_kg
    return float(np.tan(np.radians(loft_deg)) * (1 + ratio) / ((1 + restitution) * (3.5 + ratio)))
