"""What is known about a made-up session: its balls as they were hit and as they were written down, and the truth behind them."""

import csv
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

YARD_M = 0.9144
MPH_MPS = 0.44704
QUANTILES = (np.arange(400) + 0.5) / 400
"""Chances at which the truth keeps the next ball."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One ball: `carry_m` is where it landed, `read_m` what was written down (in metres, as its reader will take it).

    `day` counts from 1, `offline_m` is positive to the right. `read_by` is device, laser, paces or pile; `count` balls lie in a pile.
    `strike`: good, heavy (usable, counted among the good), fat, thin, toe, heel.
    """

    number: int
    day: int
    club: str
    loft_deg: float | None
    swing: str
    carry_m: float
    read_m: float
    strike: str
    offline_m: float | None = None
    ball_speed_mps: float | None = None
    launch_deg: float | None = None
    backspin_rpm: float | None = None
    read_by: str = "device"
    count: int = 1
    error_sd_m: float | None = None
    shared_sd_m: float | None = None

    @property
    def good(self) -> bool:
        """Whether the strike counts as a good one."""
        return self.strike in ("good", "heavy")


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CellTruth:
    """The truth of one club with one swing length; carries in metres.

    `stock_m`: mean of the good strikes of the recorded days, warmed up, over the session (a drift counts by half); `end_m`: the same at the end of
    the last day. `long_run_m`: mean over all days (each tires or learns
    by half as much on average as this one). `another_day_m`: the stock carry of one other day. `stock_read_m`: `stock_m` as this device counts.
    `good_sd_m`: SD of good strikes on one day. `next_good_m`, `next_any_m`: the next ball at the end of the last day, at the chances QUANTILES.
    `off`: how far the cell lies off the player's own line, as a share; `planted`: put there on purpose. `second_m`: the other centre where two swings go under one name.
    """

    club: str
    swing: str
    loft_deg: float
    club_rank: int
    balls: int
    stock_m: float
    stock_read_m: float
    end_m: float
    long_run_m: float
    another_day_m: float
    good_sd_m: float
    mishit_rate: float
    next_good_m: NDArray[np.float64]
    next_any_m: NDArray[np.float64]
    off: float = 0.0
    planted: bool = False
    second_m: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Session:
    """A session of kind `kind` with its rows in the order hit, and its truth. `flags`: what a good chart should notice ("drift", "units")."""

    kind: str
    rows: tuple[Row, ...]
    cells: dict[tuple[str, str], CellTruth]
    drift: float = 0.0
    flags: frozenset[str] = field(default_factory=frozenset)


def write_csv(session: Session, path: Path, *, per: float = YARD_M, unit: str = "yd") -> None:
    """Writes the session as a coach would have it: one row a ball, only what was told. Writes `path`, distances in `unit` of `per` metres."""
    rows = session.rows
    told = {
        f"offline_{unit}": any(r.offline_m is not None for r in rows),
        "ball_speed_mph": any(r.ball_speed_mps is not None for r in rows),
        "launch_deg": any(r.launch_deg is not None for r in rows),
        "backspin_rpm": any(r.backspin_rpm is not None for r in rows),
    }
    head = [
        "ball",
        "day",
        "club",
        *(["loft_deg"] if any(r.loft_deg is not None for r in rows) else []),
        "swing",
        f"carry_{unit}",
    ]
    head += [name for name, there in told.items() if there]
    with path.open("w", newline="", encoding="utf-8") as file:
        out = csv.DictWriter(file, head, extrasaction="ignore")
        out.writeheader()
        for r in rows:
            line = {"ball": r.number, "day": r.day, "club": r.club, "loft_deg": _said(r.loft_deg, 1), "swing": r.swing}
            line |= {f"carry_{unit}": _said(r.read_m / per, 1), f"offline_{unit}": _said(r.offline_m, 1, per)}
            line |= {
                "ball_speed_mph": _said(r.ball_speed_mps, 1, MPH_MPS),
                "launch_deg": _said(r.launch_deg, 1),
                "backspin_rpm": _said(r.backspin_rpm, 0),
            }
            for _ in range(r.count):  # a pile is typed as the same number for every ball
                out.writerow(line)


def _said(value: float | None, digits: int, per: float = 1.0) -> str:
    return "" if value is None else f"{value / per:.{digits}f}".removesuffix(".0")
