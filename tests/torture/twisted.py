"""Reads thousands of twisted tables and counts what is silently wrong: `python tests/torture/twisted.py --tables 50000`.

Prints the seed of each table with a ball that is silently wrong or invented, and the totals.
"""

import argparse
import sys
import time
from collections import Counter
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

from threequarter.intake.answer import reading_answer
from threequarter.intake.load import read_content
from threequarter.intake.options import ReadOptions
from worlds.table_judge import judge
from worlds.table_twists import make_case


def twisted(tables: int, seed: int, minutes: float) -> Counter[str]:
    """The outcomes of so many tables, or of as many as are read in the time."""
    total: Counter[str] = Counter()
    end = time.monotonic() + 60 * minutes
    for one in range(seed, seed + tables):
        case = make_case(one)
        counts = judge(case.truth, reading_answer(read_content(case.content, case.name, "table", ReadOptions()))).counts
        total.update(counts)
        total["read"] += 1
        if counts["silently wrong"] or counts["invented"]:
            total["bad tables"] += 1
            sys.stdout.write(f"{one} {' + '.join(case.twists)} {dict(counts)}\n")
        if time.monotonic() > end:
            break
    return total


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--tables", type=int, default=50_000)
    parser.add_argument("--seed", type=int, default=20_000)
    parser.add_argument("--minutes", type=float, default=60)
    asked = parser.parse_args()
    sys.stdout.write(f"{dict(twisted(asked.tables, asked.seed, asked.minutes))}\n")
