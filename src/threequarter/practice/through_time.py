"""A player's charts through time: how each shot's carry moved from session to session, and by how much it is known."""

import datetime
import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from threequarter.chart.result import Chart

SDS_OF_90: Final = 1.645
"""Half a 90 % interval of a normal distribution in standard deviations."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Point:
    """A shot on one day: its stock carry and half of the 90 % interval, metres."""

    day: datetime.date
    carry_m: float
    half90_m: float
    balls: int


@dataclass(frozen=True, slots=True, kw_only=True)
class DayCount:
    """The mishits of a day, noted or called by its own chart, and of how many balls that were seen one by one."""

    day: datetime.date
    mishits: int
    balls: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Track:
    """One shot through time, oldest first. `change_m` is last minus first with its 90 % half-width; None for one point."""

    shot: str
    points: tuple[Point, ...]

    @property
    def change_m(self) -> float | None:
        """Last carry minus first."""
        return self.points[-1].carry_m - self.points[0].carry_m if len(self.points) > 1 else None

    @property
    def change_half90_m(self) -> float:
        """Half of the 90 % interval of the change, the two charts taken as independent."""
        return math.hypot(self.points[0].half90_m, self.points[-1].half90_m)


def tracks(charts: Sequence[tuple[datetime.date, Chart]]) -> tuple[Track, ...]:
    """The shots that were hit (not inferred) in any of the charts, the longest by its newest carry first."""
    found: dict[str, list[Point]] = {}
    for day, chart in sorted(charts, key=lambda pair: pair[0]):
        for cell in chart.cells:
            if cell.balls:
                half = (cell.stock90_m.high - cell.stock90_m.low) / 2
                point = Point(day=day, carry_m=cell.stock_carry_m, half90_m=half, balls=cell.balls)
                found.setdefault(f"{cell.club} {cell.swing}".strip(), []).append(point)
    made = [Track(shot=shot, points=tuple(points)) for shot, points in found.items()]
    return tuple(sorted(made, key=lambda track: -track.points[-1].carry_m))
