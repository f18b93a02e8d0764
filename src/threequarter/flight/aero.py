"""Aerodynamics of a golf ball: drag and lift coefficients and spin decay, several published models behind one shape.

Every model gives coefficients by Reynolds number Re = rho u d / mu and spin ratio S = omega r / u. All but the table are
members of one family, so that one compiled integrator serves them (`compiled.py`).
"""

from dataclasses import dataclass
from typing import Final, Protocol

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

MASS_KG: Final = 0.04593
DIAMETER_M: Final = 0.04267
RADIUS_M: Final = DIAMETER_M / 2
AREA_M2: Final = np.pi * DIAMETER_M**2 / 4
"""Ball at the limits of the Rules of Golf (Equipment Rules, Part 4): 45.93 g, 42.67 mm."""


class Aero(Protocol):
    """A model: coefficients by Reynolds number and spin ratio; `decay` is R1 in dw/dt = -R1 w u / r."""

    @property
    def decay(self) -> float:
        """R1 of the spin decay."""

    def drag(self, reynolds: Floats, spin_ratio: Floats) -> Floats:
        """Drag coefficient."""

    def lift(self, reynolds: Floats, spin_ratio: Floats) -> Floats:
        """Lift coefficient."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Formula:
    """CD = cd0 + cd1 S + cd2 S^2 + wave sin(pi (Re - 90 000) / 200 000), CL = cl0 S^power; Re and S held in a range."""

    cd0: float
    cd1: float
    cd2: float = 0.0
    wave: float = 0.0
    cl0: float
    power: float
    least_re: float = 0.0
    most_re: float = np.inf
    most_s: float = np.inf
    decay: float = 2.0e-5

    def drag(self, reynolds: Floats, spin_ratio: Floats) -> Floats:
        """Drag coefficient."""
        s = np.minimum(spin_ratio, self.most_s)
        plain = self.cd0 + s * (self.cd1 + s * self.cd2)
        if not self.wave:
            return np.asarray(plain)
        held = np.clip(reynolds, self.least_re, self.most_re)
        return np.asarray(plain + self.wave * np.sin(np.pi * (held - 90_000) / 200_000))

    def lift(self, reynolds: Floats, spin_ratio: Floats) -> Floats:
        """Lift coefficient."""
        return np.asarray(self.cl0 * np.clip(spin_ratio, 0.0, self.most_s) ** self.power)


SMITS_SMITH: Final = Formula(cd0=0.24, cd1=0.18, wave=0.06, cl0=0.54, power=0.4)
"""Smits & Smith 1994, A new aerodynamic model of a golf ball in flight, Science and Golf II, 340-347, as printed.

Fitted for 70 000 < Re < 210 000 and 0.08 < S < 0.20, driver shots; beyond it is extrapolated."""

SMITS_SMITH_CLAMPED: Final = Formula(
    cd0=0.24, cd1=0.18, wave=0.06, cl0=0.54, power=0.4, least_re=70_000, most_re=210_000, most_s=0.40
)
"""The same, Re held within its stated range and S at 0.40 or less (the 0.40 is our own choice)."""

BEARMAN_HARVEY_FIT: Final = Formula(cd0=0.190, cd1=0.574, cd2=-0.254, cl0=0.486, power=0.385, most_s=1.0)
"""Our own fit to the Bearman & Harvey table below where wedges fly: 3000 to 6000 rpm, 14 to 55 m/s, S 0.1 to 1.0.

