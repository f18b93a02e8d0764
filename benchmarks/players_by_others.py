"""Today's chart against players it was not made for: how often its promises hold, kind by kind.

    python benchmarks/players_by_others.py --sessions 60 --half tuned|reported|all [--kinds NAME,NAME] [--seed 0] [--list] [--csv DIR] [--json FILE]

The players (`worlds/players_kinds.py`) were written without sight of the model. Tune on one half of the kinds, report the other.
"""

import argparse
import dataclasses
import json
import sys
import time
from pathlib import Path

from worlds.players import half, make
from worlds.players_kinds import KINDS
from worlds.players_truth import Row, Session, write_csv

from threequarter.chart.fit import fit_chart
from threequarter.chart.result import SURE_FROM, Cell, Chart, Interval
from threequarter.golf.ball import Ball, MeasuredBy
from threequarter.golf.errors import UserError
from worlds import judge, judge_table


def balls(session: Session) -> list[Ball]:
    """The session as balls."""
    return [as_ball(row) for row in session.rows]


def as_ball(row: Row) -> Ball:
    """One row as a ball: what was written down, never what was true."""
    return Ball(
        number=row.number,
        club=row.club,
        swing=row.swing,
        distance_m=row.read_m,
        loft_deg=row.loft_deg,
        day=row.day,
        count=row.count,
        measured_by=MeasuredBy(row.read_by),
        error_sd_m=row.error_sd_m,
        shared_sd_m=row.shared_sd_m,
        offline_m=row.offline_m,
        ball_speed_mps=row.ball_speed_mps,
        launch_deg=row.launch_deg,
        backspin_rpm=row.backspin_rpm,
    )


def answer(session: Session) -> judge.Answer:
    """What the chart says of a session; every cell the player has is asked for."""
    try:
        chart = fit_chart(balls(session))
    except UserError as error:
        return judge.Answer(refused=str(error))
    return as_answer(chart)


def as_answer(chart: Chart) -> judge.Answer:
    """A chart in the judge's terms."""
    return judge.Answer(
        cells={(cell.club, cell.swing): _cell(cell) for cell in chart.cells},
        good={verdict.number: verdict.good for verdict in chart.verdicts},
        called=frozenset(verdict.number for verdict in chart.verdicts if verdict.mishit),
        drift90=None if chart.drift90 is None else _pair(chart.drift90),
        checks=tuple(message.code for message in chart.checks),
    )


def _cell(cell: Cell) -> judge.CellAnswer:
    odd = cell.as_hit or cell.disagree_chance >= SURE_FROM
    return judge.CellAnswer(
        stock_m=cell.stock_carry_m,
        stock90_m=_pair(cell.stock90_m),
        next90_m=_pair(cell.next90_m),
        another90_m=_pair(cell.another_day90_m),
        next_another90_m=_pair(cell.next_another_day90_m),
        off_chance=cell.disagree_chance,
        mishit_rate=cell.mishit_rate,
        mishit90=_pair(cell.mishit_rate90),
        flags=frozenset(["odd"] * odd + ["two swings"] * (cell.two_swings_m is not None)),
    )


def _pair(interval: Interval) -> judge.Pair:
    return interval.low, interval.high


def main() -> None:
    """Runs the kinds and prints the table."""
    ask = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    ask.add_argument("--kinds", help="names with commas between; a name ending in * takes all that begin so")
    ask.add_argument("--sessions", type=int, default=2)
    ask.add_argument("--seed", type=int, default=0)
    ask.add_argument("--half", choices=("tuned", "reported", "all"), default="all")
    ask.add_argument("--list", action="store_true", help="only name the kinds and their halves")
    ask.add_argument("--csv", type=Path, help="also write each session there, as a coach would have it")
    ask.add_argument("--json", type=Path, help="also write the figures there")
    told = ask.parse_args()
    kinds = chosen(told.kinds, told.half)
    if told.list:
        print("\n".join(kinds))
        return
    judged, began = [], time.perf_counter()
    for i, kind in enumerate(kinds, 1):
        print(f"\r{i} of {len(kinds)}: {kind:32s}", end="", file=sys.stderr, flush=True)
        sessions = [make(kind, i, told.seed) for i in range(told.sessions)]
        if told.csv:
            told.csv.mkdir(parents=True, exist_ok=True)
            for number, session in enumerate(sessions):
                write_csv(session, told.csv / f"{kind}-{number:03d}.csv")
        judged.append(judge.judge(kind, sessions, [answer(session) for session in sessions]))
    print(file=sys.stderr)
    print(judge_table.report(judged))
    for which in ("tuned", "reported"):
        part = [j for j in judged if j.kind in half(which) and j.refused < j.sessions]
        if part and told.half == "all":
            print(f"{which}: {judge_table.means(part)}")
    print(
        f"{told.sessions} sessions of each of {len(kinds)} kinds, seed {told.seed}, half {told.half}: {time.perf_counter() - began:.0f} s"
    )
    if told.json:
        told.json.write_text(json.dumps([dataclasses.asdict(j) for j in judged], indent=1))


def chosen(names: str | None, which: str) -> tuple[str, ...]:
    """The kinds asked for, of one half; `SystemExit` with a sentence where a name fits none."""
    kinds = half(which)
    if not names:
        return kinds
    out: list[str] = []
    for name in names.split(","):
        fit = [k for k in kinds if k == name or (name.endswith("*") and k.startswith(name[:-1]))]
        if not fit:
            raise SystemExit(
                f"no kind {name!r}{'' if which == 'all' or name not in KINDS else f' in the half {which}'}: --list names them"
            )
        out += [k for k in fit if k not in out]
    return tuple(out)


if __name__ == "__main__":
    main()
