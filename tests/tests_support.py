"""What several tests need: modules loaded by path (the scorers of the open data), and charts made by hand."""

import importlib.util
import sys
from collections.abc import Sequence
from pathlib import Path
from types import ModuleType

import numpy as np

from threequarter.chart.result import Cell, Chart, Interval

SHOTS = (("54", "waist", 42.0), ("54", "full", 78.0), ("58", "waist", 36.0), ("58", "full", 68.0))


def chart_by_hand(spread: float = 0.05, doubt: float = 0.015, shots: Sequence[tuple[str, str, float]] = SHOTS) -> Chart:
    """Two wedges, two swings (or other shots), 300 draws."""
    rng = np.random.default_rng(9)
    centre = np.log([carry for _, _, carry in shots])
    cells = tuple(
        Cell(
            club=c,
            swing=s,
            loft_deg=float(c),
            balls=10,
            readings=10,
            stock_carry_m=m,
            stock90_m=Interval(m * (1 - 1.645 * doubt), m * (1 + 1.645 * doubt)),
            next90_m=Interval(m * (1 - 1.7 * spread), m * (1 + 1.7 * spread)),
            good_sd_m=spread * m,
            another_day90_m=Interval(
                m * (1 - 1.645 * np.hypot(doubt, 0.025)), m * (1 + 1.645 * np.hypot(doubt, 0.025))
            ),
            next_another_day90_m=Interval(
                m * (1 - 1.7 * np.hypot(spread, 0.025)), m * (1 + 1.7 * np.hypot(spread, 0.025))
            ),
            mishit_rate=0.12,
            mishit_rate90=Interval(0.05, 0.2),
        )
        for c, s, m in shots
    )
    draws = centre + doubt * rng.standard_normal((300, len(shots)))
    return Chart(
        cells=cells,
        verdicts=(),
        clubs=tuple(dict.fromkeys(c for c, _, _ in shots)),
        swings=tuple(dict.fromkeys(s for _, s, _ in shots)),
        draws_log_carry=draws,
        draws_log_sd=np.full(draws.shape, np.log(spread)),
        draws_mishit_rate=np.full(draws.shape, 0.12),
        another_day_sd=0.025,
        shared_sd=np.zeros(len(shots)),
        tail_df=9.0,
    )


def load_module(name: str, path: Path) -> ModuleType:
    """A module from a file that is on no import path."""
    spec = importlib.util.spec_from_file_location(name, path)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules[name] = module
    spec.loader.exec_module(module)
    return module
