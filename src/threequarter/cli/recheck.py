"""`threequarter recheck`: does an old chart still hold?"""

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from threequarter.cli.output import JSON, UNIT, load_balls, reading_options, write_json
from threequarter.golf.language import N_
from threequarter.golf.units import from_metres

if TYPE_CHECKING:
    from threequarter.golf.units import DistanceUnit
    from threequarter.practice.recheck import Shift


@click.command(
    help=N_(
        "Say from the few balls of NEW whether the chart of OLD still holds, and if it moved, by how much.\n\nA sequential test (Wald 1945): look after every ball as often as you like. False alarms 5 %, misses 10 %."
    ),
    epilog="Example: threequarter recheck last-year.csv today.csv",
)
@click.argument("old", type=click.Path(path_type=Path))
@click.argument("new", type=click.Path(path_type=Path))
@click.option(
    "--move",
    type=click.FloatRange(1, 30),
    default=8.0,
    show_default=True,
    help=N_("The move that must not be missed, percent."),
)
@reading_options
@UNIT
@JSON
def command(old: Path, new: Path, move: float, json_to: str | None, **chosen: Any) -> None:
    from threequarter.chart.fit import fit_chart
    from threequarter.language import lines
    from threequarter.practice.recheck import recheck, told

    before, unit, _said = load_balls(old, dict(chosen))
    now, _unit, _said = load_balls(new, dict(chosen))
    found = recheck(fit_chart(before), now, move=move / 100)
    answer: dict[str, Any] = {
        "unit": unit, "verdict": found.verdict, "whole": _shift(found.whole, unit), "groups": [_shift(g, unit) for g in found.groups],
        "left_out": found.left_out, "more": [{"club": c, "swing": s, "balls": n} for c, s, n in found.more],
        "move_looked_for_percent": move, "false_alarms": 0.05, "misses": 0.10,
        "words": lines(told(found), unit),
    }  # fmt: skip
    if json_to:
        write_json(answer, json_to)
        return
    for line in answer["words"]:
        click.echo(line)


def _shift(shift: "Shift", unit: "DistanceUnit") -> dict[str, Any]:
    from threequarter.language import line
    from threequarter.practice.recheck import shift_told

    return {
        "group": line(shift.group), "verdict": shift.verdict, "balls": shift.balls, "percent": round(100 * shift.ratio, 2),
        "percent90": [round(100 * shift.ratio90.low, 2), round(100 * shift.ratio90.high, 2)], "moved": round(from_metres(shift.moved_m, unit), 2),
        "words": line(shift_told(shift), unit),
    }  # fmt: skip
