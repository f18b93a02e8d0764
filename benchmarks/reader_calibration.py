"""How sure the reader is of the carry, held against how often it is right: a reliability table.

    python benchmarks/reader_calibration.py [--tables N] [--seed FIRST]

On twisted tables (tests/worlds, by other hands) with a row a ball: the posterior that `intake/tables/joint.py` gives its
likeliest carry, copies in another unit counted with it, and whether that column is the carry. Headings are blanked,
swapped, misspelt, translated and renamed and units changed by the twists. The reader asks below SURE = 0.98.
"""

import argparse
import sys
from itertools import pairwise
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[1] / "tests"))

from threequarter.intake.tables.column import Column, column_of
from threequarter.intake.tables.decide import SURE
from threequarter.intake.tables.evidence import copy_of
from threequarter.intake.tables.joint import hypotheses
from threequarter.intake.tables.layout import sample_of, unit_row
from threequarter.intake.tables.numbers import decimal_mark, find_number
from threequarter.intake.tables.shape import Block, blocks_of
from threequarter.intake.tables.sheets import sheets_of
from worlds.table_twists import make_case

EDGES = (0.0, 0.5, 0.8, 0.9, 0.98, 0.998, 1.0)


def columns_of(block: Block) -> list[Column]:
    rows, units = sample_of(block), unit_row(block)
    digits = [found.digits for row in rows for cell in row.cells if (found := find_number(cell))]
    mark = decimal_mark(digits) or "."
    wide = max((len(row.cells) for row in rows), default=0)
    headings = block.headings + ("",) * (wide - len(block.headings))
    return [column_of(at, head, block.words(at), rows, mark, units.get(at)) for at, head in enumerate(headings)]


def sure_and_right(seed: int) -> tuple[float, bool] | None:
    """The posterior of the likeliest carry of a table and whether it is the carry; None for other layouts."""
    case = make_case(seed)
    wanted = case.truth["answers"].get("carry", "")
    if not wanted.isdigit() or case.truth["loose"]:
        return None
    blocks = blocks_of(sheets_of(case.content, case.name)[0])
    numeric = [c for c in columns_of(blocks[0]) if c.numeric] if blocks else []
    found = [one for one in hypotheses(numeric, {}) if one.carry is not None] if numeric else []
    carry = next((c for c in numeric if c.at == int(wanted) - 1), None)
    if not found or carry is None:
        return None
    best = next(c for c in numeric if c.at == found[0].carry)
    same = {c.at for c in numeric if c.at != best.at and copy_of(c, best)}
    chance = found[0].probability + sum(one.probability for one in found if one.carry in same)
    return min(chance, 1.0), best.at == carry.at or copy_of(best, carry)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--tables", type=int, default=1000)
    parser.add_argument("--seed", type=int, default=200_000)
    asked = parser.parse_args()
    told = [one for seed in range(asked.seed, asked.seed + asked.tables) if (one := sure_and_right(seed))]
    chance, right = np.array([one[0] for one in told]), np.array([one[1] for one in told])
    print(f"{len(told)} tables with a row a ball, seeds {asked.seed} to {asked.seed + asked.tables - 1}")
    print("stated          tables   mean stated   right")
    for low, high in pairwise(EDGES):
        held = (chance >= low) & ((chance < high) | (high == 1.0))
        if held.any():
            print(f"{low:.3f} to {high:.3f}  {held.sum():6d}   {chance[held].mean():11.4f}   {right[held].mean():.4f}")
    print(f"taken unasked by the posterior alone (>= {SURE}): {np.mean(right[chance >= SURE]):.4f} right")


if __name__ == "__main__":
    main()
