"""Air: pressure by height, density of moist air, viscosity. SI; temperatures in degrees Celsius at the edge."""

from typing import Final

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

G: Final = 9.80665
SEA_LEVEL_PA: Final = 101325.0
SEA_LEVEL_K: Final = 288.15
LAPSE_K_PER_M: Final = 0.0065
GAS_CONSTANT: Final = 287.05287
ZERO_C_K: Final = 273.15


def standard_pressure_pa(geopotential_m: Floats | float) -> Floats:
    """Station pressure of the standard atmosphere up to 11 km (ISO 2533:1975)."""
    ratio = 1 - LAPSE_K_PER_M * np.asarray(geopotential_m, dtype=float) / SEA_LEVEL_K
    return np.asarray(SEA_LEVEL_PA * ratio ** (G / (GAS_CONSTANT * LAPSE_K_PER_M)))


def station_pressure_pa(sea_level_pa: Floats | float, altitude_m: Floats | float) -> Floats:
    """Pressure at a place from the pressure a forecast gives, which is reduced to sea level (ISO 2533 ratio)."""
    return np.asarray(sea_level_pa * standard_pressure_pa(altitude_m) / SEA_LEVEL_PA)


def viscosity_pa_s(temp_c: Floats | float) -> Floats:
    """Dynamic viscosity by Sutherland's law (ISO 2533:1975)."""
    kelvin = np.asarray(temp_c, dtype=float) + ZERO_C_K
    return np.asarray(1.458e-6 * kelvin**1.5 / (kelvin + 110.4))


def density_kg_m3(temp_c: Floats | float, pressure_pa: Floats | float, rh: Floats | float) -> Floats:
    """Density of moist air, CIPM-2007 (Picard, Davis, Glaeser & Fujii 2008, Metrologia 45, 149-155), x_CO2 400e-6.

    `pressure_pa` is the station pressure, `rh` 0 to 1. Stated for 600-1100 hPa and 15-27 C; within 1e-4 of humid-air
    tables from -5 to 40 C.
    """
    t, p = np.asarray(temp_c, dtype=float), np.asarray(pressure_pa, dtype=float)
    kelvin = t + ZERO_C_K
    saturation = np.exp(1.2378847e-5 * kelvin**2 - 1.9121316e-2 * kelvin + 33.93711047 - 6.3431645e3 / kelvin)
    enhancement = 1.00062 + 3.14e-8 * p + 5.6e-7 * t**2
    vapour = np.asarray(rh) * enhancement * saturation / p
    ratio = p / kelvin
    compressibility = (
        1
        - ratio
        * (
            1.58123e-6
            - 2.9331e-8 * t
            + 1.1043e-10 * t**2
            + (5.707e-6 - 2.051e-8 * t) * vapour
            + (1.9898e-4 - 2.376e-6 * t) * vapour**2
        )
        + ratio**2 * (1.83e-11 - 0.765e-8 * vapour**2)
    )
    dry = (28.96546 + 12.011 * (400e-6 - 0.0004)) * 1e-3
    return np.asarray(p * dry / (compressibility * 8.314472 * kelvin) * (1 - vapour * (1 - 18.01528e-3 / dry)))