Residuals 0.010 (worst 0.027) in CD and 0.020 (worst 0.036) in CL."""

WEDGE: Final = Formula(
    cd0=0.215, cd1=0.377, cd2=-0.127, wave=0.03, cl0=0.49, power=0.385, least_re=70_000, most_re=210_000, most_s=0.8
)
"""For wedges: drag half-way between the Bearman & Harvey fit (balls of the 1970s, measured at these speeds and spins) and Smits &
Smith (later balls, extrapolated); the two agree in lift. They lie 0.04 to either side in CD at S 0.5, as far apart as ball models
measured side by side (more than 0.1 below Re 100 000: Lyu, Kensrud, Smith & Tosaya 2018, Proceedings 2(6), 238)."""

_SPEEDS_MPS: Final = np.array([13.7, 21.6, 29.9, 38.4, 46.9, 55.2, 63.1, 71.9, 80.2, 88.1])
_SPINS_RPM: Final = np.array([2000.0, 3000.0, 4000.0, 5000.0, 6000.0])
_DRAG: Final = np.array(
    [
        [0.3624, 0.2885, 0.2765, 0.2529, 0.2472, 0.2481, 0.2467, 0.2470, 0.2470, 0.2470],
        [0.4203, 0.3658, 0.3169, 0.2822, 0.2655, 0.2578, 0.2560, 0.2550, 0.2538, 0.2538],
        [0.4288, 0.4003, 0.3490, 0.3084, 0.2852, 0.2710, 0.2659, 0.2630, 0.2605, 0.2605],
        [0.4848, 0.4314, 0.3728, 0.3316, 0.3062, 0.2876, 0.2765, 0.2710, 0.2673, 0.2673],
        [0.5180, 0.4406, 0.3882, 0.3517, 0.3285, 0.3076, 0.2877, 0.2790, 0.2740, 0.2740],
    ]
)
_LIFT: Final = np.array(
    [
        [0.1040, 0.1846, 0.2460, 0.1984, 0.1762, 0.1538, 0.1418, 0.1360, 0.1280, 0.1276],
        [0.3624, 0.3362, 0.3049, 0.2475, 0.2073, 0.1856, 0.1702, 0.1584, 0.1485, 0.1464],
        [0.4005, 0.3640, 0.3347, 0.2862, 0.2384, 0.2149, 0.1977, 0.1807, 0.1690, 0.1582],
        [0.4130, 0.3894, 0.3496, 0.3119, 0.2695, 0.2418, 0.2246, 0.2031, 0.1895, 0.1791],
        [0.4644, 0.4227, 0.3724, 0.3393, 0.3005, 0.2662, 0.2507, 0.2254, 0.2100, 0.2000],
    ]
)
_TABLE_NU: Final = 1.7894e-5 / 1.225


@dataclass(frozen=True, slots=True, kw_only=True)
class BearmanHarvey:
    """Bearman & Harvey 1976, Aeronaut. Q. 27, 112-122, as digitised for a university numerics course (second-hand).

    Bilinear in rpm and speed at sea-level standard air, held at the edges. The paper gives no spin decay.
    """

    decay: float = 0.0

    def drag(self, reynolds: Floats, spin_ratio: Floats) -> Floats:
        """Drag coefficient."""
        return _bilinear(_DRAG, reynolds, spin_ratio)

    def lift(self, reynolds: Floats, spin_ratio: Floats) -> Floats:
        """Lift coefficient."""
        return _bilinear(_LIFT, reynolds, spin_ratio)


def _bilinear(table: Floats, reynolds: Floats, spin_ratio: Floats) -> Floats:
    speed = reynolds * _TABLE_NU / DIAMETER_M
    rpm = spin_ratio * speed / RADIUS_M * 60 / (2 * np.pi)
    column, x = _place(_SPEEDS_MPS, speed)
    row, y = _place(_SPINS_RPM, rpm)
    low = table[row, column] * (1 - x) + table[row, column + 1] * x
    high = table[row + 1, column] * (1 - x) + table[row + 1, column + 1] * x
    return np.asarray(low * (1 - y) + high * y)


def _place(edges: Floats, value: Floats) -> tuple[NDArray[np.intp], Floats]:
    at = np.clip(np.searchsorted(edges, value) - 1, 0, len(edges) - 2)
    return at, np.clip((value - edges[at]) / (edges[at + 1] - edges[at]), 0.0, 1.0)


MODELS: Final[dict[str, Aero]] = {
    "wedge": WEDGE,
    "smits-smith-1994": SMITS_SMITH,
    "smits-smith-1994-clamped": SMITS_SMITH_CLAMPED,
    "bearman-harvey-1976": BearmanHarvey(),
    "bearman-harvey-fit": BEARMAN_HARVEY_FIT,
}
DEFAULT: Final = "wedge"
"""The one believed for wedges; docs/flight.md says why, and how far."""
