"""Today's chart on real balls: draws of 5 to 15 of one player and club, the rest as truth.

    python benchmarks/real_balls_by_others.py [--which tuned|tested|all] [--draws 20] [--seed 0] [--file CSV]

Full swings scaled to 80 m, because a chart of wedges refuses longer ones; the shape of the spread is theirs.
"""

import argparse
from pathlib import Path

from worlds.real_balls import Draw, Said, judge_real, read_groups, real_table

from threequarter.chart.fit import fit_chart
from threequarter.golf.ball import Ball, MeasuredBy
from threequarter.golf.errors import UserError

SCALE_M = 80.0


def said(drawn: Draw) -> Said | None:
    """What the chart says of these balls as a 54-degree full swing."""
    balls = [
        Ball(
            number=i,
            club="54",
            loft_deg=54.0,
            swing="full",
            distance_m=float(c),
            offline_m=float(o),
            measured_by=MeasuredBy.DEVICE,
        )
        for i, (c, o) in enumerate(zip(drawn.carry_m, drawn.offline_m, strict=True), 1)
    ]
    try:
        cell = fit_chart(balls).cells[0]
    except UserError:
        return None
    return Said(
        stock_m=cell.stock_carry_m,
        stock90_m=(cell.stock90_m.low, cell.stock90_m.high),
        next90_m=(cell.next90_m.low, cell.next90_m.high),
    )


def main() -> None:
    """Prints one line a size of draw."""
    ask = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    ask.add_argument("--which", choices=("tuned", "tested", "all"), default="all")
    ask.add_argument("--draws", type=int, default=5)
    ask.add_argument("--seed", type=int, default=0)
    ask.add_argument("--file", type=Path)
    told = ask.parse_args()
    groups = read_groups(told.file, told.which)
    print(f"{told.which}: {', '.join(f'{g.player} {g.club} ({len(g.carry_m)})' for g in groups)}")
    print(real_table(judge_real(said, groups, draws=told.draws, seed=told.seed, scale_to_m=SCALE_M)))


if __name__ == "__main__":
    main()
