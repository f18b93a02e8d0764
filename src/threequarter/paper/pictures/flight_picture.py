"""The flights of a player's shots side by side, in true proportions: height, landing angle, run, doubt as a band."""

from functools import lru_cache
from typing import Final

import numpy as np
from numpy.typing import NDArray

from threequarter.chart.in_air import ChartInAir, ShotFlight
from threequarter.flight.aero import WEDGE
from threequarter.flight.trajectory import Launches, paths
from threequarter.golf.units import DistanceUnit
from threequarter.language import measures, words
from threequarter.language.localize import _
from threequarter.paper.pictures import svg

Floats = NDArray[np.float64]

LEFT: Final = 12
GROUND: Final = 46
LABEL_APART: Final = 66


def flight_picture(flown: ChartInAir, unit: DistanceUnit, *, width: int = 760) -> str:
    """One panel a club, every swing's flight in it, as SVG; one scale for height and distance and for all panels."""
    farthest = max(max(f.total90_m.high, f.total_m) for f in flown.flights)
    scale = (width - LEFT - 26) / farthest
    shapes: list[str] = []
    top = 6.0
    clubs = list(dict.fromkeys(f.club for f in flown.flights))
    for club in clubs:
        mine = sorted((f for f in flown.flights if f.club == club), key=lambda f: f.total_m)
        height = max(f.apex90_m.high for f in mine) * scale
        ground = top + 20 + height
        shapes.append(svg.text(LEFT, top + 14, club, size=15, weight=700))
        shapes += _panel(mine, _curves(flown.flights), ground, scale, unit, width)
        top = ground + GROUND
    title = _("Flights in true proportions, in {unit}").format(unit=words.unit_word(unit))
    return svg.picture(width, top, title, sentence(flown), shapes)


def _panel(
    mine: list[ShotFlight],
    curves: dict[ShotFlight, tuple[Floats, Floats]],
    ground: float,
    scale: float,
    unit: DistanceUnit,
    width: int,
) -> list[str]:
    shapes = [svg.line(LEFT, ground, width - 6, ground, width=1.2)]
    last = -1e9
    for place, flight in enumerate(mine):
        along, up = curves[flight]
        x, y = LEFT + along * scale, up * scale
        shapes.append(_band(x, y, ground, flight))
        shapes.append(_line(x, ground - y, 2.2 if place == len(mine) - 1 else 1.8))
        land, rest = float(x[-1]), LEFT + flight.total_m * scale
        low, high = (LEFT + v * scale for v in (flight.total90_m.low, flight.total90_m.high))
        shapes.append(svg.band(max(low, LEFT), high, ground + 2, 6, fade=0.16))
        shapes.append(svg.line(land, ground + 5, rest, ground + 5, width=2, dash="2 3"))
        shapes.append(svg.dot(rest, ground + 5, 3.2))
        carry = words.rounded(flight.carry_m, unit)
        if land - last > LABEL_APART / 2:
            shapes.append(svg.text(land, ground + 24, carry, anchor="middle", weight=700, size=13))
        if land - last > LABEL_APART:
            label = f"{flight.swing[:9]} {flight.descent_deg:.0f}°"
            shapes.append(svg.text(land, ground + 38, label, anchor="middle", size=11, fade=0.85))
            last = land
    return shapes


@lru_cache(maxsize=64)
def _curves(flights: tuple[ShotFlight, ...]) -> dict[ShotFlight, tuple[Floats, Floats]]:
    """The curve of each median launch, stretched to the shot's own carry and height."""
    told = {
        "speed_mps": [f.speed_mps for f in flights],
        "launch_deg": [f.launch_deg for f in flights],
        "spin_rpm": [f.spin_rpm for f in flights],
    }
    same = {
        "azimuth_deg": 0.0,
        "axis_deg": 0.0,
        "wind_mps": 0.0,
        "wind_to_deg": 0.0,
        "density_kg_m3": 1.2,
        "viscosity_pa_s": 1.8e-5,
    }
    many = {name: np.array(values) for name, values in told.items()} | {
        name: np.full(len(flights), value) for name, value in same.items()
    }
    along, up = paths(Launches(**many), WEDGE, points=40)
    return {
        f: (along[:, k] / along[-1, k] * f.carry_m, np.maximum(up[:, k], 0.0) / up[:, k].max() * f.apex_m)
        for k, f in enumerate(flights)
    }


def _line(x: Floats, y: Floats, width: float) -> str:
    points = " ".join(f"{a:.1f},{b:.1f}" for a, b in zip(x, y, strict=True))
    return f'<polyline points="{points}" fill="none" stroke="currentColor" stroke-width="{width:g}" stroke-linejoin="round"/>'


def _band(x: Floats, y: Floats, ground: float, flight: ShotFlight) -> str:
    """Nine flights in ten of what is not known lie in here."""
    high, low = y * flight.apex90_m.high / flight.apex_m, y * flight.apex90_m.low / flight.apex_m
    there = [f"{a:.1f},{ground - b:.1f}" for a, b in zip(x, high, strict=True)]
    back = [f"{a:.1f},{ground - b:.1f}" for a, b in zip(x[::-1], low[::-1], strict=True)]
    return f'<polygon points="{" ".join([*there, *back])}" fill="currentColor" fill-opacity="0.10"/>'


def sentence(flown: ChartInAir) -> str:
    """The picture in one sentence."""
    low, high = min(flown.flights, key=lambda f: f.apex_m), max(flown.flights, key=lambda f: f.apex_m)

    known = sum(f.measured for f in flown.flights)
    if known == len(flown.flights):
        said = _("Lowest {low} at {low_apex}, highest {high} at {high_apex}; from measured launch.")
    elif known:
        said = _("Lowest {low} at {low_apex}, highest {high} at {high_apex}; partly from measured launch.")
    else:
        said = _(
            "Lowest {low} at {low_apex}, highest {high} at {high_apex}; worked out from carry and loft, so only a "
            "rough picture."
        )
    heights = said.format(
        low=f"{low.club} {low.swing}",
        low_apex=measures.apex(low.apex_m),
        high=f"{high.club} {high.swing}",
        high_apex=measures.apex(high.apex_m),
    )
    bands = _("Nine in ten fly within the pale bands; dots show where balls may come to rest.")
    return f"{heights} {bands}"
