"""Making the pocket card, warm, beside an empty page from the same typesetter in the same run. Limit: 0.2 s.

python benchmarks/card.py
"""

import time
from pathlib import Path

import numpy as np
import typst

from threequarter.chart.fit import fit_chart
from threequarter.demo import BUCKET
from threequarter.intake.load import carries
from threequarter.intake.options import ReadOptions
from threequarter.paper.card import CardDetails, pocket_card


def main() -> None:
    balls, unit, _ = carries(Path(BUCKET), ReadOptions())
    chart = fit_chart(balls)
    pocket_card(chart, CardDetails(player="Robin Sedge"), unit=unit)
    ours, empty = [], []
    for _ in range(10):
        start = time.perf_counter()
        pocket_card(chart, CardDetails(player="Robin Sedge"), unit=unit)
        ours.append(time.perf_counter() - start)
        start = time.perf_counter()
        typst.compile(b"#page[x]", format="pdf")
        empty.append(time.perf_counter() - start)
    print(f"card {np.median(ours):.3f} s (limit 0.2); an empty page {np.median(empty):.3f} s")


if __name__ == "__main__":
    main()
